"""Recipes to grams. Marks: [D2] read in a transcription, [L] computed elsewhere."""

from dataclasses import replace

import pytest
from iapws import _Ice

from menu_samples import (
    ALMOND,
    BITTER,
    HIGHBALL,
    LEMON,
    LIQUIDS,
    SPIRIT,
    SYRUP,
    TUMBLER,
    WATER,
    WINE,
    bottle,
    channels,
    dose,
    ice,
    menu,
    recipe,
    top_up,
    with_channel,
)
from tarewell.dosing.maintenance import ChannelNeed, TubeState
from tarewell.dosing.plan import check_plan
from tarewell.menu.allergens import Allergen
from tarewell.menu.compiling import compile_recipe
from tarewell.menu.delivered import ByHand, DoseResult, outcome
from tarewell.menu.drink import Drink, PlannedDose, PlannedHand, Reason
from tarewell.menu.errors import MenuError
from tarewell.menu.hands import Hand, HandStep
from tarewell.menu.portion import ICE_G_PER_ML
from tarewell.menu.readiness import judged
from tarewell.menu.values import ChannelFacts, Menu, Recipe, RecipeDose
from tarewell.quantities import density
from tarewell.quantities.units import Amount, AmountKind, SmallMeasures


def doses(drink: Drink) -> list[PlannedDose]:
    """As they are written in the recipe."""
    return [step for step in drink.steps if isinstance(step, PlannedDose)]


def masses(drink: Drink) -> list[float]:
    return [dose.target_g for dose in doses(drink)]


def reasons(drink: Drink) -> list[tuple[Reason, int | None]]:
    return [(blocker.code, blocker.step) for blocker in drink.blockers]


# size


def test_amounts_are_what_they_say() -> None:
    drink = compile_recipe(
        menu(recipe(dose(SPIRIT, "45 ml"), dose(SYRUP, "30 g"), dose(WATER, "1 oz"))), "it"
    )
    # 40 % vol has 948.045 kg/m³ by OIML R 22, water 998.20675 by Tanaka, the ounce 29.5735 ml [L]
    assert masses(drink) == pytest.approx([45 * 0.948045, 30, 29.5735 * 0.99820675], rel=1e-5)
    assert [step.volume_ml for step in doses(drink)] == pytest.approx([45, 30 / 1.31656, 29.5735], rel=1e-5)
    assert not drink.blockers


def test_millilitres_are_those_of_the_serving_temperature() -> None:
    cold = replace(SPIRIT, serving_c=5.0)
    drink = compile_recipe(menu(recipe(dose(cold, "45 ml")), liquids=[cold]), "it")
    assert masses(drink) == pytest.approx([45 * 0.957615], rel=1e-5)  # R 22 at 5 °C [L]
    assert drink.volume_ml == pytest.approx(45 * 0.957615 / 0.948045, rel=1e-5)  # at 20 °C


def test_parts_are_by_volume_and_fill_the_glass() -> None:
    drink = compile_recipe(menu(recipe(dose(WATER, "2 parts"), dose(SYRUP, "1 part"))), "it")
    water, syrup = doses(drink)
    assert water.volume_ml == pytest.approx(2 * syrup.volume_ml)
    assert drink.volume_ml == pytest.approx(330)


def test_parts_share_what_the_amounts_leave() -> None:
    drink = compile_recipe(
        menu(recipe(dose(WATER, "3 parts"), dose(SYRUP, "30 ml"), dose(LEMON, "1 part"))), "it"
    )
    water, syrup, lemon = doses(drink)
    assert syrup.volume_ml == pytest.approx(30)
    assert water.volume_ml == pytest.approx(3 * lemon.volume_ml)
    assert drink.volume_ml == pytest.approx(330)


def test_an_open_top_up_fills_the_glass() -> None:
    drink = compile_recipe(menu(recipe(dose(SPIRIT, "40 ml"), top_up(WATER))), "it")
    assert masses(drink) == pytest.approx([40 * 0.948045], rel=1e-5)
    assert drink.volume_ml == pytest.approx(330)
    assert drink.target_g == pytest.approx(40 * 0.948045, rel=1e-5)
    assert drink.strength.percent_vol == pytest.approx(100 * 0.4 * 40 / 330, rel=1e-4)


