"""Ethanol and water: density and strength after OIML R 22 (1975).

Strength by mass and by volume differ by up to ten points. R 22 gives water 998.2012 kg/m³ at 20 °C, 0.0055
less than Tanaka's formula: a difference far below what a bar can weigh.
"""

from functools import lru_cache

from tarewell.quantities.errors import require
from tarewell.quantities.roots import polynomial, root

# Coefficients of the general formula, R 22 page 13; k counts from 1 in each list. In kg/m³ and °C.

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

COLDEST_C, HOTTEST_C = -20.0, 40.0


def density_g_per_ml(mass_fraction: float, temperature_c: float = 20.0) -> float:
    """Density of an ethanol-water mixture of 0 to 1 ethanol by mass, for -20 to 40 °C.

    The general formula of R 22, page 5. Mixtures that freeze within the range (water below 0 °C) are computed
    as if liquid.

    Raises:
        QuantityError: a fraction or a temperature outside the formula's range.
    """
    p = require("the mass fraction of ethanol", mass_fraction, 0, 1, "g/g", "correct the strength")
    require(
        "the temperature of a spirit",
        temperature_c,
        COLDEST_C,
        HOTTEST_C,
        "°C",
        "correct it, or enter a density of your own",
    )
    rho = polynomial(p, _A)
    t = temperature_c - 20
    if t:
        rho += t * polynomial(t, _B)
        rho += sum(t**i * p * polynomial(p, row) for i, row in enumerate(_C, 1))
    return rho / 1000


ETHANOL_20_G_PER_ML = density_g_per_ml(1.0)
"""Density of pure ethanol at 20 °C, 0.7892391 by the formula (R 22 prints 789.24 kg/m³)."""


def strength_percent_vol(mass_fraction: float) -> float:
    """Strength by volume at 20 °C of an ethanol-water mixture: q = p rho(p, 20) / rho(1, 20), R 22.

    Raises:
        QuantityError: a mass fraction outside 0 to 1.
    """
    return 100 * mass_fraction * density_g_per_ml(mass_fraction) / ETHANOL_20_G_PER_ML


@lru_cache(maxsize=256)
def mass_fraction(strength: float) -> float:
    """Mass fraction of ethanol in an ethanol-water mixture of `strength` per cent by volume at 20 °C.

    Raises:
        QuantityError: a strength outside 0 to 100 % vol.
    """
    require("a strength", strength, 0, 100, "% vol", "correct it; US proof is twice the % vol")
    return root(lambda p: strength_percent_vol(p) - strength, 0.0, 1.0)
