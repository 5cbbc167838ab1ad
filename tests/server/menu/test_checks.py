from dataclasses import replace
from typing import Any

import pytest

from menu_samples import (
    GLASSES,
    LIQUIDS,
    SPIRIT,
    SYRUP,
    TUMBLER,
    WATER,
    bottle,
    channels,
    dose,
    ice,
    recipe,
    top_up,
)
from tarewell.menu.checks import (
    Fault,
    faults_of_bottle,
    faults_of_glass,
    faults_of_liquid,
    faults_of_recipe,
    faults_of_setup,
    warnings_of_glass,
)
from tarewell.menu.hands import Hand, HandStep
from tarewell.menu.values import RecipeDose
from tarewell.quantities import density
from tarewell.quantities.units import Amount, AmountKind

PARTS = Amount(5, AmountKind.PARTS)
NAN = float("nan")
GOOD = recipe(ice(60), dose(SPIRIT, "40 ml"), top_up(WATER, "100 ml"))


def pointers(faults: list[Fault]) -> list[str]:
    return [fault.pointer for fault in faults]


def test_nothing_is_wrong_with_what_is_right() -> None:
    for liquid in LIQUIDS:
        assert faults_of_liquid(liquid) == []
    for glass in GLASSES:
        assert faults_of_glass(glass) == []
    assert faults_of_recipe(GOOD, {"wings-dry", "water"}, {"highball"}) == []
    assert faults_of_bottle(bottle(WATER, channel=3), {"water"}, {3}) == []
    hung = channels(LIQUIDS)
    assert (
        faults_of_setup(
            {liquid.id: liquid for liquid in LIQUIDS},
            {glass.id: glass for glass in GLASSES},
            {GOOD.id: GOOD},
            {number: channel.liquid_id for number, channel in hung.items()},
            {channel.bottle.id: channel.bottle for channel in hung.values() if channel.bottle},
        )
        == []
    )


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({"abv_percent": -1.0}, ["/abv_percent"]),
        ({"abv_percent": 110.0}, ["/abv_percent"]),
        ({"abv_percent": NAN}, ["/abv_percent"]),
        ({"sugar_g_per_l": -1.0}, ["/sugar_g_per_l"]),
        ({"sugar_g_per_l": 1800.0}, ["/sugar_g_per_l"]),  # 120 degrees Brix
        ({"sugar_g_per_l": 1140.0}, ["/sugar_g_per_l"]),  # more than 80 degrees Brix
        ({"abv_percent": 96.0, "sugar_g_per_l": 500.0}, [""]),
        ({"cost_per_l": -2.0}, ["/cost_per_l"]),
        ({"serving_c": 80.0}, ["/serving_c"]),
        ({"name": ""}, ["/name"]),
        ({"name": "   "}, ["/name"]),
        ({"name": "x" * 301}, ["/name"]),
        ({"name": "two\nlines"}, ["/name"]),
        ({"note": "x" * 2001}, ["/note"]),
        ({"id": "No Slug"}, ["/id"]),
        ({"id": ""}, ["/id"]),
        ({"id": "a" * 61}, ["/id"]),
        ({"id": "-a"}, ["/id"]),
        ({"name": "", "abv_percent": -1.0, "cost_per_l": NAN}, ["/name", "/abv_percent", "/cost_per_l"]),
        ({"name": "🎭" * 300}, []),
        ({"name": "<img src=x onerror=alert(1)>"}, []),
        ({"density": density.entered(0.95, 5.0), "serving_c": 0.0}, []),
    ],
)  # fmt: skip
def test_liquids(changes: dict[str, Any], expected: list[str]) -> None:
    assert pointers(faults_of_liquid(replace(SPIRIT, **changes))) == expected


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({"brim_ml": 0.0}, ["/brim_ml", "/headroom_ml"]),
        ({"brim_ml": NAN}, ["/brim_ml", "/headroom_ml"]),
        ({"headroom_ml": -1.0}, ["/headroom_ml"]),
        ({"headroom_ml": 250.0}, ["/headroom_ml"]),
        ({"lightest_g": None}, ["/lightest_g"]),
        ({"heaviest_g": None}, ["/heaviest_g"]),
        ({"lightest_g": None, "heaviest_g": None}, []),
        ({"lightest_g": 230.0}, ["/lightest_g"]),
        ({"lightest_g": -5.0}, ["/lightest_g"]),
    ],
)
def test_glasses(changes: dict[str, Any], expected: list[str]) -> None:
    assert pointers(faults_of_glass(replace(TUMBLER, **changes))) == expected


