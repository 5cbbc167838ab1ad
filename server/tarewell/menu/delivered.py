"""The contents of a drink, as planned and as delivered by the scale."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import astuple, dataclass

from tarewell.quantities.errors import QuantityError
from tarewell.quantities.strength import DrinkStrength, drink_strength

from .facts import UNDESCRIBED, Facts, facts_of
from .values import Liquid


@dataclass(frozen=True, slots=True)
class DoseResult:
    """A dose of the record: target and delivered mass in g."""

    liquid_id: str
    target_g: float
    delivered_g: float


@dataclass(frozen=True, slots=True)
class ByHand:
    """A top-up in g as in the recipe, since nobody weighed it; `liquid_id` None: an undescribed liquid
    without alcohol."""

    liquid_id: str | None
    mass_g: float


@dataclass(frozen=True, slots=True)
class Outcome:
    """Strength, sugar and volume, planned and delivered. Where `strength_known` or `sugar_known` is False, an
    undescribed liquid counts as having none."""

    planned: DrinkStrength
    delivered: DrinkStrength
    strength_known: bool
    sugar_known: bool


def outcome(
    liquids: Mapping[str, Liquid], doses: Sequence[DoseResult], by_hand: Iterable[ByHand] = ()
) -> Outcome:
    """The contents of a drink of these doses.

    A delivered mass below 0, as a scale at rest may read, counts as 0. A liquid that `liquids` lacks, or
    an impossible one, counts as water and makes the figures unknown.

    Raises:
        QuantityError: a mass that is not a number, or above 1 t.
    """
    hands = list(by_hand)
    ids = [*(dose.liquid_id for dose in doses), *(hand.liquid_id for hand in hands)]
    found = [_look_up(liquids, liquid_id) for liquid_id in ids]
    contents = [facts.content for _, facts in found]
    hand_g = [hand.mass_g for hand in hands]
    described = [liquid for liquid, _ in found]
    named = [liquid for liquid_id, liquid in zip(ids, described, strict=True) if liquid_id is not None]
    return Outcome(
        planned=drink_strength(contents, [dose.target_g for dose in doses] + hand_g),
        delivered=drink_strength(
            contents, [0.0 if dose.delivered_g < 0 else dose.delivered_g for dose in doses] + hand_g
        ),
        strength_known=all(liquid is not None and liquid.abv_percent is not None for liquid in named),
        sugar_known=all(liquid is not None and liquid.sugar_g_per_l is not None for liquid in described),
    )


def held_of(liquid_id: str, mass_g: float, liquids: Mapping[str, Liquid]) -> DrinkStrength:
    """The contents of this mass of a liquid in g, which may be below 0: then of what was not there."""
    held = outcome(liquids, [DoseResult(liquid_id, abs(mass_g), abs(mass_g))]).delivered
    return held if mass_g >= 0 else DrinkStrength(*(-figure for figure in astuple(held)))


def _look_up(liquids: Mapping[str, Liquid], liquid_id: str | None) -> tuple[Liquid | None, Facts]:
    liquid = None if liquid_id is None else liquids.get(liquid_id)
    if liquid is None:
        return None, UNDESCRIBED
    try:
        return liquid, facts_of(liquid)
    except QuantityError:
        return None, UNDESCRIBED
