"""Density of liquids with both ethanol and sugar, by a mixing rule, since no published table covers them.

The rule: volumes add. The ethanol and the water take the volume that OIML R 22 gives for them alone, and each
gram of sugar adds the volume that it adds to a plain syrup of the same sugar content (ICUMSA). So the rule
becomes R 22 without sugar, and ICUMSA without ethanol.

How far off it may be: sugar takes 0.616 to 0.631 ml/g in water from thin to thick, and 0.630 ml/g as a
crystal (from memory); alcohol is assumed to shift it by no more than `SUGAR_VOLUME_BOUND_ML_PER_G`.
"""

from tarewell.quantities import ethanol, sucrose
from tarewell.quantities.errors import QuantityError, require

COLDEST_C, HOTTEST_C = 0.0, 40.0

SUGAR_VOLUME_BOUND_ML_PER_G = 0.02
"""Bound on the error of the volume of a gram of sugar in spirit: our estimate, 3 % of it."""


def density_g_per_ml(
    ethanol_mass_fraction: float, sugar_mass_fraction: float, temperature_c: float = 20.0
) -> float:
    """Density of ethanol, sugar and water with the given mass fractions, for 0 to 40 °C.

    1 / rho = (1 - s) / rho_R22(e / (1 - s)) + s v(s), where v is the apparent volume of sugar in a syrup.

    Raises:
        QuantityError: no room for the sugar, more of it than a syrup holds (0.8), or a temperature out of
            range.
    """
    e, s = ethanol_mass_fraction, sugar_mass_fraction
    if not s:
        return ethanol.density_g_per_ml(e, temperature_c)
    require(
        "the mass fraction of sugar", s, 0, sucrose.HIGHEST_BRIX / 100, "g/g", "correct the sugar content"
    )
    if not 0 <= e <= 1 - s:
        raise QuantityError(
            f"ethanol and sugar together must be at most 1, got mass fractions {e:g} and {s:g}; "
            "correct strength or sugar"
        )
    require(
        "the temperature of a liqueur",
        temperature_c,
        COLDEST_C,
        HOTTEST_C,
        "°C",
        "correct it, or enter a density of your own",
    )
    spirit_ml_per_g = (1 - s) / ethanol.density_g_per_ml(e / (1 - s), temperature_c)
    return 1 / (spirit_ml_per_g + s * sucrose.apparent_volume_ml_per_g(s, temperature_c))


def uncertainty_g_per_ml(sugar_mass_fraction: float, density: float) -> float:
    """Bound on the error of the mixing rule: a change of the sugar's volume moves the density by rho² s
    dv."""
    return density**2 * sugar_mass_fraction * SUGAR_VOLUME_BOUND_ML_PER_G