def test_contraction_is_made_up_for() -> None:
    """Equal volumes of ethanol and water fill 192.75 of 200 parts (an encyclopaedia of wine [D2])."""
    pure = replace(SPIRIT, density=density.from_strength(100), abv_percent=100.0)
    drink = compile_recipe(
        menu(recipe(dose(pure, "1 part"), dose(WATER, "1 part"), volume_ml=192.75), liquids=[pure, WATER]),
        "it",
    )
    assert [step.volume_ml for step in doses(drink)] == pytest.approx([100, 100], abs=0.2)
    assert drink.volume_ml == pytest.approx(192.75)
    assert drink.strength.percent_vol == pytest.approx(51.8, abs=0.1)  # the same source [D2]


@pytest.mark.parametrize("asked", [None, 150.0])
def test_the_volume_asked_for_goes_before_that_of_the_recipe(asked: float | None) -> None:
    parts = recipe(dose(WATER, "1 part"), dose(SYRUP, "1 part"), volume_ml=200.0)
    drink = compile_recipe(menu(parts), "it", volume_ml=asked)
    assert drink.volume_ml == pytest.approx(asked or 200)


def test_amounts_alone_are_scaled_alike_to_a_volume() -> None:
    base = menu(recipe(dose(SPIRIT, "30 ml"), dose(SYRUP, "15 ml"), top_up(WATER, "60 ml")))
    small, large = compile_recipe(base, "it"), compile_recipe(base, "it", volume_ml=210)
    assert large.volume_ml == pytest.approx(210)
    factor = 210 / small.volume_ml
    assert masses(large) == pytest.approx([factor * mass for mass in masses(small)])
    assert large.strength.percent_vol == pytest.approx(small.strength.percent_vol)


def test_another_glass_is_filled_as_it_holds() -> None:
    parts = menu(recipe(dose(WATER, "1 part"), dose(SYRUP, "1 part")))
    drink = compile_recipe(parts, "it", glass_id="tumbler")
    assert (drink.glass_id, drink.volume_ml) == ("tumbler", pytest.approx(230))


# ice


def test_floating_ice_displaces_its_own_mass() -> None:
    """Archimedes: water and ice together weigh what water up to the line would weigh; so when the ice has
    melted the line is where it was."""
    drink = compile_recipe(menu(recipe(ice(120), dose(WATER, "1 part"))), "it")
    assert drink.target_g == pytest.approx(330 * 0.998203 - 120, abs=0.02)  # water of ICUMSA and R 22 [L]
    (hand,) = [step for step in drink.steps if isinstance(step, PlannedHand)]
    assert (hand.mass_g, hand.volume_ml) == (120, pytest.approx(120 / 0.998203, rel=1e-5))


def test_ice_in_a_heavier_drink_floats_higher() -> None:
    water, syrup = (
        compile_recipe(menu(recipe(ice(100), dose(liquid, "1 part"))), "it") for liquid in (WATER, SYRUP)
    )
    assert syrup.volume_ml - water.volume_ml == pytest.approx(100 / 0.998203 - 100 / 1.31656, abs=0.01)


def test_ice_sinks_in_strong_spirit() -> None:
    # 70 % vol has 885.562 kg/m³ by R 22 [L], ice 916.7
    strong = replace(SPIRIT, density=density.from_strength(70), abv_percent=70.0)
    drink = compile_recipe(menu(recipe(ice(90), dose(strong, "1 part")), liquids=[strong]), "it")
    assert drink.volume_ml == pytest.approx(330 - 90 / 0.9167)


def test_density_of_ice() -> None:
    # iapws library, IAPWS R10-06 at 0 °C and 101 325 Pa [L]
    assert pytest.approx(_Ice(273.15, 0.101325)["rho"] / 1000, abs=5e-5) == ICE_G_PER_ML


