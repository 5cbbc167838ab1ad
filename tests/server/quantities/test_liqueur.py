"""Ethanol and sugar together. No table of liqueurs was at hand, so the mixing rule is held against its two
limits and against rules and measurements of others. Marks: [D2] read in a summary, [M] from memory."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tarewell.quantities import ethanol, liqueur, sucrose
from tarewell.quantities.composition import Composition, of_brix, of_label
from tarewell.quantities.errors import QuantityError


@given(st.floats(0, 1))
def test_without_sugar_it_is_r22(p: float) -> None:
    assert liqueur.density_g_per_ml(p, 0) == ethanol.density_g_per_ml(p)


@pytest.mark.parametrize("temperature_c", [0, 20, 40])
@pytest.mark.parametrize("brix", [5, 40, 75])
def test_without_ethanol_it_is_icumsa(brix: float, temperature_c: float) -> None:
    # the two formulas' waters differ by up to 0.008 kg/m³
    assert liqueur.density_g_per_ml(0, brix / 100, temperature_c) == pytest.approx(
        sucrose.density_g_per_ml(brix, temperature_c), abs=1e-5
    )


@pytest.mark.parametrize(
    ("percent_vol", "sugar_g_per_l"),
    [(5, 100), (11, 50), (15, 100), (17, 250), (20, 300), (25, 400), (30, 250)],
)
def test_agrees_with_the_rule_for_extract_within_its_bound(percent_vol: float, sugar_g_per_l: float) -> None:
    """OIV-MA-AS2-03B finds the extract of a wine from the density that it would have without its alcohol:
    extract raises the density as it does in water [D2, the formula itself M]. Meant for wine; used up to
    30 % vol.
    """
    composition = of_label(percent_vol, sugar_g_per_l)
    density = composition.density_g_per_ml()
    spirit = ethanol.density_g_per_ml(ethanol.mass_fraction(percent_vol))
    syrup = sucrose.density_g_per_ml(sucrose.brix_of(sugar_g_per_l))
    by_extract = spirit + syrup - sucrose.density_g_per_ml(0)
    assert density == pytest.approx(by_extract, abs=liqueur.uncertainty_g_per_ml(composition.sugar, density))
    assert density == pytest.approx(by_extract, abs=7e-4)


@pytest.mark.parametrize(("percent_vol", "sugar_g_per_l"), [(10, 50), (20, 200), (30, 200)])
def test_expands_as_measured_on_mixtures(percent_vol: float, sugar_g_per_l: float) -> None:
    # 2.0e-4 to 6.5e-4 per °C for sucrose-ethanol-water from 5 to 30 °C: "Determination of Volumetric
    # Coefficients of Thermal Expansion in Alcoholic Beverages ...", Food and Bioprocess Technology, abstract
    # [D2]. It does not state the strengths; 40 % vol without sugar has 7.0e-4 by R 22, so less is used.
    composition = of_label(percent_vol, sugar_g_per_l)
    per_c = (composition.density_g_per_ml(5) / composition.density_g_per_ml(30) - 1) / 25
    assert 2.0e-4 <= per_c <= 6.5e-4


@given(st.floats(0, 60), st.floats(0, 500))
def test_label_to_composition_and_back(percent_vol: float, sugar_g_per_l: float) -> None:
    composition = of_label(percent_vol, sugar_g_per_l)
    assert composition.strength_percent_vol == pytest.approx(percent_vol, abs=1e-6)
    assert composition.sugar_g_per_l == pytest.approx(sugar_g_per_l, rel=3e-6, abs=1e-6)  # two waters


@given(st.floats(0, 40), st.floats(0, 400), st.floats(1, 100))
def test_more_sugar_is_heavier_more_ethanol_lighter(percent_vol: float, g_per_l: float, more: float) -> None:
    density = of_label(percent_vol, g_per_l).density_g_per_ml()
    assert of_label(percent_vol, g_per_l + more).density_g_per_ml() > density
    assert of_label(percent_vol + more / 10, g_per_l).density_g_per_ml() < density


@pytest.mark.parametrize(("percent_vol", "sugar_g_per_l"), [(96, 400), (60, 1000)])
def test_no_room_for_both(percent_vol: float, sugar_g_per_l: float) -> None:
    with pytest.raises(QuantityError, match="fit into one litre together"):
        of_label(percent_vol, sugar_g_per_l)


@pytest.mark.parametrize(
    ("percent_vol", "sugar_g_per_l", "what"),
    [
        (110, 0, "a strength"),
        (-1, 0, "a strength"),
        (110, 50, "a strength"),
        (float("nan"), 50, "a strength"),
        (20, -5, "the sugar"),
        (20, 5000, "the sugar"),
    ],
)
def test_label_that_cannot_be(percent_vol: float, sugar_g_per_l: float, what: str) -> None:
    with pytest.raises(QuantityError, match=rf"^{what}.*; correct it"):
        of_label(percent_vol, sugar_g_per_l)


@pytest.mark.parametrize(("e", "s"), [(-0.1, 0.0), (0.0, 0.81), (0.5, 0.6), (1.1, 0.0), (float("nan"), 0.0)])
def test_composition_that_cannot_be(e: float, s: float) -> None:
    with pytest.raises(QuantityError, match="must be"):
        Composition(e, s)


def test_mixture_that_cannot_be() -> None:
    with pytest.raises(QuantityError, match="together must be at most 1"):
        liqueur.density_g_per_ml(0.5, 0.6)


@pytest.mark.parametrize("temperature_c", [-1, 41])
def test_liqueur_outside_the_temperatures(temperature_c: float) -> None:
    with pytest.raises(QuantityError, match="from 0 to 40 °C"):
        of_label(20, 200).density_g_per_ml(temperature_c)


def test_syrup_of_120_brix() -> None:
    with pytest.raises(QuantityError, match="from 0 to 80 degrees Brix, got 120"):
        of_brix(120)
