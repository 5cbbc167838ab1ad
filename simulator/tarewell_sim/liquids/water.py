"""Water: density after Tanaka, viscosity and surface tension at 20 °C."""

VISCOSITY_20_MPA_S = 1.0016
"""Viscosity of water at 20 °C in mPa·s (IAPWS formulation, as the iapws library computes it)."""

SURFACE_TENSION_20_N_PER_M = 0.0727
"""Surface tension of water against air at 20 °C (IAPWS release on surface tension, rounded)."""

_A1, _A2, _A3, _A4, _A5 = -3.983035, 301.797, 522528.9, 69.34881, 999.974950


def density_g_per_ml(temperature_c: float) -> float:
    """Density of air-free water at 101 325 Pa, for 0 to 40 °C.

    rho = a5 (1 - (t + a1)^2 (t + a2) / (a3 (t + a4))), Tanaka et al., Metrologia 38 (2001) 301-309.
    The coefficients were read in transcriptions of the paper.

    Raises:
        ValueError: a temperature outside the formula's range.
    """
    if not 0 <= temperature_c <= 40:
        raise ValueError(
            f"the density of water is known from 0 to 40 °C, got {temperature_c} °C; correct the temperature"
        )
    t = temperature_c
    return _A5 * (1 - (t + _A1) ** 2 * (t + _A2) / (_A3 * (t + _A4))) / 1000
