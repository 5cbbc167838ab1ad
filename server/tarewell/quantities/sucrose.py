"""Sucrose solutions: density after the ICUMSA polynomial.

Degrees Brix are grams of sucrose in 100 g of solution. Other sugars are counted as sucrose: syrups of glucose
and fructose of the same Brix are lighter or heavier by less than 1 % (from memory).
"""

from tarewell.quantities.errors import QuantityError, require
from tarewell.quantities.roots import polynomial, root

# b_ik in kg/m³: rho = rho_water(t) + sum b_ik w^k ((t - 20) / 100)^i, w the mass fraction. From two public
# programs that agree in all but the last digit of b_04 (effect below 0.001 kg/m³ at 70 degrees Brix).
_B = (
    (385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890),
    (-46.2720, -7.1720, 1.1597, 5.1126, 17.5254),
    (59.7712, 7.2491, 12.3630, -35.4791),
    (-47.2207, -21.6977, 27.6301),
    (18.3184, 12.3081),
)

HIGHEST_BRIX = 80.0
COLDEST_C, HOTTEST_C = 0.0, 60.0


def _water_kg_per_m3(t: float) -> float:
    """The water that belongs to the polynomial (998.203 kg/m³ at 20 °C)."""
    above = (
        999.83952
        + 16.952577 * t
        - 7.9905127e-3 * t**2
        - 46.241757e-6 * t**3
        + 105.84601e-9 * t**4
        - 281.03006e-12 * t**5
    )
    return above / (1 + 16.887236e-3 * t)


def density_g_per_ml(brix: float, temperature_c: float = 20.0) -> float:
    """Density of a sucrose solution of 0 to 80 degrees Brix, for 0 to 60 °C.

    Above about 67 degrees Brix at 20 °C the solution is supersaturated and may crystallise.

    Raises:
        QuantityError: a concentration or a temperature outside that range.
    """
    require(
        "a sugar content", brix, 0, HIGHEST_BRIX, "degrees Brix", "correct it; Brix is g of sugar in 100 g"
    )
    t = require(
        "the temperature of a syrup",
        temperature_c,
        COLDEST_C,
        HOTTEST_C,
        "°C",
        "correct it, or enter a density of your own",
    )
    w, reduced = brix / 100, (t - 20) / 100
    rho = _water_kg_per_m3(t) + w * polynomial(w, _B[0])
    if reduced:
        rho += w * sum(reduced**i * polynomial(w, row) for i, row in enumerate(_B[1:], 1))
    return rho / 1000


def apparent_volume_ml_per_g(sugar_mass_fraction: float, temperature_c: float = 20.0) -> float:
    """Volume that a gram of sucrose adds to its water: (1 / rho - (1 - w) / rho_water) / w.

    0.616 ml/g in thin syrups to 0.631 in thick ones at 20 °C; `sugar_mass_fraction` is above 0, up to 0.8.

    Raises:
        QuantityError: outside the range of the density, or no sugar.
    """
    w = sugar_mass_fraction
    solution = density_g_per_ml(100 * w, temperature_c)
    if w == 0:
        raise QuantityError(
            "the volume of a gram of sugar needs some sugar, got none; use the density of water"
        )
    return (1 / solution - (1 - w) * 1000 / _water_kg_per_m3(temperature_c)) / w


def brix_of(sugar_g_per_l: float) -> float:
    """Degrees Brix of a syrup with this many grams of sucrose in a litre at 20 °C.

    Raises:
        QuantityError: below 0, or more than a syrup of 80 degrees Brix holds.
    """
    most = 10 * HIGHEST_BRIX * density_g_per_ml(HIGHEST_BRIX)
    require(
        "the sugar of a syrup", sugar_g_per_l, 0, most, "g/l", "correct it, or enter degrees Brix instead"
    )
    return root(lambda brix: 10 * brix * density_g_per_ml(brix) - sugar_g_per_l, 0.0, HIGHEST_BRIX)
