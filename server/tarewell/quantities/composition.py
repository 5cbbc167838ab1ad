"""The composition of a liquid by mass: ethanol, sugar, and the rest counted as water."""

from dataclasses import dataclass
from functools import lru_cache

from tarewell.quantities import ethanol, liqueur, sucrose
from tarewell.quantities.errors import QuantityError, require
from tarewell.quantities.roots import root


@dataclass(frozen=True, slots=True)
class Composition:
    """Mass fractions of ethanol and of sugar; what remains is water.

    Acids, oils, fat, pulp and dissolved gas are counted as water: for juices and dairy the densities that
    follow are estimates, and a weighing is better (see `Density`).

    Raises:
        QuantityError: a fraction below 0, a sum above 1, or more sugar than a syrup holds (0.8).
    """

    ethanol: float = 0.0
    sugar: float = 0.0

    def __post_init__(self) -> None:
        require("the mass fraction of ethanol", self.ethanol, 0, 1, "g/g", "correct the strength")
        require(
            "the mass fraction of sugar",
            self.sugar,
            0,
            sucrose.HIGHEST_BRIX / 100,
            "g/g",
            "correct the sugar content",
        )
        if self.ethanol + self.sugar > 1 + 1e-9:
            raise QuantityError(
                "ethanol and sugar together must be at most 1, got mass fractions "
                f"{self.ethanol:g} and {self.sugar:g}; correct strength or sugar"
            )

    def density_g_per_ml(self, temperature_c: float = 20.0) -> float:
        """Density in vacuo: OIML R 22 without sugar, ICUMSA without ethanol, else the rule of `liqueur`.

        Raises:
            QuantityError: a temperature outside the range: -20 to 40 °C without sugar, 0 to 60 °C without
                ethanol, 0 to 40 °C with both.
        """
        return _density_g_per_ml(self.ethanol, self.sugar, temperature_c)

    @property
    def strength_percent_vol(self) -> float:
        """Alcohol by volume at 20 °C: the ml of pure ethanol in 100 ml."""
        return 100 * self.ethanol * self.density_g_per_ml() / ethanol.ETHANOL_20_G_PER_ML

    @property
    def sugar_g_per_l(self) -> float:
        """Grams of sugar in a litre at 20 °C."""
        return 1000 * self.sugar * self.density_g_per_ml()


@lru_cache(maxsize=4096)
def _density_g_per_ml(ethanol_fraction: float, sugar_fraction: float, temperature_c: float) -> float:
    if not ethanol_fraction and sugar_fraction:
        return sucrose.density_g_per_ml(100 * sugar_fraction, temperature_c)
    return liqueur.density_g_per_ml(
        ethanol_fraction, min(sugar_fraction, 1 - ethanol_fraction), temperature_c
    )


WATER = Composition()


def of_brix(brix: float) -> Composition:
    """A syrup or juice without alcohol, by its degrees Brix (g of sugar in 100 g).

    Raises:
        QuantityError: outside 0 to 80 degrees Brix.
    """
    require(
        "a sugar content",
        brix,
        0,
        sucrose.HIGHEST_BRIX,
        "degrees Brix",
        "correct it; Brix is g of sugar in 100 g",
    )
    return Composition(sugar=brix / 100)


@lru_cache(maxsize=256)
def of_label(strength_percent_vol: float, sugar_g_per_l: float = 0.0) -> Composition:
    """A liquid by what its label says: strength in % vol at 20 °C and sugar in g/l.

    Raises:
        QuantityError: a strength outside 0 to 100 % vol, sugar that no syrup holds, or both too much
            together.
    """
    if sugar_g_per_l == 0:
        return Composition(ethanol=ethanol.mass_fraction(strength_percent_vol))
    require("a strength", strength_percent_vol, 0, 100, "% vol", "correct it; US proof is twice the % vol")
    brix = sucrose.brix_of(sugar_g_per_l)
    if strength_percent_vol == 0:
        return Composition(sugar=brix / 100)
    ethanol_g_per_ml = strength_percent_vol / 100 * ethanol.ETHANOL_20_G_PER_ML
    sugar_g_per_ml = sugar_g_per_l / 1000
    # The lightest it can be: nothing but ethanol and sugar, or as much sugar as the formula covers.
    lightest = max(ethanol_g_per_ml + sugar_g_per_ml, 100 * sugar_g_per_ml / sucrose.HIGHEST_BRIX) * (
        1 + 1e-12
    )
    lightest = max(lightest, 0.9 * ethanol.ETHANOL_20_G_PER_ML)

    def excess(density: float) -> float:
        return liqueur.density_g_per_ml(ethanol_g_per_ml / density, sugar_g_per_ml / density) - density

    if excess(lightest) < 0:
        raise QuantityError(
            "strength and sugar do not fit into one litre together, got "
            f"{strength_percent_vol:g} % vol and {sugar_g_per_l:g} g/l; correct one of them "
            "(a liqueur of 25 % vol with 300 g/l is usual)"
        )
    density = root(excess, lightest, 2.0)
    return Composition(ethanol=ethanol_g_per_ml / density, sugar=sugar_g_per_ml / density)
