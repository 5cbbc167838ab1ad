"""Strength as planned and as delivered. Marks: [L] computed elsewhere."""

from dataclasses import replace

import pytest

from menu_samples import LEMON, LIQUIDS, SPIRIT, SYRUP, WATER, dose, menu, recipe, top_up
from tarewell.menu.compiling import compile_recipe
from tarewell.menu.delivered import ByHand, DoseResult, outcome
from tarewell.quantities.errors import QuantityError
from tarewell.quantities.strength import standard_drink_g

KNOWN = {liquid.id: liquid for liquid in LIQUIDS}


def test_both_what_was_planned_and_what_arrived() -> None:
    # 40 % vol is 33.2996 % by mass (R 22 [L]); 65 degrees Brix is 65 % by mass
    found = outcome(KNOWN, [DoseResult("wings-dry", 40, 44), DoseResult("sugar-syrup", 20, 18)])
    assert found.planned.ethanol_g == pytest.approx(0.332996 * 40, rel=1e-5)
    assert found.delivered.ethanol_g == pytest.approx(0.332996 * 44, rel=1e-5)
    assert found.planned.sugar_g == pytest.approx(13, rel=1e-4)
    assert found.delivered.sugar_g == pytest.approx(11.7, rel=1e-4)
    assert found.delivered.standard_drinks(standard_drink_g("US")) == pytest.approx(
        0.332996 * 44 / 14, rel=1e-5
    )
    assert found.strength_known
    assert found.sugar_known


def test_planned_is_what_the_recipe_was_compiled_to() -> None:
    drink = compile_recipe(
        menu(recipe(dose(SPIRIT, "40 ml"), dose(SYRUP, "15 ml"), top_up(WATER, "80 ml"))), "it"
    )
    found = outcome(
        KNOWN,
        [DoseResult(step.liquid_id, step.target_g, step.target_g) for step in drink.doses],
        [ByHand("water", drink.strength.mass_g - drink.target_g)],
    )
    assert found.planned == found.delivered
    assert found.planned.percent_vol == pytest.approx(drink.strength.percent_vol)
    assert found.planned.volume_ml == pytest.approx(drink.volume_ml)


def test_a_dose_that_was_never_begun_and_a_scale_below_zero() -> None:
    found = outcome(KNOWN, [DoseResult("water", 50, 50), DoseResult("wings-dry", 40, -0.03)])
    assert found.delivered.ethanol_g == 0
    assert found.delivered.mass_g == 50


def test_what_was_not_described_makes_the_figures_unknown() -> None:
    vague = {**KNOWN, "lemon-juice": replace(LEMON, abv_percent=None)}
    found = outcome(vague, [DoseResult("lemon-juice", 20, 20)])
    assert (found.strength_known, found.sugar_known) == (False, True)
    found = outcome(KNOWN, [DoseResult("long-gone", 20, 20)])
    assert (found.strength_known, found.sugar_known) == (False, False)
    found = outcome(KNOWN, [DoseResult("water", 20, 20)], [ByHand(None, 50)])
    assert (found.strength_known, found.sugar_known) == (True, False)


def test_a_liquid_that_cannot_be_counts_as_unknown_water() -> None:
    found = outcome({"x": replace(WATER, id="x", abv_percent=110.0)}, [DoseResult("x", 20, 20)])
    assert (found.delivered.ethanol_g, found.strength_known) == (0, False)


def test_an_empty_glass() -> None:
    assert outcome(KNOWN, []).delivered.percent_vol == 0


def test_a_mass_that_is_none() -> None:
    with pytest.raises(QuantityError, match="mass of a dose"):
        outcome(KNOWN, [DoseResult("water", 50, float("nan"))])
