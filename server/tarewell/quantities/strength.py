"""Strength, ethanol and sugar of a finished drink, from the composition and mass of each liquid.

The same function serves a plan (target masses) and a pour (delivered masses). Masses add exactly; volumes do
not. Ethanol and water contract when mixed: by OIML R 22 at 20 °C at most 3.6 % of the volume (pure ethanol
and water), at most 0.17 % for a spirit of 40 % vol with water; diluting a mixture of 20 % vol even gains up
to 0.12 %. The contraction is subtracted from the volume and stated.
"""

from collections.abc import Sequence
from dataclasses import astuple, dataclass
from operator import add

from tarewell.quantities import liqueur
from tarewell.quantities.composition import Composition
from tarewell.quantities.errors import QuantityError, require
from tarewell.quantities.ethanol import ETHANOL_20_G_PER_ML

STANDARD_DRINK_G = {
    "US": 14.0,
    "UK": 10 * ETHANOL_20_G_PER_ML,
    "AU": 10.0,
    "NZ": 10.0,
    "CA": 13.45,
}
"""Grams of ethanol in a standard drink by country. The UK unit is 10 ml, about 8 g; the
Canadian one is 17.05 ml (older health texts: 13.6 g)."""


_HEAVIEST_G = 1e6


@dataclass(frozen=True, slots=True)
class Content:
    """A liquid as an ingredient: its composition, and its density at 20 °C where a weighing gave a better
    one."""

    composition: Composition
    density_20_g_per_ml: float | None = None


@dataclass(frozen=True, slots=True)
class DrinkStrength:
    """The contents of a drink.

    `volume_ml` is at 20 °C, after `contraction_ml`, the millilitres lost on mixing (below 0 if the volume
    grows). Neither includes ice that melts later.
    """

    mass_g: float
    volume_ml: float
    contraction_ml: float
    ethanol_g: float
    sugar_g: float

    @property
    def contraction_uncertainty_ml(self) -> float:
        """Bound on the error of `contraction_ml` by the mixing rule; 0 unless there is ethanol and sugar."""
        return liqueur.SUGAR_VOLUME_BOUND_ML_PER_G * self.sugar_g if self.ethanol_g else 0.0

    @property
    def percent_mass(self) -> float:
        """Grams of ethanol in 100 g; 0 for an empty glass."""
        return 100 * self.ethanol_g / self.mass_g if self.mass_g else 0.0

    @property
    def percent_vol(self) -> float:
        """Alcohol by volume at 20 °C; 0 for an empty glass."""
        if not self.volume_ml:
            return 0.0
        return 100 * self.ethanol_g / ETHANOL_20_G_PER_ML / self.volume_ml

    def plus(self, other: "DrinkStrength") -> "DrinkStrength":
        """Both together, each with the contraction that it has already."""
        return DrinkStrength(*map(add, astuple(self), astuple(other)))

    def standard_drinks(self, ethanol_g_each: float) -> float:
        """How many standard drinks of `ethanol_g_each` grams this is; see `standard_drink_g` for countries.

        Raises:
            QuantityError: a size outside 1 to 50 g.
        """
        require(
            "a standard drink",
            ethanol_g_each,
            1,
            50,
            "g of ethanol",
            "correct it; most countries use 8 to 14 g",
        )
        return self.ethanol_g / ethanol_g_each


def standard_drink_g(country: str) -> float:
    """Grams of ethanol in a standard drink of US, UK, AU, NZ or CA, in either case.

    Raises:
        QuantityError: another country.
    """
    try:
        return STANDARD_DRINK_G[country.strip().upper()]
    except KeyError:
        raise QuantityError(
            f"standard drinks are known for {', '.join(STANDARD_DRINK_G)}, got {country[:20]!r}; "
            "choose one of them or give the grams of ethanol"
        ) from None


@dataclass(frozen=True, slots=True)
class Mixture:
    """Liquids combined, in sums that add exactly: masses, and volumes at 20 °C before mixing.

    `formula_ml` takes each liquid's volume by its composition, `poured_ml` by the better density where there
    is one; the contraction follows from the first.
    """

    mass_g: float = 0.0
    ethanol_g: float = 0.0
    sugar_g: float = 0.0
    formula_ml: float = 0.0
    poured_ml: float = 0.0

    def plus(self, other: "Mixture", times: float = 1.0) -> "Mixture":
        """Both combined, the other one `times` over."""
        return Mixture(
            self.mass_g + times * other.mass_g,
            self.ethanol_g + times * other.ethanol_g,
            self.sugar_g + times * other.sugar_g,
            self.formula_ml + times * other.formula_ml,
            self.poured_ml + times * other.poured_ml,
        )

    @property
    def strength(self) -> DrinkStrength:
        """The strength of the drink once mixed."""
        if not self.mass_g:
            return DrinkStrength(0.0, 0.0, 0.0, 0.0, 0.0)
        mixed = Composition(self.ethanol_g / self.mass_g, self.sugar_g / self.mass_g)
        contraction_ml = self.formula_ml - self.mass_g / mixed.density_g_per_ml()
        return DrinkStrength(
            self.mass_g, self.poured_ml - contraction_ml, contraction_ml, self.ethanol_g, self.sugar_g
        )


def mixture_of(contents: Sequence[Content], masses_g: Sequence[float]) -> Mixture:
    """The contents combined; `masses_g` in the same order, as planned or as delivered.

    Raises:
        QuantityError: a negative mass, or more or fewer masses than contents.
    """
    if len(contents) != len(masses_g):
        raise QuantityError(
            f"each liquid needs one mass, got {len(masses_g)} for {len(contents)}; "
            "give 0 g for a liquid that was not poured"
        )
    mass_g = ethanol_g = sugar_g = formula_ml = poured_ml = 0.0
    for content, of_g in zip(contents, masses_g, strict=True):
        if not 0 <= of_g <= _HEAVIEST_G:
            require(
                "the mass of a dose", of_g, 0, _HEAVIEST_G, "g", "correct it; give 0 g for what is not poured"
            )
        composition = content.composition
        by_formula_g_per_ml = composition.density_g_per_ml()
        mass_g += of_g
        ethanol_g += of_g * composition.ethanol
        sugar_g += of_g * composition.sugar
        formula_ml += of_g / by_formula_g_per_ml
        poured_ml += of_g / (content.density_20_g_per_ml or by_formula_g_per_ml)
    return Mixture(mass_g, ethanol_g, sugar_g, formula_ml, poured_ml)


def drink_strength(contents: Sequence[Content], masses_g: Sequence[float]) -> DrinkStrength:
    """The strength of a drink of these contents; see `mixture_of`.

    Raises:
        QuantityError: a negative mass, or more or fewer masses than contents.
    """
    return mixture_of(contents, masses_g).strength
