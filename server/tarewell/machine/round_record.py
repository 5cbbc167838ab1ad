"""A round as it is intended, and as it is kept, with what guests were served and released.

Times are aware and in UTC.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from tarewell.menu.values import Liquid
from tarewell.quantities.strength import DrinkStrength
from tarewell.rounds.events import Ending
from tarewell.rounds.guests import Served
from tarewell.rounds.plan import GlassPlan, RoundPlan

from .pour_record import OPEN


@dataclass(frozen=True, slots=True)
class NewRound:
    """The intent of a round. An idempotency key comes with a fingerprint of the request."""

    plan: RoundPlan
    origin: str
    idempotency_key: str | None = None
    fingerprint: str | None = None


@dataclass(frozen=True, slots=True)
class AttemptRecord:
    """How an attempt at a glass ended, and its contents by the scale, steps by hand as in the recipe."""

    number: int
    ending: Ending
    ended_at: datetime
    pour_ids: tuple[str, ...]
    delivered: DrinkStrength
    found_later: DrinkStrength | None = None
    """What was found for certain to have come from its pours besides, after they were cut short."""


@dataclass(frozen=True, slots=True)
class GlassRecord:
    """A glass as planned, and its finished attempts in order."""

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
class ServedRecord:
    """What an attempt at a glass served to a guest, with what was found for certain later."""

    guest: str
    at: datetime
    ethanol_g: float

    def on_clock(self, now: datetime, now_s: float) -> Served:
        """The same on a clock that shows `now_s` at the time `now`."""
        return Served(self.guest, now_s - max((now - self.at).total_seconds(), 0.0), self.ethanol_g)


@dataclass(frozen=True, slots=True)
class NewRelease:
    """The release of a guest's waiting glass: who released it, and why."""

    guest: str
    round_id: str
    glass_index: int
    released_by: str
    reason: str


@dataclass(frozen=True, slots=True)
class ReleaseRecord(NewRelease):
    """A release with its time."""

    at: datetime
