"""How much of everything goes into one drink: parts and amounts become grams.

Amounts (ml, g) are what they say; parts, by volume, share what the amounts leave of the drink. An open top-up
takes the place of parts. Where a recipe has amounts alone and a volume is asked for, all of it is scaled
alike; under a limit of ethanol the whole drink is made smaller, never weaker.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from tarewell.quantities.strength import DrinkStrength, drink_strength
from tarewell.quantities.units import Amount, Kind

from .facts import Facts

ICE_G_PER_ML = 0.9167
"""Density of ice at 0 °C and normal pressure, 916.72 kg/m³ by IAPWS R10-06."""

_STEPS = 12
_SOLVED_ML = 1e-6
CLOSE_ML = 1e-4
"""What counts as rounding between a drink and its glass."""


@dataclass(frozen=True, slots=True)
class Ingredient:
    """A liquid in a drink; `amount` None: it fills up what the others leave."""

    facts: Facts
    amount: Amount | None

    @property
    def fixed_g(self) -> float:
        """Mass that the amount names, 0 for what is flexible."""
        if self.amount is None or self.amount.kind is Kind.PARTS:
            return 0.0
        if self.amount.kind is Kind.MASS_G:
            return self.amount.value
        return self.amount.value * self.facts.g_per_ml

    @property
    def share_g(self) -> float:
        """Mass for one ml of a part, 0 for what is fixed."""
        if self.amount is None:
            return self.facts.g_per_ml
        return self.amount.value * self.facts.g_per_ml if self.amount.kind is Kind.PARTS else 0.0


@dataclass(frozen=True, slots=True)
class Sizing:
    """How large a drink is to be. `volume_ml` is of the mixed drink at 20 °C without ice; else what is
    flexible fills `room_ml` beside the ice. None: not said."""

    volume_ml: float | None = None
    room_ml: float | None = None
    ice_g: float = 0.0
    ethanol_most_g: float | None = None


@dataclass(frozen=True, slots=True)
class Portion:
    """The mass of each ingredient in g, and the drink that they make.

    `size_open`: neither volume nor room was known, so what is flexible has no mass. `crowded`: the amounts
    alone are more than the size. `smaller_by`: the factor that the limit of ethanol took, 1 if none.
    """

    masses_g: tuple[float, ...]
    strength: DrinkStrength
    ice_ml: float
    size_open: bool = False
    crowded: bool = False
    smaller_by: float = 1.0

    @property
    def occupied_ml(self) -> float:
        """Room that the drink takes together with its ice."""
        return self.strength.volume_ml + self.ice_ml


def displaced_ml(ice_g: float, strength: DrinkStrength) -> float:
    """Volume by which ice raises a drink: what floats displaces its own mass (Archimedes), what sinks its
    own volume. Too little drink to float it all is raised by less."""
    if not ice_g:
        return 0.0
    density = strength.mass_g / strength.volume_ml if strength.volume_ml else 1.0
    return ice_g / max(density, ICE_G_PER_ML)


def portion(ingredients: Sequence[Ingredient], sizing: Sizing) -> Portion:
    """Work out the masses; a limit of ethanol of 0 cannot be met by less of a drink and is left alone."""
    contents = [ingredient.facts.content for ingredient in ingredients]
    fixed = [ingredient.fixed_g for ingredient in ingredients]
    shares = [ingredient.share_g for ingredient in ingredients]

    def mixed(part_ml: float) -> Portion:
        masses = [mass + part_ml * share for mass, share in zip(fixed, shares, strict=True)]
        strength = drink_strength(contents, masses)
        return Portion(tuple(masses), strength, displaced_ml(sizing.ice_g, strength))

    if any(shares):
        alone_ml = [
            (mass / ingredient.facts.g_per_ml, share / ingredient.facts.g_per_ml)
            for ingredient, mass, share in zip(ingredients, fixed, shares, strict=True)
        ]
        found = _filled(mixed, sizing, sum(ml for ml, _ in alone_ml), sum(ml for _, ml in alone_ml))
    else:
        found = mixed(0.0)
        if sizing.volume_ml is not None and found.strength.volume_ml:
            found = _scaled(found, sizing.volume_ml / found.strength.volume_ml, sizing.ice_g)
    most_g = sizing.ethanol_most_g
    if most_g and found.strength.ethanol_g > most_g:
        factor = most_g / found.strength.ethanol_g
        return replace(_scaled(found, factor, sizing.ice_g), smaller_by=factor)
    return found


def _filled(mixed: Callable[[float], Portion], sizing: Sizing, fixed_ml: float, parts_ml: float) -> Portion:
    """Find the ml of a part by the secant method: volumes nearly add, so that three steps do as a rule.

    `fixed_ml` and `parts_ml` are the volumes of the amounts and of one ml of each part before mixing.
    """
    beside_ice = sizing.volume_ml is None
    size_ml = sizing.room_ml if sizing.volume_ml is None else sizing.volume_ml
    if size_ml is None:
        return replace(mixed(0.0), size_open=True)
    part_ml = (size_ml - fixed_ml - (sizing.ice_g if beside_ice else 0.0)) / parts_ml
    slope, last_ml, last_excess_ml = parts_ml, 0.0, 0.0
    for step in range(_STEPS):
        part_ml = max(part_ml, 0.0)
        found = mixed(part_ml)
        excess_ml = (found.occupied_ml if beside_ice else found.strength.volume_ml) - size_ml
        if abs(excess_ml) < _SOLVED_ML or (part_ml == 0 and excess_ml > 0):
            break
        if step:
            slope = (excess_ml - last_excess_ml) / (part_ml - last_ml)
        last_ml, last_excess_ml = part_ml, excess_ml
        part_ml -= excess_ml / slope
    return replace(found, crowded=part_ml == 0)


def _scaled(found: Portion, factor: float, ice_g: float) -> Portion:
    of = found.strength
    strength = DrinkStrength(
        of.mass_g * factor,
        of.volume_ml * factor,
        of.contraction_ml * factor,
        of.ethanol_g * factor,
        of.sugar_g * factor,
    )
    masses = tuple(mass * factor for mass in found.masses_g)
    return replace(found, masses_g=masses, strength=strength, ice_ml=displaced_ml(ice_g, strength))
