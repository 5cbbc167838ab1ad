"""A round at a glance, and when it will end if nothing goes wrong."""

from collections.abc import Sequence
from dataclasses import dataclass

from tarewell.menu.compiling import TARE_S
from tarewell.menu.delivered import Outcome
from tarewell.menu.drink import PlannedHand

from .plan import GlassPlan, Leg
from .states import RoundState

HAND_S = 10.0
CHANGE_S = 6.0
"""What a step by hand and a change of glasses take: guesses, no source. People differ, and a bar in a hurry
is faster than one that talks."""


@dataclass(frozen=True, slots=True)
class GlassProgress:
    """A glass: "waiting", "under_way", or how it ended; `attempts` were begun, the pours are of the last one.

    `outcome` is what is in it by the pours that are over; None while it waits.
    """

    state: str
    attempts: int
    pour_ids: tuple[str, ...]
    outcome: Outcome | None


@dataclass(frozen=True, slots=True)
class RoundProgress:
    """`glass` and `leg` count from 0, `name` is the glass's drink. `prompt` says what is wanted next, and
    `detail` what is wrong; `hand` is the step that is to be confirmed.

    `remaining_s` is None where a flow was never seen.
    """

    state: RoundState
    glass: int
    attempt: int
    leg: int
    name: str
    guest: str | None
    prompt: str
    detail: str
    pour_id: str | None
    hand: PlannedHand | None
    glasses: tuple[GlassProgress, ...]
    remaining_s: float | None


def leg_s(leg: Leg) -> float | None:
    """How long a leg takes; None where a flow was never seen."""
    if not isinstance(leg, tuple):
        return HAND_S
    seconds = TARE_S
    for dose in leg:
        if dose.time_s is None:
            return None
        seconds += dose.time_s
    return seconds


def remaining_s(glass: GlassPlan, leg: int, elapsed_s: float, to_come: Sequence[GlassPlan]) -> float | None:
    """Time to the end: of the glass from `leg` on, of which `elapsed_s` have passed, and of the others."""
    legs = [leg_s(item) for item in glass.legs[leg:]]
    after = [leg_s(item) for other in to_come for item in other.legs]
    changes = CHANGE_S * len(to_come)
    known = [seconds for seconds in (*legs, *after) if seconds is not None]
    if len(known) < len(legs) + len(after):
        return None
    spent_s = min(elapsed_s, known[0]) if legs else 0.0
    return sum(known) - spent_s + changes
