"""What a drink held, as planned and as the scale saw it delivered."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from tarewell.quantities.errors import QuantityError
from tarewell.quantities.strength import DrinkStrength, drink_strength

from .facts import UNDESCRIBED, Facts, facts_of
from .values import Liquid


@dataclass(frozen=True, slots=True)
class DoseResult:
    """A dose of the record: what was asked for and what arrived, in g."""

    liquid_id: str
    target_g: float
    delivered_g: float


@dataclass(frozen=True, slots=True)
class ByHand:
    """A top-up in g as the recipe has it, since nobody weighed it; `liquid_id` None: something without
    alcohol that nobody described."""

    liquid_id: str | None
    mass_g: float


@dataclass(frozen=True, slots=True)
class Outcome:
    """Strength, sugar and volume both ways. Where `strength_known` or `sugar_known` is False, something was
    never described and counts as none."""

    planned: DrinkStrength
    delivered: DrinkStrength
    strength_known: bool
    sugar_known: bool


def outcome(
    liquids: Mapping[str, Liquid], doses: Sequence[DoseResult], by_hand: Iterable[ByHand] = ()
) -> Outcome:
    """What a drink of these doses holds.

    A delivered mass below 0, as a scale at rest may read it, counts as 0. A liquid that `liquids` lacks, or
    that cannot be, counts as water and makes the figures unknown.

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


def _look_up(liquids: Mapping[str, Liquid], liquid_id: str | None) -> tuple[Liquid | None, Facts]:
    liquid = None if liquid_id is None else liquids.get(liquid_id)
    if liquid is None:
        return None, UNDESCRIBED
    try:
        return liquid, facts_of(liquid)
    except QuantityError:
        return None, UNDESCRIBED