def test_two_steps_with_ice_count_both() -> None:
    drink = compile_recipe(menu(recipe(ice(60), dose(WATER, "1 part"), ice(60))), "it")
    assert drink.target_g == pytest.approx(330 * 0.998203 - 120, abs=0.02)
    by_hand = [step.volume_ml for step in drink.steps if isinstance(step, PlannedHand)]
    assert by_hand == pytest.approx([60 / 0.998203, 60 / 0.998203], rel=1e-5)


# limit of ethanol


def test_a_limit_of_ethanol_makes_the_whole_drink_smaller() -> None:
    base = menu(recipe(dose(SPIRIT, "60 ml"), dose(SYRUP, "20 ml"), top_up(WATER, "100 ml")))
    whole, less = compile_recipe(base, "it"), compile_recipe(base, "it", max_ethanol_g=14)
    assert whole.strength.ethanol_g == pytest.approx(60 * 0.31570, rel=1e-4)  # R 22: 315.696 g/l [L]
    assert less.strength.ethanol_g == pytest.approx(14)
    assert less.strength.percent_vol == pytest.approx(whole.strength.percent_vol)
    factor = 14 / whole.strength.ethanol_g
    assert masses(less) == pytest.approx([factor * mass for mass in masses(whole)])
    assert less.volume_ml == pytest.approx(factor * whole.volume_ml)
    assert "made smaller, to 74 % of the recipe" in less.notes[0]
    assert not less.blockers


def test_a_limit_goes_before_the_volume_that_is_asked_for() -> None:
    # as written it has 9.5 g of ethanol, in 300 ml 31 g
    base = menu(recipe(dose(SPIRIT, "30 ml"), dose(SYRUP, "10 ml"), top_up(WATER, "50 ml")))
    written, drink = compile_recipe(base, "it"), compile_recipe(base, "it", volume_ml=300, max_ethanol_g=14)
    assert drink.strength.ethanol_g == pytest.approx(14)
    factor = 14 / written.strength.ethanol_g
    assert masses(drink) == pytest.approx([factor * mass for mass in masses(written)])
    assert compile_recipe(base, "it", volume_ml=60, max_ethanol_g=14).volume_ml == pytest.approx(60)


def test_a_limit_that_is_kept_changes_nothing() -> None:
    base = menu(recipe(dose(SPIRIT, "40 ml")))
    assert compile_recipe(base, "it", max_ethanol_g=20) == compile_recipe(base, "it")


@pytest.mark.parametrize("max_g", [0.0, 5e-324, 1e-4])
def test_no_alcohol_allowed(max_g: float) -> None:
    base = menu(recipe(dose(SPIRIT, "40 ml")), replace(recipe(dose(WATER, "40 ml")), id="dry"))
    assert reasons(compile_recipe(base, "it", max_ethanol_g=max_g)) == [(Reason.OVER_ETHANOL_LIMIT, None)]
    assert not compile_recipe(base, "dry", max_ethanol_g=max_g).blockers


def test_a_limit_that_leaves_next_to_nothing() -> None:
    drink = compile_recipe(menu(recipe(dose(SPIRIT, "40 ml"))), "it", max_ethanol_g=0.5)
    assert reasons(drink) == [(Reason.DOSE_TOO_SMALL, 0)]


def test_a_limit_cannot_be_kept_where_a_strength_is_unknown() -> None:
    vague = replace(LEMON, abv_percent=None)
    base = menu(
        recipe(dose(WATER, "40 ml"), dose(vague, "40 ml"), top_up(None, "20 ml")), liquids=[WATER, vague]
    )
    assert not compile_recipe(base, "it").blockers
    drink = compile_recipe(base, "it", max_ethanol_g=10)
    assert reasons(drink) == [(Reason.STRENGTH_UNKNOWN, 1)]
    assert "enter it, 0 if it has none" in drink.blockers[0].message


# order, time, cost, allergens, uncertainty


