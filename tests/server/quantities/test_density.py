"""Densities with uncertainty and origin, millilitres to grams and back, expansion, buoyancy."""

from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tarewell.quantities import density as densities
from tarewell.quantities.composition import of_brix, of_label
from tarewell.quantities.density import Density, Origin, Volume
from tarewell.quantities.errors import QuantityError

known = st.builds(
    Density, st.floats(0.7, 1.6), st.floats(0, 0.1), st.sampled_from(Origin), st.floats(-20, 40)
)


@given(known, st.floats(0.1, 5000))
def test_volume_to_mass_to_volume_is_the_identity(density: Density, volume_ml: float) -> None:
    assert density.volume_of(density.mass_of(volume_ml).g).ml == pytest.approx(volume_ml, rel=1e-14)


@given(known, st.floats(0.1, 5000))
def test_relative_uncertainty_is_handed_on(density: Density, volume_ml: float) -> None:
    share = density.uncertainty_g_per_ml / density.g_per_ml
    mass = density.mass_of(volume_ml)
    assert mass.uncertainty_g / mass.g == pytest.approx(share)
    volume = density.volume_of(mass.g)
    assert volume.uncertainty_ml / volume.ml == pytest.approx(share)


def test_uncertainties_of_mass_and_density_combine() -> None:
    density = Density(1.0, 0.003, Origin.ENTERED, 20.0)
    assert density.mass_of(100, volume_uncertainty_ml=0.4).uncertainty_g == pytest.approx(0.5)  # 3-4-5
    assert density.volume_of(100, mass_uncertainty_g=0.4).uncertainty_ml == pytest.approx(0.5)


def test_each_source_says_where_it_comes_from_and_at_what_temperature() -> None:
    seen = [
        densities.of_water(5),
        densities.from_strength(40, 5),
        densities.from_brix(65, 5),
        densities.from_strength_and_sugar(20, 250, 5),
        densities.entered(1.03, 5),
        densities.weighed(103, Volume(100, 0.5), 5),
    ]
    assert [density.origin for density in seen] == list(Origin)
    assert {density.at_c for density in seen} == {5}
    assert all(density.uncertainty_g_per_ml > 0 for density in seen)


@pytest.mark.parametrize(
    ("density", "kg_per_m3"),
    [
        (densities.of_water(), 998.20675),  # Tanaka [L]
        (densities.from_strength(40), 948.045),  # OIML R 22 [L]
        (densities.from_strength(40, 5), 957.615),  # OIML R 22 [L]
        (densities.from_brix(65), 1316.35),  # NBS Circular 457, other family than ICUMSA [D2]
        (densities.from_brix(65, 10), 1321.46),  # ICUMSA [L]
    ],
)
def test_published_value_lies_within_the_uncertainty(density: Density, kg_per_m3: float) -> None:
    assert abs(1000 * density.g_per_ml - kg_per_m3) <= 1000 * density.uncertainty_g_per_ml


def test_a_less_certain_label_gives_a_less_certain_density() -> None:
    # R 22 by the table: 37.5 to 40 % vol is 951.936 to 948.045 kg/m³, 1.556 per % vol [L]
    exact, label, guess = (densities.from_strength(38.5, off_by_percent_vol=off) for off in (0.0, 0.3, 2.0))
    assert exact.uncertainty_g_per_ml < label.uncertainty_g_per_ml < guess.uncertainty_g_per_ml
    assert label.uncertainty_g_per_ml == pytest.approx(0.3 * 1.556e-3, rel=0.05)


def test_the_mixing_rule_makes_liqueurs_the_least_certain() -> None:
    liqueur = densities.from_strength_and_sugar(20, 250, off_by_percent_vol=0, off_by_g_per_l=0)
    syrup = densities.from_strength_and_sugar(0, 250, off_by_percent_vol=0, off_by_g_per_l=0)
    assert liqueur.uncertainty_g_per_ml > 10 * syrup.uncertainty_g_per_ml


@pytest.mark.parametrize(
    ("percent_vol", "brix"), [(0.0, 0.0), (0.1, 0.2), (100.0, 80.0)], ids=["none", "little", "most"]
)
def test_uncertainty_at_the_ends_of_the_range(percent_vol: float, brix: float) -> None:
    assert 0 < densities.from_strength(percent_vol).uncertainty_g_per_ml < 0.002
    assert 0 < densities.from_brix(brix).uncertainty_g_per_ml < 0.005


