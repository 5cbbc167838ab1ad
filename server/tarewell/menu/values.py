"""The plain values of a menu. Each has an `id` of lower-case letters, digits and hyphens, and `active` False
where it is retired: kept for the history, no longer available.

Masses in g, volumes in ml, densities in g/ml, strength in % by volume at 20 °C, temperatures in °C, costs and
prices in the user's own currency.
"""

from dataclasses import dataclass, fields
from enum import StrEnum
from math import pi
from typing import Any

from tarewell.dosing.maintenance import ChannelNeed
from tarewell.quantities import composition
from tarewell.quantities.composition import Composition
from tarewell.quantities.density import Density, Origin
from tarewell.quantities.strength import Content
from tarewell.quantities.units import Amount

from .allergens import Allergen
from .hands import HandStep


@dataclass(frozen=True, slots=True)
class Liquid:
    """The kind of liquid in a bottle.

    `density` is as determined, at its own temperature; `serving_c` is the temperature of the liquid on the
    machine. Strength, sugar and allergens are None where not checked; cost is for a litre. `colour` is how it
    looks in a picture, as #rrggbb (None: nobody has said; `colours.py` finds one).
    """

    id: str
    name: str
    density: Density
    abv_percent: float | None = None
    sugar_g_per_l: float | None = None
    allergens: frozenset[Allergen] | None = None
    cost_per_l: float | None = None
    serving_c: float = 20.0
    note: str = ""
    colour: str | None = None
    active: bool = True

    @property
    def density_facts(self) -> dict[str, Any]:
        """The density's fields under the names that they have in a liquid: `density_at_c` and so on."""
        return {f"density_{field.name}": getattr(self.density, field.name) for field in fields(Density)}

    @property
    def composition(self) -> Composition:
        """By strength and sugar; an unknown one counts as 0.

        Raises:
            QuantityError: strength and sugar that exclude each other.
        """
        return composition.of_label(self.abv_percent or 0.0, self.sugar_g_per_l or 0.0)

    @property
    def serving_density(self) -> Density:
        """The density as poured, with its uncertainty."""
        if self.serving_c == self.density.at_c:
            return self.density
        return self.density.moved_to(self.serving_c, self.composition)

    @property
    def content(self) -> Content:
        """As an ingredient for `drink_strength`, with the density at 20 °C where that was weighed."""
        by_formula = self.density.origin not in (Origin.ENTERED, Origin.WEIGHED)
        if by_formula:
            return Content(self.composition)
        return Content(self.composition, self.density.moved_to(20.0, self.composition).g_per_ml)


@dataclass(frozen=True, slots=True)
class Glass:
    """A kind of glass. `headroom_ml` stays free below the brim; an empty one weighs from `lightest_g` to
    `heaviest_g`, by which it is recognised (None: it cannot be). Its inside is drawn as a truncated cone:
    diameter at the rim and at the base, and height, all three or none."""

    id: str
    name: str
    brim_ml: float
    headroom_ml: float
    lightest_g: float | None = None
    heaviest_g: float | None = None
    rim_mm: float | None = None
    base_mm: float | None = None
    height_mm: float | None = None
    active: bool = True

    @property
    def room_ml(self) -> float:
        """Its capacity without ice."""
        return self.brim_ml - self.headroom_ml

    @property
    def shape_ml(self) -> float | None:
        """The capacity to the brim by its inside; None: not measured."""
        if self.rim_mm is None or self.base_mm is None or self.height_mm is None:
            return None
        rim_cm, base_cm = self.rim_mm / 10, self.base_mm / 10
        return pi / 12 * self.height_mm / 10 * (rim_cm**2 + rim_cm * base_cm + base_cm**2)


@dataclass(frozen=True, slots=True)
class RecipeDose:
    """One liquid of a recipe. `text` is the amount as the user wrote it, `amount` its meaning."""

    liquid_id: str
    text: str
    amount: Amount


@dataclass(frozen=True, slots=True)
class Recipe:
    """A drink: steps in order, at least one of them a dose.

    It is poured into `glass_id` (None: any), of `volume_ml` where that is given; else parts or an open top-up
    fill the glass; else the amounts decide. `price` is what a guest pays for it (None: not set). With
    `keep_order` its doses are poured in the order of its steps; else the smallest of a pour comes first.
    """

    id: str
    name: str
    steps: tuple[RecipeDose | HandStep, ...]
    glass_id: str | None = None
    volume_ml: float | None = None
    price: float | None = None
    keep_order: bool = False
    note: str = ""
    active: bool = True


@dataclass(frozen=True, slots=True)
class Bottle:
    """A bottle, mounted on `channel` or on the shelf (None).

    `content_g` is its content by the ledger; up to `low_g` it counts as low. `tare_g` is the mass of the
    empty bottle where known: then the content can be corrected by weighing.
    """

    id: str
    liquid_id: str
    content_g: float
    full_g: float
    low_g: float
    tare_g: float | None = None
    channel: int | None = None
    opened_at: str | None = None
    """UTC, RFC 3339; None: not opened."""


class Movement(StrEnum):
    """Why a bottle's content changed."""

    OPENING = "opening"
    POUR = "pour"
    PRIME = "prime"
    PURGE = "purge"
    FOUND = "found"
    CORRECTION = "correction"


@dataclass(frozen=True, slots=True)
class ChannelFacts:
    """What planning knows of a channel: its liquid, its bottle, and what pouring has taught.

    `flow_g_per_s` is the flow at full speed (0: never seen); `smallest_dose_g` the smallest dose that is
    trusted there; `need` what must be done before it may pour a drink, `residue` the other liquids in its
    tube that this is about. With `held_allergens` its tube once held a liquid that may hold an allergen which
    its own does not declare.
    """

    number: int
    liquid_id: str | None
    bottle: Bottle | None = None
    flow_g_per_s: float = 0.0
    smallest_dose_g: float = 2.0
    need: ChannelNeed = ChannelNeed.NONE
    residue: tuple[Liquid, ...] = ()
    held_allergens: bool = False


@dataclass(frozen=True, slots=True)
class Menu:
    """Everything that a recipe is compiled against, by id or by channel number."""

    liquids: dict[str, Liquid]
    glasses: dict[str, Glass]
    recipes: dict[str, Recipe]
    channels: dict[int, ChannelFacts]
    scale_max_g: float
    """The scale's Max, glass included."""
