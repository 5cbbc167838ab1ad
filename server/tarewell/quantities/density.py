"""Densities with uncertainty and origin, and conversion between millilitres and grams.

An uncertainty is the half-width of a 95 % interval; independent ones combine as the root of the sum of their
squares.

Air buoyancy is not corrected. A scale calibrated with steel weights (8000 kg/m³) in air of 1.199 kg/m³ (20
°C, 1013 hPa, 50 % humidity; ISO/TR 20461) reads water low by 0.105 %, a spirit of 40 % vol by 0.112 %, a
syrup of 60 degrees Brix by 0.078 %. Against a calibration with water that is 0.03 % at worst, while the
strength on a label leaves 0.05 % of the density uncertain, and a degree of temperature 0.07 %. To correct
it, every user would have to enter the weather, and no drink would improve.
"""

from dataclasses import dataclass
from enum import StrEnum
from math import hypot

from tarewell.quantities import ethanol, liqueur, water
from tarewell.quantities.composition import Composition, of_brix, of_label
from tarewell.quantities.errors import QuantityError, require

LIGHTEST_G_PER_ML, HEAVIEST_G_PER_ML = 0.7, 1.6
"""Every drink lies inside: ethanol has 0.79 at 20 °C, a syrup of 80 degrees Brix 1.41."""

_ENTERED_UNCERTAINTY_SHARE = 0.005
_FORMULA_UNCERTAINTY_G_PER_ML = 1e-5
_SYRUP_UNCERTAINTY_SHARE = 0.0004
_EXPANSION_UNCERTAINTY_SHARE = 0.2


class Origin(StrEnum):
    """Where a density comes from."""

    WATER = "water"
    STRENGTH = "strength"
    BRIX = "brix"
    STRENGTH_AND_SUGAR = "strength and sugar"
    ENTERED = "entered"
    WEIGHED = "weighed"


@dataclass(frozen=True, slots=True)
class Mass:
    """A mass in g with its uncertainty in g."""

    g: float
    uncertainty_g: float


@dataclass(frozen=True, slots=True)
class Volume:
    """A volume in ml with its uncertainty in ml."""

    ml: float
    uncertainty_ml: float


@dataclass(frozen=True, slots=True)
class Density:
    """A density in g/ml at a temperature in °C, with its uncertainty and where it comes from.

    Raises:
        QuantityError: a density outside 0.7 to 1.6 g/ml, or an uncertainty below 0 or above the density.
    """

    g_per_ml: float
    uncertainty_g_per_ml: float
    origin: Origin
    at_c: float

    def __post_init__(self) -> None:
        require(
            "a density",
            self.g_per_ml,
            LIGHTEST_G_PER_ML,
            HEAVIEST_G_PER_ML,
            "g/ml",
            "correct it (1000 kg/m³ is 1 g/ml), or weigh again with the scale at zero",
        )
        require(
            "the uncertainty of a density",
            self.uncertainty_g_per_ml,
            0,
            self.g_per_ml,
            "g/ml",
            "give half the width of the interval that holds the value",
        )

    def mass_of(self, volume_ml: float, volume_uncertainty_ml: float = 0.0) -> Mass:
        """The mass of a volume at `at_c`, with the uncertainties of density and volume combined."""
        mass_g = volume_ml * self.g_per_ml
        return Mass(
            mass_g, hypot(volume_ml * self.uncertainty_g_per_ml, volume_uncertainty_ml * self.g_per_ml)
        )

    def volume_of(self, mass_g: float, mass_uncertainty_g: float = 0.0) -> Volume:
        """The volume at `at_c` of a mass, with the uncertainties of density and mass combined."""
        volume_ml = mass_g / self.g_per_ml
        return Volume(
            volume_ml,
            hypot(volume_ml * self.uncertainty_g_per_ml, mass_uncertainty_g) / self.g_per_ml,
        )

    def moved_to(self, temperature_c: float, composition: Composition) -> "Density":
        """The density of the same liquid at another temperature, expanding as `composition` does.

        A fifth of the change is added to the uncertainty, since a real liquid is more than ethanol, sugar and
        water.

        Raises:
            QuantityError: either temperature outside the range of the composition's formula.
        """
        ratio = composition.density_g_per_ml(temperature_c) / composition.density_g_per_ml(self.at_c)
        moved = self.g_per_ml * ratio
        return Density(
            moved,
            hypot(self.uncertainty_g_per_ml * ratio, _EXPANSION_UNCERTAINTY_SHARE * (moved - self.g_per_ml)),
            self.origin,
            temperature_c,
        )


def of_water(at_c: float = 20.0) -> Density:
    """Water by Tanaka's formula, 0 to 40 °C; the uncertainty covers dissolved air, not minerals."""
    return Density(water.density_g_per_ml(at_c), _FORMULA_UNCERTAINTY_G_PER_ML, Origin.WATER, at_c)


