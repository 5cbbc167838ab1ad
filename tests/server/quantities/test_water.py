"""Water against other formulas and tables. Marks: [D2] read in a transcription, [L] computed with a library,
[M] from memory."""

import math

import pytest
from iapws import IAPWS95

from tarewell.quantities import density as densities
from tarewell.quantities import water
from tarewell.quantities.errors import QuantityError


@pytest.mark.parametrize("temperature_c", [1, 4, 5, 10, 15, 18, 20, 22, 25, 30, 35, 40])
def test_agrees_with_iapws_95(temperature_c: float) -> None:
    # iapws library, IAPWS-95 at 101 325 Pa [L]
    assert 1000 * water.density_g_per_ml(temperature_c) == pytest.approx(
        IAPWS95(T=273.15 + temperature_c, P=0.101325).rho, abs=0.0012
    )


@pytest.mark.parametrize("temperature_c", [1, 4, 5, 10, 15, 18, 20, 22, 25, 30, 35, 40])
def test_agrees_with_a_second_library(temperature_c: float) -> None:
    # CoolProp library at 101 325 Pa [L]; it takes two seconds to load
    from CoolProp.CoolProp import PropsSI

    assert 1000 * water.density_g_per_ml(temperature_c) == pytest.approx(
        PropsSI("D", "T", 273.15 + temperature_c, "P", 101325, "Water"), abs=0.0012
    )


@pytest.mark.parametrize(
    ("temperature_c", "kg_per_m3"),
    [(0, 999.83821), (4, 999.97076), (5, 999.96270), (10, 999.69915), (15, 999.09955), (18, 998.59566),
     (20, 998.20425), (22, 997.77070), (25, 997.04506)],
)  # fmt: skip
def test_water_full_of_air_lies_within_the_uncertainty(temperature_c: float, kg_per_m3: float) -> None:
    # Tanaka's correction for saturation with air, computed elsewhere [L from D2]
    density = densities.of_water(temperature_c)
    assert abs(1000 * density.g_per_ml - kg_per_m3) <= 1000 * density.uncertainty_g_per_ml


@pytest.mark.parametrize(
    ("temperature_c", "kg_per_m3"),
    [
        (0, 999.84283),
        (4, 999.97495),
        (5, 999.96678),
        (10, 999.70270),
        (15, 999.10257),
        (18, 998.59836),
        (20, 998.20675),
        (22, 997.77298),
        (25, 997.04702),
        (30, 995.64880),
        (35, 994.03260),
        (40, 992.21521),
    ],
)
def test_tanaka_values(temperature_c: float, kg_per_m3: float) -> None:
    # Tanaka et al., Metrologia 38 (2001) 301-309, computed elsewhere from transcribed coefficients [L]
    assert 1000 * water.density_g_per_ml(temperature_c) == pytest.approx(kg_per_m3, abs=6e-6)


def test_literature_values_at_20_and_25() -> None:
    # 0.9982067 and 0.9970470 g/ml as seen in the literature [D2]
    assert water.density_g_per_ml(20) == pytest.approx(0.9982067, abs=6e-8)
    assert water.density_g_per_ml(25) == pytest.approx(0.9970470, abs=6e-8)


@pytest.mark.parametrize("temperature_c", [0, 5, 20, 40])
def test_agrees_with_iso_tr_20461(temperature_c: float) -> None:
    # ISO/TR 20461: a2 and a4 from its corrigendum, the others from memory [M], cross-checked [L]
    t = temperature_c
    published = 999.85308 + 6.32693e-2 * t - 8.523829e-3 * t**2 + 6.943248e-5 * t**3 - 3.821216e-7 * t**4
    assert 1000 * water.density_g_per_ml(t) == pytest.approx(published, abs=0.011)


# Z in ml/g at 1013 hPa, the table of ISO 8655-6 as reproduced elsewhere [D2].
Z_1013_HPA = {
    15: 1.0020, 16: 1.0021, 17: 1.0023, 18: 1.0025, 19: 1.0027, 20: 1.0029, 21: 1.0031, 22: 1.0033,
    23: 1.0035, 24: 1.0038, 25: 1.0040, 26: 1.0043, 27: 1.0045, 28: 1.0048, 29: 1.0051, 30: 1.0054,
}  # fmt: skip

# The same at 20 °C and other pressures in hPa.
Z_20_C = {800: 1.0026, 853: 1.0027, 907: 1.0027, 960: 1.0028, 1013: 1.0029, 1067: 1.0029}


def air_kg_per_m3(temperature_c: float, hpa: float) -> float:
    """ISO/TR 20461 at 50 % humidity; its coefficients from memory [M], validated by the table."""
    return (0.34844 * hpa + 50 * (-0.00252 * temperature_c + 0.020582)) / (temperature_c + 273.15)


def z_ml_per_g(temperature_c: float, hpa: float) -> float:
    air = air_kg_per_m3(temperature_c, hpa)
    return 1000 / (1000 * water.density_g_per_ml(temperature_c) - air) * (1 - air / 8000)


@pytest.mark.parametrize(("temperature_c", "kg_per_m3"), [(15, 1.2220), (20, 1.1990), (25, 1.1768)])
def test_air_of_the_z_factors(temperature_c: float, kg_per_m3: float) -> None:
    assert air_kg_per_m3(temperature_c, 1013) == pytest.approx(kg_per_m3, abs=6e-5)  # [L]


@pytest.mark.parametrize(("temperature_c", "z"), Z_1013_HPA.items())
def test_volumes_weighed_in_air_after_iso_8655(temperature_c: float, z: float) -> None:
    assert z_ml_per_g(temperature_c, 1013) == pytest.approx(z, abs=6e-5)


@pytest.mark.parametrize(("hpa", "z"), Z_20_C.items())
def test_volumes_weighed_at_other_pressures(hpa: float, z: float) -> None:
    assert z_ml_per_g(20, hpa) == pytest.approx(z, abs=6e-5)


@pytest.mark.parametrize("temperature_c", [-0.1, 40.1, math.nan, math.inf])
def test_outside_the_formula(temperature_c: float) -> None:
    with pytest.raises(QuantityError, match=r"must be from 0 to 40 °C, got .*; correct it"):
        water.density_g_per_ml(temperature_c)
