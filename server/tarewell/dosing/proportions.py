"""Keeps the taste of a drink when one of its doses misses: the doses to come follow it.

The rule, why it is this one, and what it cannot do are told in docs/decisions/0004.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from .plan import SMALLEST_DOSE_G

MAX_RESCALE = 1.25
"""The doses to come become larger by this factor at the most, or smaller by its inverse: common practice, no
source. A drink that missed by more is spoilt, and a guest expects about the glass that was ordered."""


class Limit(StrEnum):
    """What kept the doses to come from following."""

    BOUND = "bound"
    ROOM = "room"
    SMALLEST_DOSE = "smallest_dose"


@dataclass(frozen=True, slots=True)
class Rescaling:
    """The doses to come: `factor` on their planned masses, and what they are to weigh now, in g.

    With a `limit` the proportions cannot hold; None where they do.
    """

    factor: float
    targets_g: tuple[float, ...]
    limit: Limit | None


def rescale(planned_g: Sequence[float], delivered_g: Sequence[float], room_g: float) -> Rescaling:
    """Doses of `planned_g`, of which the first have delivered `delivered_g` and some are to come.

    The factor is all that was delivered over all that was planned for it, so each dose to come keeps its
    planned share of the whole drink. It is bounded by `MAX_RESCALE`, and by `room_g`, what still goes into
    the glass; no dose falls below the smallest one.
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