def test_steps_keep_their_order_and_neighbouring_doses_are_one_pour() -> None:
    garnish = HandStep(Hand.GARNISH, "a slice of lemon")
    written = (ice(50), dose(SPIRIT, "40 ml"), dose(SYRUP, "20 ml"), top_up(WATER, "50 ml"),
               dose(LEMON, "20 ml"), garnish)  # fmt: skip
    drink = compile_recipe(menu(recipe(*written, keep_order=True)), "it")
    assert [type(leg) for leg in drink.legs] == [PlannedHand, tuple, PlannedHand, tuple, PlannedHand]
    assert drink.steps_as_made == drink.steps
    assert [step.liquid_id for step in drink.doses] == ["wings-dry", "sugar-syrup", "lemon-juice"]
    liquids, volumes_ml = zip(*drink.layers, strict=True)
    assert liquids == ("wings-dry", "sugar-syrup", "water", "lemon-juice")
    assert volumes_ml == pytest.approx((40, 20, 50, 20), rel=0.01)
    assert drink.ice_g == 50


def test_the_smallest_dose_of_a_pour_goes_first_and_none_passes_a_step_by_hand() -> None:
    written = (dose(WATER, "90 ml"), dose(SPIRIT, "40 ml"), dose(LEMON, "5 ml"), ice(50),
               dose(SYRUP, "20 ml"), dose(WATER, "3 ml"))  # fmt: skip
    drink = compile_recipe(menu(recipe(*written)), "it")
    assert [dose.liquid_id for dose in doses(drink)] == [
        *("water", "wings-dry", "lemon-juice"),
        *("sugar-syrup", "water"),
    ]
    first, _, second = drink.legs
    poured = [dose.liquid_id for leg in (first, second) if isinstance(leg, tuple) for dose in leg]
    assert poured == ["lemon-juice", "wings-dry", "water", "water", "sugar-syrup"]
    assert [dose.liquid_id for dose in drink.doses] == poured
    assert [liquid for liquid, _ in drink.layers] == poured
    assert isinstance(drink.steps_as_made[3], PlannedHand)


def test_time_is_target_over_flow_and_what_a_dose_and_a_pour_take() -> None:
    base = with_channel(
        menu(recipe(dose(WATER, "50 g"), dose(SYRUP, "30 g"), ice(10), dose(WATER, "20 g"))),
        4,
        flow_g_per_s=2.0,
    )
    drink = compile_recipe(base, "it")
    assert [step.time_s for step in doses(drink)] == pytest.approx([10.6, 15.6, 4.6])  # 5 and 2 g/s
    assert drink.time_s == pytest.approx(10.6 + 15.6 + 4.6 + 2 * 1.3)


def test_no_forecast_where_a_flow_was_never_seen() -> None:
    base = with_channel(menu(recipe(dose(WATER, "50 g"), dose(SYRUP, "30 g"))), 4, flow_g_per_s=0.0)
    drink = compile_recipe(base, "it")
    assert [step.time_s for step in doses(drink)] == [pytest.approx(10.6), None]
    assert drink.time_s is None


def test_cost_by_the_litre() -> None:
    drink = compile_recipe(menu(recipe(dose(SPIRIT, "50 ml"), top_up(WATER, "100 ml"))), "it")
    assert drink.cost == pytest.approx(0.05 * 18 + 0.1 * 0.5)


def test_no_cost_where_one_is_not_known() -> None:
    free = replace(WATER, cost_per_l=None)
    assert compile_recipe(menu(recipe(dose(free, "50 ml")), liquids=[free]), "it").cost is None
    assert compile_recipe(menu(recipe(dose(WATER, "50 ml"), top_up(None, "10 ml"))), "it").cost is None


def test_allergens_add_up_and_what_nobody_looked_at_is_named() -> None:
    drink = compile_recipe(
        menu(
            recipe(
                dose(ALMOND, "20 ml"),
                dose(WINE, "80 ml"),
                dose(LEMON, "20 ml"),
                top_up(None, "50 ml", "fizz from the fridge"),
                HandStep(Hand.GARNISH, "a biscuit"),
                HandStep(Hand.OTHER, "stir"),
            )
        ),
        "it",
    )
    assert drink.allergens == {Allergen.NUTS, Allergen.SULPHITES}
    assert drink.allergens_unknown == ("lemon-juice", "fizz from the fridge", "a biscuit")


