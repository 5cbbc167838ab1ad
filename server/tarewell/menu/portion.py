"""How much of each ingredient goes into one drink: parts and amounts become grams.

Amounts (ml, g) are fixed; parts, by volume, share what the amounts leave of the drink. An open top-up
replaces parts. Where a recipe has amounts alone and a volume is asked for, everything is scaled alike; under
a limit of ethanol the whole drink is made smaller, never weaker.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from tarewell.quantities.strength import DrinkStrength, Mixture, mixture_of
from tarewell.quantities.units import Amount, AmountKind

from .facts import Facts

ICE_G_PER_ML = 0.9167
"""Density of ice at 0 °C and normal pressure, 916.72 kg/m³ by IAPWS R10-06."""

NO_ETHANOL_G = 1e-3
"""A limit below this allows no ethanol at all."""

_STEPS = 12
_SOLVED_ML = 1e-6
CLOSE_ML = 1e-4
"""Differences up to this between a drink and its glass are rounding."""


@dataclass(frozen=True, slots=True)
class Ingredient:
    """A liquid in a drink; `amount` None: it fills what the others leave."""

    facts: Facts
    amount: Amount | None

    @property
    def fixed_g(self) -> float:
        """Mass of a fixed amount, 0 for a flexible one."""
        if self.amount is None or self.amount.kind is AmountKind.PARTS:
            return 0.0
        if self.amount.kind is AmountKind.MASS_G:
            return self.amount.value
        return self.amount.value * self.facts.g_per_ml

    @property
    def share_g(self) -> float:
        """Mass for one ml of a part, 0 for a fixed amount."""
        if self.amount is None:
            return self.facts.g_per_ml
        return self.amount.value * self.facts.g_per_ml if self.amount.kind is AmountKind.PARTS else 0.0


@dataclass(frozen=True, slots=True)
class Sizing:
    """The size of a drink. `volume_ml` is of the mixed drink at 20 °C without ice; without it, the flexible
    ingredients fill `room_ml` beside the ice. None: not stated."""

    volume_ml: float | None = None
    room_ml: float | None = None
    ice_g: float = 0.0
    max_ethanol_g: float | None = None


@dataclass(frozen=True, slots=True)
class Portion:
    """The mass of each ingredient in g, and the drink that they make.

    `size_open`: neither volume nor room was known, so flexible ingredients have no mass. `crowded`: the
    amounts alone exceed the size. `smaller_by`: the factor that the limit of ethanol required, 1 if none.
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
    """Volume by which ice raises a drink: floating ice displaces its own mass (Archimedes), sunken ice its
    own volume. A drink too small to float all of it rises by less."""
    if not ice_g:
        return 0.0
    density = strength.mass_g / strength.volume_ml if strength.volume_ml else 1.0
    return ice_g / max(density, ICE_G_PER_ML)


def portion(ingredients: Sequence[Ingredient], sizing: Sizing) -> Portion:
    """Work out the masses; a limit below `NO_ETHANOL_G` cannot be met by a smaller drink and is ignored."""
    contents = [ingredient.facts.content for ingredient in ingredients]
    fixed_g = [ingredient.fixed_g for ingredient in ingredients]
    shares_g = [ingredient.share_g for ingredient in ingredients]
    fixed, share = mixture_of(contents, fixed_g), mixture_of(contents, shares_g)
    times, part_ml, open_, crowded = 1.0, 0.0, False, False
    if share.mass_g:
        size_ml, ice_g = sizing.volume_ml, 0.0
        if size_ml is None:
            size_ml, ice_g = sizing.room_ml, sizing.ice_g
        open_ = size_ml is None
        part_ml = 0.0 if size_ml is None else _part_ml(fixed, share, size_ml, ice_g)
        crowded = not open_ and part_ml == 0
    whole = fixed.plus(share, part_ml)
    strength = whole.strength
    if not share.mass_g and sizing.volume_ml is not None and strength.volume_ml:
        times = sizing.volume_ml / strength.volume_ml
    smaller_by, max_g = 1.0, sizing.max_ethanol_g
    if max_g is not None and NO_ETHANOL_G <= max_g < times * strength.ethanol_g:
        smaller_by = max_g / (times * strength.ethanol_g)
        times *= smaller_by
    if times != 1:
        strength = Mixture().plus(whole, times).strength
    masses_g = tuple(times * (mass + part_ml * per) for mass, per in zip(fixed_g, shares_g, strict=True))
    return Portion(masses_g, strength, displaced_ml(sizing.ice_g, strength), open_, crowded, smaller_by)


def _part_ml(fixed: Mixture, share: Mixture, size_ml: float, ice_g: float) -> float:
    """The ml of a part with which drink and ice take `size_ml`, 0 where the amounts alone take as much.

    All but contraction and ice is linear, so the secant method usually needs three steps.
    """
    part_ml = max((size_ml - fixed.poured_ml - ice_g) / share.poured_ml, 0.0)
    slope, last_ml, last_excess_ml = share.poured_ml, -1.0, 0.0
    for _ in range(_STEPS):
        strength = fixed.plus(share, part_ml).strength
        excess_ml = strength.volume_ml + displaced_ml(ice_g, strength) - size_ml
        if abs(excess_ml) < _SOLVED_ML or (part_ml == 0 and excess_ml > 0):
            break
        if last_ml >= 0:
            slope = (excess_ml - last_excess_ml) / (part_ml - last_ml)
        last_ml, last_excess_ml = part_ml, excess_ml
        part_ml = max(part_ml - excess_ml / slope, 0.0)
    return part_ml
