"""Density of water after Tanaka et al., Metrologia 38 (2001) 301-309, the formula that CIPM recommends."""

from tarewell.quantities.errors import require

# Read in transcriptions of the paper: a1 and a2 in °C, a3 in °C², a4 in °C, a5 in kg/m³.
_A1, _A2, _A3, _A4, _A5 = -3.983035, 301.797, 522528.9, 69.34881, 999.974950

COLDEST_C, HOTTEST_C = 0.0, 40.0


def density_g_per_ml(temperature_c: float) -> float:
    """Density of air-free water at 101 325 Pa, for 0 to 40 °C.

    rho = a5 (1 - (t + a1)² (t + a2) / (a3 (t + a4))); within 0.0012 kg/m³ of IAPWS-95. Water saturated with
    air is up to 0.005 kg/m³ lighter.

    Raises:
        QuantityError: a temperature outside the range.
    """
    t = require(
        "the temperature of water",
        temperature_c,
        COLDEST_C,
        HOTTEST_C,
        "°C",
        "correct it, or enter a density of your own",
    )
    return _A5 * (1 - (t + _A1) ** 2 * (t + _A2) / (_A3 * (t + _A4))) / 1000