def test_a_garnish_may_be_described_by_a_liquid_for_its_allergens() -> None:
    garnish = HandStep(Hand.GARNISH, "almonds", liquid_id="almond-syrup")
    drink = compile_recipe(menu(recipe(dose(WATER, "50 ml"), garnish)), "it")
    assert (drink.allergens, drink.allergens_unknown) == ({Allergen.NUTS}, ())
    assert drink.volume_ml == pytest.approx(50, abs=0.01)


@pytest.mark.parametrize("field", ["abv_percent", "sugar_g_per_l"])
def test_what_is_not_known_is_said(field: str) -> None:
    vague = replace(LEMON, **{field: None})
    drink = compile_recipe(menu(recipe(dose(vague, "50 ml")), liquids=[vague]), "it")
    assert (drink.strength_known, drink.sugar_known) == (field != "abv_percent", field != "sugar_g_per_l")


def test_a_top_up_that_names_no_liquid_has_no_alcohol_and_unknown_sugar() -> None:
    drink = compile_recipe(menu(recipe(dose(SPIRIT, "50 ml"), top_up(None, "100 ml"))), "it")
    assert (drink.strength_known, drink.sugar_known) == (True, False)
    assert drink.strength.percent_vol == pytest.approx(40 / 3, rel=3e-3)


def test_one_liquid_is_off_the_same_way_in_all_its_doses() -> None:
    twice = compile_recipe(menu(recipe(dose(LEMON, "50 ml"), dose(LEMON, "50 ml"))), "it")
    assert twice.volume_uncertainty_ml == pytest.approx(0.5)  # half a per cent of 100 ml
    other = replace(LEMON, id="other-juice")
    apart = compile_recipe(
        menu(recipe(dose(LEMON, "30 ml"), dose(other, "40 ml")), liquids=[LEMON, other]), "it"
    )
    assert apart.volume_uncertainty_ml == pytest.approx(0.25)  # 0.15 and 0.2: 3-4-5


def test_the_bound_of_contraction_enters_the_volume() -> None:
    drink = compile_recipe(menu(recipe(dose(BITTER, "50 ml"))), "it")
    (step,) = doses(drink)
    assert drink.volume_uncertainty_ml > step.volume_uncertainty_ml
    assert drink.strength.contraction_uncertainty_ml == pytest.approx(12.5 * 0.02)  # 12.5 g of sugar


# small measures and substitutions


def test_dashes_are_as_large_as_the_house_says() -> None:
    base = menu(recipe(dose(BITTER, "4 dashes"), dose(SYRUP, "2 barspoons"), dose(WATER, "30 ml")))
    plain, house = compile_recipe(base, "it"), compile_recipe(base, "it", small=SmallMeasures(0.6, 5.0))
    assert [step.volume_ml for step in doses(plain)] == pytest.approx([4 * 0.92, 5, 30])
    assert [step.volume_ml for step in doses(house)] == pytest.approx([2.4, 10, 30])


def test_a_substitution_is_made_only_when_told_and_then_said() -> None:
    base = menu(recipe(dose(SYRUP, "20 ml"), dose(WATER, "100 ml")), on=channels([ALMOND, WATER]))
    assert reasons(compile_recipe(base, "it")) == [(Reason.NOT_ON_A_CHANNEL, 0)]
    drink = compile_recipe(base, "it", instead={"sugar-syrup": "almond-syrup"})
    assert not drink.blockers
    assert drink.doses[0].liquid_id == "almond-syrup"
    assert [(item.wanted_id, item.used_id) for item in drink.substitutions] == [
        ("sugar-syrup", "almond-syrup")
    ]
    assert drink.name == "It (Almond syrup instead of Sugar syrup)"
    assert drink.notes == ("Almond syrup instead of Sugar syrup",)
    assert drink.allergens == {Allergen.NUTS}


