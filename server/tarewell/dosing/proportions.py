"""Keeps the taste of a drink when one of its doses misses: the remaining doses are rescaled.

docs/decisions/0004 explains the rule, the choice, and its limits.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from .plan import SMALLEST_DOSE_G

MAX_RESCALE = 1.25
"""The remaining doses grow by this factor at most, or shrink by its inverse: common practice, no
source. A drink that missed by more is spoilt, and a guest expects about the glass that was ordered."""

LEAST_SHARE = 0.1
"""Doses that were to be less of the drink than this are not followed by the rest: a dash that is off by a
tenth would make the whole drink a tenth larger."""


class Limit(StrEnum):
    """What limited the rescaling."""

    BOUND = "bound"
    ROOM = "room"
    SMALLEST_DOSE = "smallest_dose"


@dataclass(frozen=True, slots=True)
class Rescaling:
    """The remaining doses: `factor` on their planned masses, and their new targets in g.

    `limit` is what keeps the proportions from holding; None: they hold.
    """

    factor: float
    targets_g: tuple[float, ...]
    limit: Limit | None


def is_followed(planned_g: Sequence[float], done: int) -> bool:
    """Whether the first `done` doses of `planned_g` are enough of the drink for the rest to follow them, and
    there is a rest."""
    return done < len(planned_g) and sum(planned_g[:done]) >= LEAST_SHARE * sum(planned_g)


def rescale(planned_g: Sequence[float], delivered_g: Sequence[float], room_g: float) -> Rescaling:
    """Rescale the rest of the doses of `planned_g`, of which the first have delivered `delivered_g`.

    The factor is the mass delivered over the mass planned for it, so each remaining dose keeps its
    planned share of the whole drink. It is bounded by `MAX_RESCALE` and by `room_g`, the room left in
    the glass; no dose falls below `SMALLEST_DOSE_G`.
    """
    done = len(delivered_g)
    to_come = planned_g[done:]
    wanted = sum(delivered_g) / sum(planned_g[:done])
    factor = min(max(wanted, 1 / MAX_RESCALE), MAX_RESCALE)
    limit = None if factor == wanted else Limit.BOUND
    fits = room_g / sum(to_come)
    if fits < factor:
        factor, limit = max(fits, 1 / MAX_RESCALE), Limit.ROOM
    targets_g = tuple(max(factor * target_g, SMALLEST_DOSE_G) for target_g in to_come)
    if limit is None and factor * min(to_come) < SMALLEST_DOSE_G:
        limit = Limit.SMALLEST_DOSE
    return Rescaling(factor, targets_g, limit)
