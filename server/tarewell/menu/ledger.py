"""Stock arithmetic: a bottle's content is the sum of its movements.

Contents are in g as the scale measured them. The ledger may fall a little below 0 where a bottle held more
than its label said; nothing is clipped, so that the sum stays consistent with the movements.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from math import fsum, isfinite

from tarewell.dosing.plan import SMALLEST_DOSE_G

from .errors import MenuError
from .values import Bottle, Movement


class Level(StrEnum):
    """How full a bottle is."""

    ENOUGH = "enough"
    LOW = "low"
    EMPTY = "empty"


@dataclass(frozen=True, slots=True)
class Moved:
    """One movement: `change_g` is above 0 for liquid into the bottle, below 0 for liquid out of it."""

    kind: Movement
    change_g: float


def content_g(movements: Iterable[Moved]) -> float:
    """The content of the bottle in g."""
    return fsum(movement.change_g for movement in movements)


def level_of(bottle: Bottle) -> Level:
    """Empty below the smallest dose of any pour (2 g), low up to the bottle's own threshold."""
    if bottle.content_g < SMALLEST_DOSE_G:
        return Level.EMPTY
    return Level.LOW if bottle.content_g <= bottle.low_g else Level.ENOUGH


def drawn(kind: Movement, delivered_g: float) -> Moved:
    """The movement of a pour, a prime or a purge, by the mass that it delivered.

    A scale at rest may read a few hundredths below its zero: no liquid came back, so that counts as 0.

    Raises:
        MenuError: a mass that is not a number.
    """
    if not isfinite(delivered_g):
        raise MenuError(f"a delivered mass must be a number in g, got {delivered_g}; check the scale")
    return Moved(kind, -max(delivered_g, 0.0))


def correction(bottle: Bottle, gross_g: float) -> Moved:
    """The movement that sets a bottle's content by weighing: `gross_g` includes the bottle itself.

    Raises:
        MenuError: the empty bottle's mass is not known, or the weighing is below the empty bottle's mass or
            above the full one's (with 5 % tolerance for the label).
    """
    if bottle.tare_g is None:
        raise MenuError(
            f"the empty mass of bottle {bottle.id} is not known, so a weighing does not show what is in it; "
            "set tare_g to what an empty one weighs"
        )
    net_g = gross_g - bottle.tare_g
    if not -SMALLEST_DOSE_G <= net_g <= 1.05 * bottle.full_g:
        raise MenuError(
            f"bottle {bottle.id} must weigh from {bottle.tare_g:g} g empty to "
            f"{bottle.tare_g + bottle.full_g:g} g full, got {gross_g:g} g; weigh it alone on the scale at "
            "zero, or correct tare_g or full_g"
        )
    return Moved(Movement.CORRECTION, max(net_g, 0.0) - bottle.content_g)