def test_a_top_up_and_a_garnish_by_hand_are_replaced_as_well() -> None:
    garnish = HandStep(Hand.GARNISH, "a spoon of syrup", liquid_id=SYRUP.id)
    base = menu(recipe(dose(WATER, "50 ml"), top_up(WATER, "100 ml"), garnish))
    drink = compile_recipe(base, "it", instead={WATER.id: WINE.id, SYRUP.id: ALMOND.id})
    assert [step.step.liquid_id for step in drink.steps if isinstance(step, PlannedHand)] == [
        WINE.id,
        ALMOND.id,
    ]
    assert drink.allergens == {Allergen.SULPHITES, Allergen.NUTS}
    (poured,) = [DoseResult(dose.liquid_id, dose.target_g, dose.target_g) for dose in doses(drink)]
    hands = [
        ByHand(step.step.liquid_id, step.mass_g) for step in drink.steps[1:2] if isinstance(step, PlannedHand)
    ]
    held = outcome(base.liquids, [poured], hands)
    assert held.delivered.ethanol_g == pytest.approx(drink.strength.ethanol_g)


def test_a_substitution_for_what_is_not_in_the_recipe() -> None:
    with pytest.raises(MenuError, match=r"no liquid 'wings-dry' .* it has water"):
        compile_recipe(menu(recipe(dose(WATER, "50 ml"))), "it", instead={"wings-dry": "water"})


# which channel


def on_two(first_g: float, second_g: float, second_opened: bool = True, second_min_g: float = 2.0) -> Menu:
    opened = "2026-03-01T18:00:00Z" if second_opened else None
    return menu(
        recipe(dose(WATER, "50 g"), dose(WATER, "50 g")),
        on={
            3: ChannelFacts(3, "water", bottle(WATER, first_g, channel=3), 5.0),
            4: ChannelFacts(
                4, "water", bottle(WATER, second_g, id="w2", opened_at=opened, channel=4), 5.0, second_min_g
            ),
        },
    )


@pytest.mark.parametrize(
    ("base", "channel"),
    [
        (on_two(600, 300), 4),  # the emptier one first
        (on_two(300, 600), 3),
        (on_two(600, 99), 3),  # not enough in the emptier one
        (on_two(600, 300, second_opened=False), 3),  # an opened one first
        (on_two(600, 300, second_min_g=60), 3),  # not trusted with so little
        (on_two(500, 500), 3),
    ],
)
def test_one_bottle_gives_all_of_a_liquid(base: Menu, channel: int) -> None:
    drink = compile_recipe(base, "it")
    assert [step.channel for step in doses(drink)] == [channel, channel]
    assert not drink.blockers


def test_two_bottles_are_not_mixed_for_one_drink() -> None:
    drink = compile_recipe(on_two(60, 70), "it")
    assert reasons(drink) == [(Reason.BOTTLE_LOW, 0)]
    assert [step.channel for step in doses(drink)] == [4, 4]
    assert (
        "channel 4 has 70 g of Still water left and the drink takes 100 g; replace"
        in drink.blockers[0].message
    )


# blockers

PLAIN = recipe(dose(WATER, "50 ml"), dose(SYRUP, "30 ml"))


