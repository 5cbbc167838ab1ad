"""What the outside may ask of rounds, what it is shown of guests, and why it may be refused."""

from collections.abc import Sequence
from dataclasses import dataclass

from tarewell.records.round_values import ReleaseRecord
from tarewell.rounds.feasible import Feasibility, Wanted


@dataclass(frozen=True, slots=True)
class RoundRequest:
    """Glasses in their order; `allow_short` begins without those that cannot be poured."""

    wanted: Sequence[Wanted]
    origin: str
    auto_start: bool = False
    allow_short: bool = False
    key: str | None = None
    fingerprint: str | None = None


@dataclass(frozen=True, slots=True)
class GuestStanding:
    """What was poured for a guest within the window that ends now, in standard drinks.

    `limit` None: no limit is set. `waiting_glass` is the glass of the round under way that waits for a
    release, from 0.
    """

    guest: str
    standard_drinks: float
    limit: float | None
    window_h: float
    waiting_glass: int | None
    releases: Sequence[ReleaseRecord]


class RoundNotPossibleError(Exception):
    """Not all glasses can be poured now; `feasibility` says which can."""

    def __init__(self, message: str, feasibility: Feasibility) -> None:
        super().__init__(message)
        self.feasibility = feasibility


class RoundNotUnderWayError(Exception):
    """The round is over, another one is under way, or nothing waits for what was ordered."""
