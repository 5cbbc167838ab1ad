"""Stock arithmetic: a bottle's content is the sum of its movements.

Contents are in g as the scale saw them leave. The ledger may fall a little below 0 where a bottle held more
than its label said; nothing is cut off, so that the sum stays the truth about what was written down.
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
    """One movement: `change_g` is above 0 for what came into the bottle, below 0 for what left it."""

    kind: Movement
    change_g: float


def content_g(movements: Iterable[Moved]) -> float:
    """What is in the bottle, in g."""
    return fsum(movement.change_g for movement in movements)


def level_of(bottle: Bottle) -> Level:
    """Empty below the smallest dose that any pour may have (2 g), low up to the bottle's own threshold."""
    if bottle.content_g < SMALLEST_DOSE_G:
        return Level.EMPTY
    return Level.LOW if bottle.content_g <= bottle.low_g else Level.ENOUGH


def drawn(kind: Movement, delivered_g: float) -> Moved:
    """What a pour, a prime or a purge took, by the mass that it delivered.

    A scale at rest may read a few hundredths below its zero: that is no liquid coming back, and counts as 0.

    Raises:
        MenuError: a mass that is not a number.
    """
    if not isfinite(delivered_g):
        raise MenuError(
            f"a delivered mass is expected as a number in g, got {delivered_g}; look at the scale"
        )
    return Moved(kind, -max(delivered_g, 0.0))


def correction(bottle: Bottle, gross_g: float) -> Moved:
    """The movement that sets a bottle's content to what it weighs: `gross_g` with the bottle's own glass.

    Raises:
        MenuError: the empty bottle's mass is not known, or the weighing is of less than the empty bottle or
            more than the full one (5 % are left for the label).
    """
    if bottle.tare_g is None:
        raise MenuError(
            f"the empty mass of bottle {bottle.id} is not known, so a weighing does not show what is in it; "
            "set tare_g to what an empty one weighs"
        )
    net_g = gross_g - bottle.tare_g
    if not -SMALLEST_DOSE_G <= net_g <= 1.05 * bottle.full_g:
        raise MenuError(
            f"bottle {bottle.id} is expected to weigh from {bottle.tare_g:g} g empty to "
            f"{bottle.tare_g + bottle.full_g:g} g full, got {gross_g:g} g; weigh it alone on the scale at "
            "zero, or correct tare_g or full_g"
        )
    return Moved(Movement.CORRECTION, max(net_g, 0.0) - bottle.content_g)