@pytest.mark.parametrize(
    ("base", "expected"),
    [
        (menu(replace(PLAIN, active=False)), [(Reason.RECIPE_RETIRED, None)]),
        (menu(recipe(top_up(WATER, "50 ml"))), [(Reason.RECIPE_FAULTY, None)]),
        (menu(recipe(RecipeDose("water", "", Amount(0.0, AmountKind.PARTS)))), [(Reason.RECIPE_FAULTY, 0)]),
        (menu(recipe(dose(WATER, "5 g"), RecipeDose("water", "", Amount(-3.0, AmountKind.MASS_G)))),
         [(Reason.RECIPE_FAULTY, 1)]),
        (menu(recipe(dose(WATER, "1 part"), top_up(SYRUP))), [(Reason.RECIPE_FAULTY, 1)]),
        (menu(PLAIN, liquids=[WATER]), [(Reason.LIQUID_UNKNOWN, 1)]),
        (menu(PLAIN, liquids=[WATER, replace(SYRUP, active=False)]), [(Reason.LIQUID_RETIRED, 1)]),
        (menu(PLAIN, liquids=[WATER, replace(SYRUP, abv_percent=110.0)]), [(Reason.LIQUID_FAULTY, 1)]),
        (menu(PLAIN, on=channels([WATER])), [(Reason.NOT_ON_A_CHANNEL, 1)]),
        (with_channel(menu(PLAIN), 4, bottle=None), [(Reason.NO_BOTTLE, 1)]),
        (with_channel(menu(PLAIN), 4, bottle=bottle(SYRUP, 39.0)), [(Reason.BOTTLE_LOW, 1)]),
        (with_channel(menu(PLAIN), 4, smallest_dose_g=40.0), [(Reason.DOSE_TOO_SMALL, 1)]),
        (judged(menu(PLAIN), {4: TubeState(ChannelNeed.RINSE)}), [(Reason.NEEDS_MAINTENANCE, 1)]),
        (judged(menu(PLAIN), {4: TubeState().filled("almond-syrup")}), [(Reason.TUBE_HOLDS_ANOTHER, 1)]),
        (menu(replace(PLAIN, glass_id="bucket")), [(Reason.GLASS_UNKNOWN, None)]),
        (menu(PLAIN, glasses=[replace(HIGHBALL, active=False)]), [(Reason.GLASS_RETIRED, None)]),
        (menu(recipe(dose(WATER, "340 ml"))), [(Reason.GLASS_TOO_SMALL, None)]),
        (menu(recipe(dose(WATER, "240 ml"), ice(100))), [(Reason.GLASS_TOO_SMALL, None)]),
        (menu(recipe(dose(WATER, "335 ml"), dose(SYRUP, "1 part"))), [(Reason.GLASS_TOO_SMALL, None)]),
        (menu(recipe(dose(WATER, "1 part"), glass=None)), [(Reason.SIZE_OPEN, None)]),
        (menu(recipe(dose(WATER, "300 ml")), scale_max_g=600), [(Reason.OVER_SCALE, None)]),
        (menu(recipe(dose(WATER, "200 ml"), ice(80)), scale_max_g=600), [(Reason.OVER_SCALE, None)]),
    ],
)  # fmt: skip
def test_each_reason_is_named_with_its_step_and_its_cure(
    base: Menu, expected: list[tuple[Reason, int | None]]
) -> None:
    drink = compile_recipe(base, "it")
    assert reasons(drink) == expected
    assert all("; " in blocker.message for blocker in drink.blockers)


def test_the_smallest_of_several_doses_is_the_one_named() -> None:
    drink = compile_recipe(menu(recipe(dose(WATER, "50 g"), dose(WATER, "1 g"), dose(WATER, "1.5 g"))), "it")
    assert reasons(drink) == [(Reason.DOSE_TOO_SMALL, 1)]
    assert "a dose of 1.00 g of Still water is below 2 g" in drink.blockers[0].message


def test_all_reasons_at_once() -> None:
    base = menu(
        recipe(dose(SPIRIT, "250 ml"), dose(SYRUP, "1 ml"), dose(BITTER, "20 ml"), dose(LEMON, "120 ml")),
        liquids=[replace(SPIRIT, active=False), SYRUP, BITTER, LEMON],
        on=channels([SPIRIT, SYRUP, LEMON], content_g=100.0),
        scale_max_g=500.0,
    )
    assert reasons(compile_recipe(base, "it")) == [
        (Reason.LIQUID_RETIRED, 0),
        (Reason.GLASS_TOO_SMALL, None),
        (Reason.OVER_SCALE, None),
        (Reason.BOTTLE_LOW, 0),
        (Reason.DOSE_TOO_SMALL, 1),
        (Reason.NOT_ON_A_CHANNEL, 2),
        (Reason.BOTTLE_LOW, 3),
    ]


