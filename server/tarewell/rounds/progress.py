"""A round at a glance: its prompt, and when it will end if nothing goes wrong."""

from collections.abc import Sequence
from dataclasses import dataclass

from tarewell.menu.compiling import TARE_S
from tarewell.menu.delivered import Outcome
from tarewell.menu.drink import PlannedHand

from .plan import GlassPlan, Leg
from .states import RoundState

CHANGE_S = 6.0
"""The time to change glasses: a guess, no source."""


@dataclass(frozen=True, slots=True)
class GlassProgress:
    """A glass: "waiting", "under_way", or how it ended; `attempts` were begun, the pours are of the last.

    `outcome` is its contents by the pours that are over; None while it waits. `takes_s` is how long it takes
    from its begin on; None where a flow was never seen.
    """

    state: str
    attempts: int
    pour_ids: tuple[str, ...]
    outcome: Outcome | None
    takes_s: float | None


@dataclass(frozen=True, slots=True)
class RoundProgress:
    """`glass` and `leg` count from 0, `name` is the glass's drink, `glass_name` its kind of glass (None:
    any); `begun` once anything is in it. `detail` says what is wrong. `hand` is the step to confirm, and
    `leg_elapsed_s` how long it, or the pour, has been under way; 0 while neither is.

    `remaining_s` is None where a flow was never seen.
    """

    state: RoundState
    glass: int
    attempt: int
    leg: int
    name: str
    guest: str | None
    glass_name: str | None
    begun: bool
    detail: str
    pour_id: str | None
    hand: PlannedHand | None
    leg_elapsed_s: float
    glasses: tuple[GlassProgress, ...]
    remaining_s: float | None

    @property
    def prompt(self) -> str:
        """The prompt for whoever is at the machine, in one line; without glass and drink."""
        match self.state:
            case RoundState.AWAITING_REMOVAL:
                return "clear the platform"
            case RoundState.AWAITING_RELEASE:
                return f"{self.guest} waits for a release"
            case RoundState.AWAITING_GLASS if self.begun:
                return "put the glass back on the platform"
            case RoundState.AWAITING_GLASS:
                return f"put an empty {self.glass_name or 'glass'} on the platform"
            case RoundState.GLASS_READY:
                return "the glass is ready; start"
            case RoundState.BY_HAND if self.hand is not None:
                return f"by hand: {self._hand_text(self.hand)}, then confirm"
            case RoundState.POURING:
                return "pouring"
            case RoundState.HELD:
                return "held; restart, skip or stop"
        return self.state.value.replace("_", " ")

    def _hand_text(self, hand: PlannedHand) -> str:
        figures = [f"{value:.0f} {unit}" for value, unit in hand.step.figures]
        if hand.step.brings_liquid and hand.mass_g:
            figures.append(f"{hand.mass_g:.0f} g")
        return f"{hand.step.what} ({', '.join(figures)})" if figures else hand.step.what


def leg_s(leg: Leg) -> float | None:
    """How long a leg takes; None where a flow was never seen."""
    if isinstance(leg, PlannedHand):
        return leg.step.takes_s()
    seconds = TARE_S
    for dose in leg:
        if dose.time_s is None:
            return None
        seconds += dose.time_s
    return seconds


def remaining_s(glass: GlassPlan, leg: int, elapsed_s: float, to_come: Sequence[GlassPlan]) -> float | None:
    """Time for the glass from `leg` on, of which `elapsed_s` have passed, and for the others."""
    legs = [leg_s(item) for item in glass.legs[leg:]]
    after = [leg_s(item) for other in to_come for item in other.legs]
    changes = CHANGE_S * len(to_come)
    known = [seconds for seconds in (*legs, *after) if seconds is not None]
    if len(known) < len(legs) + len(after):
        return None
    spent_s = min(elapsed_s, known[0]) if legs else 0.0
    return sum(known) - spent_s + changes
