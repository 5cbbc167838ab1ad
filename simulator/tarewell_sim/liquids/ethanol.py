"""Ethanol-water: density after OIML R 22, viscosity after Bingham and Jackson.

Mass fraction and volume fraction differ by up to ten points; strengths are given by volume at 20 °C.
"""

from bisect import bisect_right

# Coefficients of OIML R 22 (1975), page 13; k counts from 1 in each list.

_A = (
    9.982012300e2,
    -1.929769495e2,
    3.891238958e2,
    -1.668103923e3,
    1.352215441e4,
    -8.829278388e4,
    3.062874042e5,
    -6.138381234e5,
    7.470172998e5,
    -5.478461354e5,
    2.234460334e5,
    -3.903285426e4,
)

_B = (
    -2.0618513e-1,
    -5.2682542e-3,
    3.6130013e-5,
    -3.8957702e-7,
    7.1693540e-9,
    -9.9739231e-11,
)

_C = (
    (
        1.693443461530087e-1,
        -1.046914743455169e1,
        7.196353469546523e1,
        -7.047478054272792e2,
        3.924090430035045e3,
        -1.210164659068747e4,
        2.248646550400788e4,
        -2.605562982188164e4,
        1.852373922069467e4,
        -7.420201433430137e3,
        1.285617841998974e3,
    ),
    (
        -1.193013005057010e-2,
        2.517399633803461e-1,
        -2.170575700536993,
        1.353034988843029e1,
        -5.029988758547014e1,
        1.096355666577570e2,
        -1.422753946421155e2,
        1.080435942856230e2,
        -4.414153236817392e1,
        7.442971530188783,
    ),
    (
        -6.802995733503803e-4,
        1.876837790289664e-2,
        -2.002561813734156e-1,
        1.022992966719220,
        -2.895696483903638,
        4.810060584300675,
        -4.672147440794683,
        2.458043105903461,
        -5.411227621436812e-1,
    ),
    (
        4.075376675622027e-6,
        -8.763058573471110e-6,
        6.515031360099368e-6,
        -1.515784836987210e-6,
    ),
    (
        -2.788074354782409e-8,
        1.345612883493354e-8,
    ),
)

# Mass percent of ethanol and viscosity at 20 °C in mPa·s: Bingham & Jackson, Bull. Bur. Stand. 14 (1918) 59,
# from the table of Simmonds, "Alcohol".
_VISCOSITY_20 = (
    (0, 1.005),
    (10, 1.538),
    (20, 2.183),
    (30, 2.71),
    (40, 2.91),
    (50, 2.87),
    (60, 2.67),
    (70, 2.370),
    (80, 2.008),
    (90, 1.610),
    (100, 1.200),
)

SURFACE_TENSION_N_PER_M = 0.030
"""Surface tension of a spirit near 40 % vol at 20 °C; from memory, used for the size of drops only."""


def density_g_per_ml(mass_fraction: float, temperature_c: float = 20.0) -> float:
    """Density in vacuo of an ethanol-water mixture, for -20 to 40 °C.

    The general formula of OIML R 22 (1975), page 5; `mass_fraction` is 0 to 1.

    Raises:
        ValueError: a fraction or a temperature outside the formula's range.
    """
    if not 0 <= mass_fraction <= 1 or not -20 <= temperature_c <= 40:
        raise ValueError(
            "OIML R 22 covers mass fractions 0 to 1 and -20 to 40 °C, "
            f"got {mass_fraction} at {temperature_c} °C; correct strength or temperature"
        )
    p, t = mass_fraction, temperature_c - 20.0
    rho = sum(a * p**k for k, a in enumerate(_A))
    rho += sum(b * t**k for k, b in enumerate(_B, 1))
    for i, row in enumerate(_C, 1):
        rho += t**i * sum(c * p**k for k, c in enumerate(row, 1))
    return rho / 1000


def volume_fraction(mass_fraction: float) -> float:
    """Strength by volume at 20 °C: q = p rho(p, 20) / rho(1, 20), OIML R 22."""
    return mass_fraction * density_g_per_ml(mass_fraction) / density_g_per_ml(1.0)


def mass_fraction(strength_percent_vol: float) -> float:
    """Mass fraction of a mixture of given strength by volume at 20 °C, found by bisection to 1e-12.

    Raises:
        ValueError: a strength outside 0 to 100.
    """
    if not 0 <= strength_percent_vol <= 100:
        raise ValueError(f"a strength is 0 to 100 % vol, got {strength_percent_vol}; correct it")
    low, high = 0.0, 1.0
    while high - low > 1e-12:
        middle = (low + high) / 2
        if volume_fraction(middle) * 100 < strength_percent_vol:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def viscosity_20_mpa_s(mass_fraction: float) -> float:
    """Viscosity at 20 °C, linear between the table's points (every 10 % by mass)."""
    percent = 100 * mass_fraction
    upper = min(max(bisect_right(_VISCOSITY_20, (percent, 0.0)), 1), len(_VISCOSITY_20) - 1)
    (x0, y0), (x1, y1) = _VISCOSITY_20[upper - 1], _VISCOSITY_20[upper]
    return y0 + (y1 - y0) * (percent - x0) / (x1 - x0)