def test_a_drink_that_fits_to_the_drop_has_no_blocker() -> None:
    # 330 ml of room, 200 g of glass and ice at the most, and the scale that takes just that
    drink = compile_recipe(menu(recipe(ice(100), dose(WATER, "1 part"))), "it")
    whole_g = 330 + 100 + drink.target_g
    assert not compile_recipe(
        menu(recipe(ice(100), dose(WATER, "1 part")), scale_max_g=whole_g), "it"
    ).blockers
    short = menu(recipe(ice(100), dose(WATER, "1 part")), scale_max_g=whole_g - 1)
    assert reasons(compile_recipe(short, "it")) == [(Reason.OVER_SCALE, None)]


def test_the_message_says_how_much_would_fit() -> None:
    drink = compile_recipe(menu(recipe(ice(100), dose(WATER, "200 ml"), glass=TUMBLER)), "it")
    assert "at most 130 ml of drink" in drink.blockers[0].message


@pytest.mark.parametrize("volume_ml", [0, -5, float("nan"), float("inf")])
def test_volumes_that_mean_nothing(volume_ml: float) -> None:
    with pytest.raises(MenuError, match="more than 0 ml"):
        compile_recipe(menu(PLAIN), "it", volume_ml=volume_ml)


@pytest.mark.parametrize("max_g", [-1, float("nan"), float("inf")])
def test_limits_that_mean_nothing(max_g: float) -> None:
    with pytest.raises(MenuError, match="0 g or more"):
        compile_recipe(menu(PLAIN), "it", max_ethanol_g=max_g)


def test_no_such_recipe() -> None:
    with pytest.raises(MenuError, match="no recipe 'other'; look up the id"):
        compile_recipe(menu(PLAIN), "other")


# the plan for the machine


def test_a_leg_is_a_plan_that_the_machine_takes() -> None:
    full = recipe(ice(80), dose(WATER, "1 part"), top_up(LEMON, "1 part"), dose(SYRUP, "1 part"))
    drink = compile_recipe(menu(full), "it")
    legs = [leg for leg in drink.legs if isinstance(leg, tuple)]
    for leg in legs:
        plan = drink.pour_plan(leg)
        check_plan(plan, frozenset({1, 4}), 1000.0)
        assert plan.glass_holds_g == pytest.approx(plan.target_g)
    assert [d.liquid_id for leg in legs for d in drink.pour_plan(leg).doses] == ["water", "sugar-syrup"]


def test_a_plan_says_how_much_more_the_glass_would_hold() -> None:
    drink = compile_recipe(menu(recipe(dose(WATER, "100 ml"), top_up(WATER, "30 ml"))), "it")
    (leg,) = [leg for leg in drink.legs if isinstance(leg, tuple)]
    holds_g = drink.pour_plan(leg).glass_holds_g
    assert holds_g == pytest.approx(300 * 0.9982, abs=0.1)
    iced = compile_recipe(menu(recipe(dose(WATER, "100 ml"), ice(80))), "it")
    assert iced.pour_plan(iced.doses).glass_holds_g == pytest.approx(330 * 0.9982 - 80, abs=0.1)
    anywhere = compile_recipe(menu(recipe(dose(WATER, "100 ml"), glass=None)), "it")
    assert anywhere.pour_plan(anywhere.doses).glass_holds_g is None


def test_no_plan_without_a_channel() -> None:
    drink = compile_recipe(menu(PLAIN, on={}), "it")
    assert [step.channel for step in doses(drink)] == [None, None]
    with pytest.raises(ValueError, match="is assigned to no channel"):
        drink.pour_plan(drink.doses)


@pytest.mark.parametrize("name", ["🎭" * 300, "<script>alert(1)</script>", "x" * 300])
def test_any_name_passes_through_unchanged(name: str) -> None:
    named = Recipe("it", name, (dose(WATER, "50 ml"),))
    drink = compile_recipe(menu(named, liquids=[replace(WATER, name=name), *LIQUIDS[1:]]), "it")
    assert drink.name == name
    assert isinstance(drink.steps[0], PlannedDose)
