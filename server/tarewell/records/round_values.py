"""Rounds as they go into the records and come out of them."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from tarewell.menu.values import Liquid
from tarewell.quantities.strength import DrinkStrength
from tarewell.rounds.events import Ending
from tarewell.rounds.plan import GlassPlan, RoundPlan

from .values import OPEN

MAX_ROUNDS = 200
"""Rounds on one page."""


@dataclass(frozen=True, slots=True)
class NewRound:
    """The intent of a round. An idempotency key comes with a fingerprint of the request."""

    plan: RoundPlan
    origin: str
    idempotency_key: str | None = None
    fingerprint: str | None = None


@dataclass(frozen=True, slots=True)
class AttemptRecord:
    """How an attempt at a glass ended, and what it then held by the scale, steps by hand as the recipe has
    them."""

    number: int
    ending: Ending
    ended_at: datetime
    pour_ids: tuple[str, ...]
    delivered: DrinkStrength


@dataclass(frozen=True, slots=True)
class GlassRecord:
    """A glass as it was planned, and its attempts that are over, in order."""

    index: int
    plan: GlassPlan
    attempts: tuple[AttemptRecord, ...]


@dataclass(frozen=True, slots=True)
class RoundRecord:
    """A round: intent, and outcome if there is one. `liquids` are the facts of that time."""

    id: str
    machine_id: str
    created_at: datetime
    origin: str
    program_version: str
    auto_start: bool
    glasses: tuple[GlassRecord, ...]
    liquids: Mapping[str, Liquid]
    outcome_state: str | None = None
    ended_at: datetime | None = None
    replayed: bool = False

    @property
    def state(self) -> str:
        """ "open", or the state that it ended in."""
        return self.outcome_state or OPEN


@dataclass(frozen=True, slots=True)
class RoundPage:
    """Rounds, newest first; `older` is the next query's `before`; None: no more."""

    rounds: tuple[RoundRecord, ...]
    older: str | None


@dataclass(frozen=True, slots=True)
class ServedRecord:
    """What an attempt at a glass brought a guest."""

    guest: str
    at: datetime
    ethanol_g: float


@dataclass(frozen=True, slots=True)
class NewRelease:
    """The operator lets a guest's waiting glass be poured, and says who did and why."""

    guest: str
    round_id: str
    glass_index: int
    released_by: str
    reason: str


@dataclass(frozen=True, slots=True)
class ReleaseRecord(NewRelease):
    """A release with its time."""

    at: datetime
