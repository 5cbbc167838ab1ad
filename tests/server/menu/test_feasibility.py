from dataclasses import replace

from menu_samples import LEMON, SPIRIT, WATER, bottle, channels, dose, ice, menu, recipe, with_channel
from tarewell.dosing.maintenance import ChannelNeed, TubeState
from tarewell.menu.compiling import compile_recipe
from tarewell.menu.drink import Reason
from tarewell.menu.feasibility import remaining
from tarewell.menu.readiness import judged
from tarewell.quantities.units import SmallMeasures

SOUR = recipe(dose(SPIRIT, "50 g"), dose(LEMON, "30 g"), dose(WATER, "100 g"))
ON = channels([SPIRIT, LEMON, WATER])  # 700 g of each


def test_the_liquid_that_ends_first_counts() -> None:
    found = remaining(menu(SOUR, on=ON))["it"]
    assert (found.now, found.with_shelf, found.limited_by, found.blockers) == (7, 7, "water", ())


def test_each_recipe_as_if_it_were_the_only_one() -> None:
    strong = replace(recipe(dose(SPIRIT, "100 g")), id="strong")
    assert {id_: found.now for id_, found in remaining(menu(SOUR, strong, on=ON)).items()} == {
        "it": 7,
        "strong": 7,
    }


def test_bottles_on_the_shelf_add_their_whole_drinks() -> None:
    shelf = [bottle(WATER, 250.0, id="w2"), bottle(WATER, 90.0, id="w3"), bottle(LEMON, 700.0, id="l2")]
    found = remaining(menu(SOUR, on=ON), shelf)["it"]
    assert (found.now, found.with_shelf) == (7, 9)


def test_a_bottle_that_is_mounted_is_not_on_the_shelf() -> None:
    mounted = ON[3].bottle
    assert mounted is not None
    assert remaining(menu(SOUR, on=ON), [mounted])["it"].with_shelf == 7


def test_a_liquid_that_only_the_shelf_has() -> None:
    found = remaining(menu(SOUR, on=channels([SPIRIT, LEMON])), [bottle(WATER, 450.0)])["it"]
    assert (found.now, found.with_shelf, found.limited_by) == (0, 4, "water")
    assert [blocker.code for blocker in found.blockers] == [Reason.NOT_ON_A_CHANNEL]


def test_what_no_bottle_can_mend_leaves_none() -> None:
    found = remaining(menu(replace(SOUR, steps=(*SOUR.steps, ice(300))), on=ON))["it"]
    assert (found.now, found.with_shelf, found.limited_by) == (0, 0, None)
    assert {blocker.code for blocker in found.blockers} == {Reason.GLASS_TOO_SMALL}


def test_a_dose_that_no_channel_is_trusted_with() -> None:
    found = remaining(with_channel(menu(SOUR, on=ON), 2, smallest_dose_g=31.0), [bottle(LEMON, id="l2")])[
        "it"
    ]
    assert (found.now, found.with_shelf, found.limited_by) == (0, 0, "lemon-juice")


def test_a_flushed_channel_leaves_none_until_it_is_primed() -> None:
    flushed = judged(menu(SOUR, on=ON), {2: TubeState(ChannelNeed.PRIME)})
    found = remaining(flushed, [bottle(LEMON, id="l2")])["it"]
    assert (found.now, found.with_shelf, found.limited_by) == (0, 0, "lemon-juice")
    assert [blocker.code for blocker in found.blockers] == [Reason.NEEDS_MAINTENANCE]
    assert remaining(judged(flushed, {}))["it"] == remaining(menu(SOUR, on=ON))["it"]


def test_below_zero_by_the_ledger_is_empty() -> None:
    found = remaining(menu(SOUR, on=channels([SPIRIT, LEMON, WATER], content_g=-3.0)))["it"]
    assert (found.now, found.with_shelf) == (0, 0)
    fresh = remaining(menu(SOUR, on=channels([SPIRIT, LEMON, WATER])), [bottle(WATER, -250.0, id="w2")])["it"]
    assert (fresh.now, fresh.with_shelf) == (7, 7)


def test_dashes_of_the_house() -> None:
    dashed = menu(recipe(dose(WATER, "10 dashes")), on=channels([WATER], content_g=100.0))
    assert remaining(dashed)["it"].now == 10  # 9.2 ml each
    assert remaining(dashed, small=SmallMeasures(dash_ml=2.0))["it"].now == 5


def test_retired_recipes_are_left_out() -> None:
    assert remaining(menu(replace(SOUR, active=False), on=ON)) == {}


def test_a_bottle_emptied_in_many_steps_still_holds_its_last_drink() -> None:
    left_g = 700.0
    for _ in range(3000):
        left_g -= 0.2  # to 100 g, and 1e-11 less
    hundred = menu(recipe(dose(WATER, "100 g")), on=channels([WATER], content_g=left_g))
    assert left_g < 100
    assert remaining(hundred)["it"].now == 1
    assert not compile_recipe(hundred, "it").blockers