@pytest.mark.parametrize(
    ("steps", "expected"),
    [
        ((), ["/steps"]),
        ((top_up(WATER, "50 ml"), ice(20)), ["/steps"]),
        ((RecipeDose("water", "0 parts", Amount(0.0, AmountKind.PARTS)),), ["/steps/0/amount"]),
        ((dose(WATER, "5 ml"), RecipeDose("water", "", Amount(-1, AmountKind.MASS_G))), ["/steps/1/amount"]),
        ((dose(WATER, "5 ml"), RecipeDose("water", "", Amount(NAN, AmountKind.MASS_G))), ["/steps/1/amount"]),
        ((dose(WATER, "1 part"), top_up(SPIRIT)), ["/steps/1/amount"]),
        ((dose(WATER, "5 ml"), top_up(SPIRIT), top_up(WATER)), ["/steps/2/amount"]),
        ((dose(WATER, "5 ml"), HandStep(Hand.ICE, "ice")), ["/steps/1/ice_g"]),
        ((dose(WATER, "5 ml"), ice(-20)), ["/steps/1/ice_g"]),
        ((dose(WATER, "5 ml"), HandStep(Hand.OTHER, "stir", ice_g=20)), ["/steps/1/ice_g"]),
        ((dose(WATER, "5 ml"), HandStep(Hand.OTHER, "x", amount=PARTS)), ["/steps/1/amount"]),
        ((dose(WATER, "5 ml"), HandStep(Hand.OTHER, " ")), ["/steps/1/what"]),
        ((dose(SYRUP, "5 ml"), top_up(SYRUP, "5 ml")), ["/steps/0/liquid_id", "/steps/1/liquid_id"]),
        ((dose(WATER, "5 ml"),) * 33, ["/steps"]),
        ((dose(WATER, "5 ml"), top_up(None, "5 ml")), []),
    ],
)  # fmt: skip
def test_steps_of_a_recipe(steps: tuple[RecipeDose | HandStep, ...], expected: list[str]) -> None:
    faults = faults_of_recipe(recipe(*steps), {"water", "wings-dry"}, {"highball"})
    assert pointers(faults) == expected
    assert all("; " in fault.message or "at most 32" in fault.message for fault in faults)


def test_all_faults_of_a_recipe_at_once() -> None:
    bad = replace(GOOD, id="It!", name="", volume_ml=0.0, steps=(ice(0), *GOOD.steps), glass_id="bucket")
    assert pointers(faults_of_recipe(bad, {"water"}, {"highball"})) == [
        "/id", "/name", "/volume_ml", "/steps/0/ice_g", "/steps/2/liquid_id", "/glass_id",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({"content_g": 701.0}, ["/content_g"]),
        ({"content_g": NAN}, ["/content_g"]),
        ({"content_g": -4.0}, []),  # the ledger may say so
        ({"full_g": 0.0, "content_g": 0.0, "low_g": 0.0}, ["/full_g"]),
        ({"low_g": 800.0}, ["/low_g"]),
        ({"tare_g": 0.0}, ["/tare_g"]),
        ({"liquid_id": "gone"}, ["/liquid_id"]),
        ({"channel": 9}, ["/channel"]),
    ],
)
def test_bottles(changes: dict[str, Any], expected: list[str]) -> None:
    faults = faults_of_bottle(replace(bottle(WATER, channel=3), **changes), {"water"}, {3})
    assert pointers(faults) == expected


def test_a_whole_setup_with_every_fault_in_its_place() -> None:
    faults = faults_of_setup(
        liquids={"water": WATER, "wings-dry": replace(SPIRIT, abv_percent=110.0)},
        glasses={"tumbler": replace(TUMBLER, brim_ml=NAN)},
        recipes={"thin": recipe(dose(SYRUP, "5 ml"), glass=None), "none": recipe(glass=None)},
        channels={1: "water", 2: "sugar-syrup"},
        bottles={
            "w1": bottle(WATER, channel=1),
            "w2": bottle(WATER, channel=1),
            "s1": bottle(SPIRIT, channel=2),
            "shelf": bottle(WATER),
        },
    )
    assert sorted(pointers(faults)) == [
        "/bottles/s1/liquid_id",
        "/bottles/w2/channel",
        "/channels/2/liquid_id",
        "/glasses/tumbler/brim_ml",
        "/glasses/tumbler/headroom_ml",
        "/liquids/wings-dry/abv_percent",
        "/recipes/none/steps",
        "/recipes/thin/steps/0/liquid_id",
    ]
    (twice,) = [fault for fault in faults if fault.pointer == "/bottles/w2/channel"]
    assert twice.message == "the bottle w1 is already mounted on channel 1; give each its own"


# A frustum of 80 mm at the rim, 60 mm at the base and 100 mm height holds 387.5 ml: prismoidal formula with
# the areas 50.265, 38.485 and 28.274 cm2.
INSIDE = {"rim_mm": 80.0, "base_mm": 60.0, "height_mm": 100.0}


@pytest.mark.parametrize(
    ("brim_ml", "is_told"), [(387.5, False), (370.0, False), (365.0, True), (412.0, True)]
)
def test_an_inside_that_does_not_hold_what_the_brim_says_is_told(brim_ml: float, is_told: bool) -> None:
    glass = replace(TUMBLER, brim_ml=brim_ml, **INSIDE)
    assert faults_of_glass(glass) == []
    assert [warning.startswith("glass ") and "387 ml" in warning for warning in warnings_of_glass(glass)] == [
        True
    ] * is_told


def test_a_glass_that_nobody_measured_is_not_told_of() -> None:
    assert warnings_of_glass(TUMBLER) == []


@pytest.mark.parametrize(
    ("inside", "pointer"),
    [
        ({"rim_mm": 80.0}, "/base_mm"),
        ({"rim_mm": 80.0, "base_mm": 60.0}, "/height_mm"),
        (INSIDE | {"height_mm": 4.0}, "/height_mm"),
        (INSIDE | {"rim_mm": NAN}, "/rim_mm"),
    ],
)
def test_half_an_inside_or_an_impossible_one(inside: dict[str, float], pointer: str) -> None:
    assert pointers(faults_of_glass(replace(TUMBLER, **inside))) == [pointer]


@pytest.mark.parametrize("colour", ["red", "#fff", "#FFAA00", "#12345g", "123456"])
def test_a_colour_that_no_picture_takes(colour: str) -> None:
    assert pointers(faults_of_liquid(replace(WATER, colour=colour))) == ["/colour"]
    assert faults_of_liquid(replace(WATER, colour="#d9a441")) == []
