"""Syrups against published tables. Marks: [D2] read in a transcription, [L] computed elsewhere from the
coefficients."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tarewell.quantities import sucrose
from tarewell.quantities.errors import QuantityError

# Brix, ICUMSA kg/m³ at 20 °C [L], grams of sucrose in a litre [L].
ICUMSA = [
    (0, 998.20, 0),
    (5, 1017.80, 50.9),
    (10, 1038.11, 103.8),
    (20, 1080.98, 216.2),
    (30, 1127.03, 338.1),
    (40, 1176.52, 470.6),
    (50, 1229.65, 614.8),
    (60, 1286.61, 772.0),
    (65, 1316.56, 855.8),
    (70, 1347.48, 943.2),
    (75, 1379.37, 1034.5),
]

# Brix, pounds in a US gallon weighed in air at 20 °C: NBS Circular 457, table 2 (Plato) [D2].
NBS_C_457 = [
    (0, 8.322),
    (5, 8.485),
    (10, 8.655),
    (20, 9.012),
    (30, 9.396),
    (40, 9.809),
    (50, 10.252),
    (60, 10.727),
    (65, 10.977),
    (70, 11.234),
    (75, 11.499),
]

# Brix, kg/m³ at 20 °C: a handbook table [D2].
HANDBOOK = [(0, 998.2), (10, 1038.1), (20, 1081.0), (30, 1127.0), (40, 1176.4), (50, 1229.6)]


# Brix, density at 20 °C against water at 4 °C: NBS Circular 440, table 113, from memory [M].
NBS_C_440 = [
    (10, 1.03814),
    (20, 1.08096),
    (30, 1.12698),
    (40, 1.17643),
    (50, 1.22957),
    (60, 1.28646),
    (65, 1.31633),
    (70, 1.34717),
]


@pytest.mark.parametrize(("brix", "relative"), NBS_C_440)
def test_nbs_circular_440(brix: float, relative: float) -> None:
    # water at 4 °C: 999.97495 kg/m³ [L]; the two families part by 0.03 % at 70 Brix
    assert 1000 * sucrose.density_g_per_ml(brix) == pytest.approx(999.97495 * relative, abs=0.4)


@pytest.mark.parametrize(("brix", "kg_per_m3", "g_per_l"), ICUMSA)
def test_icumsa(brix: float, kg_per_m3: float, g_per_l: float) -> None:
    density = sucrose.density_g_per_ml(brix)
    assert 1000 * density == pytest.approx(kg_per_m3, abs=0.01)
    assert 10 * brix * density == pytest.approx(g_per_l, abs=0.051)


@pytest.mark.parametrize(("brix", "lb_per_gal"), NBS_C_457)
def test_nbs_circular_457(brix: float, lb_per_gal: float) -> None:
    # air 0.0012 g/ml, brass 8.4 g/ml, as the circular states [D2]; ICUMSA lies 0.03 % higher at 70 Brix
    published = lb_per_gal * 453.5924 / 3785.411784 * (1 - 0.0012 / 8.4) + 0.0012
    assert sucrose.density_g_per_ml(brix) == pytest.approx(published, abs=4e-4 if brix <= 70 else 5e-4)


@pytest.mark.parametrize(("brix", "kg_per_m3"), HANDBOOK)
def test_handbook(brix: float, kg_per_m3: float) -> None:
    assert 1000 * sucrose.density_g_per_ml(brix) == pytest.approx(kg_per_m3, abs=0.4)


@pytest.mark.parametrize(
    ("brix", "at_10_15_20_25_30"),
    [
        (50, [1233.88, 1231.83, 1229.65, 1227.37, 1224.99]),
        (65, [1321.46, 1319.04, 1316.56, 1314.00, 1311.37]),
    ],
)
def test_icumsa_at_other_temperatures(brix: float, at_10_15_20_25_30: list[float]) -> None:
    densities = [1000 * sucrose.density_g_per_ml(brix, t) for t in (10, 15, 20, 25, 30)]
    assert densities == pytest.approx(at_10_15_20_25_30, abs=0.01)  # [L]


@pytest.mark.parametrize("brix", [10, 20])
def test_brix_from_apparent_specific_gravity(brix: float) -> None:
    # 182.46007 S³ - 775.68212 S² + 1262.7794 S - 669.56218, S the apparent gravity 20/20, 0 to 40 Brix [D2]
    air = 0.0012
    s = (sucrose.density_g_per_ml(brix) - air) / (sucrose.density_g_per_ml(0) - air)
    assert 182.46007 * s**3 - 775.68212 * s**2 + 1262.7794 * s - 669.56218 == pytest.approx(brix, abs=0.02)


@given(st.floats(0, 80))
def test_brix_to_grams_per_litre_and_back(brix: float) -> None:
    assert sucrose.brix_of(10 * brix * sucrose.density_g_per_ml(brix)) == pytest.approx(brix, abs=1e-9)


@pytest.mark.parametrize("brix", [120, -1, float("nan")])
def test_brix_that_cannot_be(brix: float) -> None:
    with pytest.raises(QuantityError, match=r"from 0 to 80 degrees Brix, got .*; correct it"):
        sucrose.density_g_per_ml(brix)


@pytest.mark.parametrize("temperature_c", [-1, 61])
def test_temperature_outside_the_formula(temperature_c: float) -> None:
    with pytest.raises(QuantityError, match="from 0 to 60 °C"):
        sucrose.density_g_per_ml(50, temperature_c)


@pytest.mark.parametrize("g_per_l", [-5, 1200])
def test_sugar_that_no_syrup_holds(g_per_l: float) -> None:
    with pytest.raises(QuantityError, match="sugar of a syrup"):
        sucrose.brix_of(g_per_l)


def test_no_sugar_has_no_volume_by_the_gram() -> None:
    with pytest.raises(QuantityError, match="use the density of water"):
        sucrose.apparent_volume_ml_per_g(0)