def from_strength(
    strength_percent_vol: float, at_c: float = 20.0, off_by_percent_vol: float = 0.3
) -> Density:
    """A spirit without sugar by OIML R 22, -20 to 40 °C.

    `off_by_percent_vol` is how far off the label may be; 0.3 % vol is what EU Regulation 1169/2011, Annex
    XII, allows most spirits (from memory).

    Raises:
        QuantityError: a strength outside 0 to 100 % vol, or a temperature outside the range.
    """
    density = Composition(ethanol.mass_fraction(strength_percent_vol)).density_g_per_ml(at_c)
    label = _change(strength_percent_vol, 0.0, at_c, off_by_percent_vol)
    return Density(density, hypot(_FORMULA_UNCERTAINTY_G_PER_ML, label), Origin.STRENGTH, at_c)


def from_brix(brix: float, at_c: float = 20.0, off_by_brix: float = 0.5) -> Density:
    """A syrup or clear juice without alcohol by the ICUMSA polynomial, 0 to 60 °C.

    `off_by_brix` is how far off the reading may be, 0.5 for a hand refractometer (common practice, no
    source). The published tables differ from each other by up to 0.04 %, which is added.

    Raises:
        QuantityError: outside 0 to 80 degrees Brix, or a temperature outside the range.
    """
    density = of_brix(brix).density_g_per_ml(at_c)
    beside = of_brix(brix - off_by_brix if brix > off_by_brix else brix + off_by_brix).density_g_per_ml(at_c)
    return Density(density, hypot(_SYRUP_UNCERTAINTY_SHARE * density, beside - density), Origin.BRIX, at_c)


def from_strength_and_sugar(
    strength_percent_vol: float,
    sugar_g_per_l: float,
    at_c: float = 20.0,
    off_by_percent_vol: float = 0.3,
    off_by_g_per_l: float = 10.0,
) -> Density:
    """A liqueur by the mixing rule of `liqueur`, 0 to 40 °C, whose bound enters the uncertainty.

    Raises:
        QuantityError: strength or sugar out of range, both too much together, or a temperature outside the
            range.
    """
    composition = of_label(strength_percent_vol, sugar_g_per_l)
    density = composition.density_g_per_ml(at_c)
    parts = (
        liqueur.uncertainty_g_per_ml(composition.sugar, density) if strength_percent_vol else 0.0,
        _SYRUP_UNCERTAINTY_SHARE * density,
        _change(strength_percent_vol, sugar_g_per_l, at_c, off_by_percent_vol),
        of_label(strength_percent_vol, max(sugar_g_per_l - off_by_g_per_l, 0.0)).density_g_per_ml(at_c)
        - density,
    )
    return Density(density, hypot(*parts), Origin.STRENGTH_AND_SUGAR, at_c)


def entered(g_per_ml: float, at_c: float = 20.0, uncertainty_g_per_ml: float | None = None) -> Density:
    """A density that the user states, by default within half a per cent.

    Raises:
        QuantityError: a density outside 0.7 to 1.6 g/ml, or an impossible uncertainty.
    """
    uncertainty = (
        _ENTERED_UNCERTAINTY_SHARE * g_per_ml if uncertainty_g_per_ml is None else uncertainty_g_per_ml
    )
    return Density(g_per_ml, uncertainty, Origin.ENTERED, at_c)


def weighed(net_g: float, volume: Volume, at_c: float = 20.0, mass_uncertainty_g: float = 0.5) -> Density:
    """A density from the mass of a known volume, as a measuring cylinder on the scale gives it.

    Raises:
        QuantityError: a volume or mass that is not above 0, or a density outside 0.7 to 1.6 g/ml.
    """
    if not volume.ml > 0 or not net_g > 0:
        raise QuantityError(
            f"a weighed density needs a volume and a mass above 0, got {volume.ml:g} ml and {net_g:g} g; "
            "weigh again with the empty vessel tared"
        )
    g_per_ml = net_g / volume.ml
    uncertainty = g_per_ml * hypot(mass_uncertainty_g / net_g, volume.uncertainty_ml / volume.ml)
    return Density(g_per_ml, uncertainty, Origin.WEIGHED, at_c)


def weighed_bottle(
    full_g: float, empty_g: float, content: Volume, at_c: float = 20.0, mass_uncertainty_g: float = 0.5
) -> Density:
    """A density from a bottle weighed full and empty, and the content that its label states.

    Each of the two weighings is assumed to be within `mass_uncertainty_g`.

    Raises:
        QuantityError: the full bottle not heavier than the empty one, or as for `weighed`.
    """
    if not full_g > empty_g > 0:
        raise QuantityError(
            "a full bottle must be heavier than the empty one, got "
            f"{full_g:g} g full and {empty_g:g} g empty; swap or repeat the weighings"
        )
    return weighed(full_g - empty_g, content, at_c, hypot(mass_uncertainty_g, mass_uncertainty_g))


def _change(strength_percent_vol: float, sugar_g_per_l: float, at_c: float, by_percent_vol: float) -> float:
    """The change of the density when the strength is off, towards the weaker side where possible.

    A strength of 0 is taken as certain.
    """
    if strength_percent_vol == 0:
        return 0.0
    beside = strength_percent_vol - by_percent_vol
    if beside < 0:
        beside = strength_percent_vol + by_percent_vol
    here = of_label(strength_percent_vol, sugar_g_per_l).density_g_per_ml(at_c)
    return of_label(beside, sugar_g_per_l).density_g_per_ml(at_c) - here