def test_no_alcohol_is_certain_even_in_the_thickest_syrup() -> None:
    syrup = densities.from_strength_and_sugar(0, 1120)
    assert syrup.g_per_ml == pytest.approx(densities.from_brix(79.4).g_per_ml, rel=1e-3)
    assert densities.from_strength(0).uncertainty_g_per_ml < densities.from_strength(0.5).uncertainty_g_per_ml


def test_expansion_moves_an_entered_density_as_its_composition_does() -> None:
    # R 22, 40 % vol: 957.615 at 5 °C, 948.045 at 20 °C [L]
    entered = densities.entered(0.950, 20, 0.001)
    cold = entered.moved_to(5, of_label(40))
    assert cold.g_per_ml == pytest.approx(0.950 * 957.615 / 948.045, rel=1e-6)
    assert (cold.at_c, cold.origin) == (5, Origin.ENTERED)
    assert 0.001 < cold.uncertainty_g_per_ml < 0.003
    assert cold.moved_to(20, of_label(40)).g_per_ml == pytest.approx(0.950, rel=1e-12)


@given(st.floats(0, 40))
def test_expansion_of_a_computed_density_agrees_with_computing_it_there(temperature_c: float) -> None:
    moved = densities.from_brix(50).moved_to(temperature_c, of_brix(50))
    assert moved.g_per_ml == pytest.approx(densities.from_brix(50, temperature_c).g_per_ml, rel=1e-12)


def test_a_measuring_cylinder_of_water() -> None:
    density = densities.weighed(99.8, Volume(100, 1), 20, mass_uncertainty_g=0.5)
    assert density.g_per_ml == pytest.approx(0.998)
    assert density.uncertainty_g_per_ml == pytest.approx(0.998 * hypot(1, 0.501) / 100, rel=1e-3)


def test_a_bottle_weighed_full_and_empty() -> None:
    density = densities.weighed_bottle(1163.6, 500.0, Volume(700, 5), mass_uncertainty_g=0.5)
    assert density.g_per_ml == pytest.approx(0.948)
    assert density.uncertainty_g_per_ml == pytest.approx(0.948 * 5 / 700, rel=0.02)


@pytest.mark.parametrize(
    ("full_g", "empty_g", "cure"),
    [(500, 1163, "swap or repeat"), (500, 500, "swap or repeat"), (900, -5, "swap or repeat"),
     (5000, 500, "weigh again")],
)  # fmt: skip
def test_bottles_that_cannot_be(full_g: float, empty_g: float, cure: str) -> None:
    with pytest.raises(QuantityError, match=cure):
        densities.weighed_bottle(full_g, empty_g, Volume(700, 5))


@pytest.mark.parametrize(("net_g", "volume_ml"), [(0, 100), (-5, 100), (100, 0), (100, float("nan"))])
def test_weighings_that_cannot_be(net_g: float, volume_ml: float) -> None:
    with pytest.raises(QuantityError, match="above 0"):
        densities.weighed(net_g, Volume(volume_ml, 1))


@pytest.mark.parametrize("g_per_ml", [0.0, 0.5, 2.0, 1030.0, -1.0, float("nan")])
def test_densities_that_cannot_be(g_per_ml: float) -> None:
    with pytest.raises(QuantityError, match=r"from 0.7 to 1.6 g/ml, got .*1000 kg/m³ is 1 g/ml"):
        densities.entered(g_per_ml)


def test_uncertainty_that_cannot_be() -> None:
    with pytest.raises(QuantityError, match="uncertainty of a density"):
        densities.entered(1.0, 20, -0.1)


@pytest.mark.parametrize("temperature_c", [-30, 60])
def test_temperature_outside_the_formula(temperature_c: float) -> None:
    with pytest.raises(QuantityError, match="from -20 to 40 °C"):
        densities.from_strength(40, temperature_c)


@pytest.mark.parametrize(
    ("density", "true_by_reading"),
    [
        # ISO/TR 20461 air at 20 °C of 1.199 kg/m³ and weights of 8000 [L]
        (densities.of_water(), 1.001053),
        (densities.from_strength(40), 1.001116),
        (densities.from_strength(100), 1.001371),
        (densities.from_brix(60), 1.000783),
    ],
)
def test_buoyancy_is_as_small_as_stated(density: Density, true_by_reading: float) -> None:
    air, weights = 0.001199, 8.0
    assert (1 - air / weights) / (1 - air / density.g_per_ml) == pytest.approx(true_by_reading, abs=1e-6)
