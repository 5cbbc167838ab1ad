"""The machine's requests, state and refusals, as plain values."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Generic, TypeVar

from tarewell.dosing.events import PourCommand
from tarewell.dosing.maintenance import TubeState
from tarewell.dosing.plan import PourPlan
from tarewell.dosing.progress import PourProgress
from tarewell.rounds.events import RoundCommand
from tarewell.rounds.progress import RoundProgress
from tarewell.rounds.serving import serving_of
from tarewell.weighing.calibration import Calibration
from tarewell.weighing.scale import Indication
from tarewell_protocol.messages import BoardStats, SelfTest

from .alarms import ActiveAlarm
from .link_status import LinkStatus
from .pour_record import PourRecord, RecipeNote
from .round_record import NewRound, ReleaseRecord, RoundRecord

A_co = TypeVar("A_co", covariant=True)


@dataclass(frozen=True, slots=True)
class MachineStatus:
    """The machine at a glance. `blockers` says why no pour can start; empty when one can.

    `alarms` are the active ones, the worst first; they are in memory, whatever becomes of the records.
    """

    machine_id: str
    link: LinkStatus
    indication: Indication | None
    calibrated: bool
    latched: bool
    pour_id: str | None
    blockers: tuple[str, ...]
    round_id: str | None = None
    alarms: tuple[ActiveAlarm, ...] = ()
    self_test: SelfTest | None = None


@dataclass(frozen=True, slots=True)
class MachineState:
    """A snapshot of the machine. `tubes` says what each channel's tube holds and needs; of one that is
    missing nothing is known.

    `followed_pour` and `followed_round` stay, with their progress, until the outcome is in the records.
    """

    status: MachineStatus
    tubes: Mapping[int, TubeState] = field(default_factory=dict)
    followed_pour: str | None = None
    pour: PourProgress | None = None
    followed_round: str | None = None
    round: RoundProgress | None = None

    def pour_progress(self, pour_id: str) -> PourProgress | None:
        """The pour at a glance, until its outcome is in the records; None for any other."""
        return self.pour if pour_id == self.followed_pour else None

    def round_progress(self, round_id: str) -> RoundProgress | None:
        """The round at a glance, until its outcome is in the records; None for any other."""
        return self.round if round_id == self.followed_round else None

    def blocked(self, reason: str) -> "MachineState":
        """The same with one more blocker, and without the indication, which could be stale."""
        blockers = (reason, *self.status.blockers)
        return replace(self, status=replace(self.status, blockers=blockers, indication=None))


# Requests; each declares the type of its answer.


class MachineRequest(Generic[A_co]):
    """A request to the machine, with an answer of type `A_co`."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class PourRequest(MachineRequest[PourRecord]):
    """Begin a pour; its intent is on the disk when the answer comes. Masses in g.

    `key` and `fingerprint` make it idempotent: a key that was used before returns its pour. `recipe` says
    what it is made from, for a drink of a round. A drink goes into a fresh glass, unless `onto_contents` says
    that what was poured before and is still on the platform is meant.
    """

    plan: PourPlan
    origin: str
    key: str | None = None
    fingerprint: str | None = None
    recipe: RecipeNote | None = None
    onto_contents: bool = False

    @property
    def round_id(self) -> str | None:
        """The round that it belongs to, if any."""
        serving = serving_of(None if self.recipe is None else self.recipe.serving_id)
        return None if serving is None else serving.round_id


@dataclass(frozen=True, slots=True)
class CommandPour(MachineRequest[None]):
    """Give a command to the pour under way; `origin` is who does, as in a `PourRequest`."""

    pour_id: str
    command: PourCommand
    origin: str = "api"


@dataclass(frozen=True, slots=True)
class BeginRound(MachineRequest[RoundRecord]):
    """Begin a planned round; its intent is on the disk when the answer comes."""

    new: NewRound


@dataclass(frozen=True, slots=True)
class CommandRound(MachineRequest[None]):
    """Give a command to the round under way; `origin` is who does."""

    round_id: str
    command: RoundCommand
    origin: str = "api"


@dataclass(frozen=True, slots=True)
class ReleaseGuest(MachineRequest[ReleaseRecord]):
    """Release a guest's waiting glass; who did so and why is recorded first."""

    guest: str
    released_by: str
    reason: str


@dataclass(frozen=True, slots=True)
class SetZero(MachineRequest[Indication]):
    """The empty platform reads 0 from now on."""


@dataclass(frozen=True, slots=True)
class SetTare(MachineRequest[None]):
    """Leave the present load out of the net mass."""


@dataclass(frozen=True, slots=True)
class ClearTare(MachineRequest[None]):
    """Net is gross again."""


@dataclass(frozen=True, slots=True)
class ReadEmpty(MachineRequest[float]):
    """First point of a calibration: the raw counts of the empty platform at rest."""


@dataclass(frozen=True, slots=True)
class Calibrate(MachineRequest[Calibration]):
    """Second point: the reference mass, in g, is on the platform; the calibration is kept.

    A span far from the expected one is kept only if `accept_unlikely`.
    """

    empty_counts: float
    reference_g: float
    accept_unlikely: bool = False


@dataclass(frozen=True, slots=True)
class ChangeTube(MachineRequest[None]):
    """A new tube was put into the pump of a channel: forget what the old one taught and held."""

    channel: int


@dataclass(frozen=True, slots=True)
class TriggerEmergencyStop(MachineRequest[None]):
    """Stop every pump and latch; a pour under way aborts. `origin` is who asks."""

    origin: str = "api"


@dataclass(frozen=True, slots=True)
class ReleaseLatchedStop(MachineRequest[None]):
    """Release the emergency stop; starts nothing. `origin` is who asks."""

    origin: str = "api"


@dataclass(frozen=True, slots=True)
class AcknowledgeAlarm(MachineRequest[None]):
    """Somebody has seen the alarm and attends to it."""

    alarm_id: str


@dataclass(frozen=True, slots=True)
class ShelveAlarm(MachineRequest[None]):
    """Hide the alarm for a time, in s; what it does to a pour stays the same."""

    alarm_id: str
    for_s: float


@dataclass(frozen=True, slots=True)
class ReadCounters(MachineRequest[BoardStats]):
    """Read the board's counters."""


@dataclass(frozen=True, slots=True)
class ShowLine(MachineRequest[None]):
    """Write one line of the board's display; send one at a time."""

    line: int
    text: str


OCCUPYING = (PourRequest, BeginRound, SetZero, ReadEmpty, Calibrate, ChangeTube)
"""Requests that want the machine for themselves."""


# Refusals


class MachineBusyError(Exception):
    """A pour, or a round, is under way: `what`, with its `owner_id`."""

    def __init__(self, owner_id: str, what: str = "pour") -> None:
        super().__init__(
            f"{what} {owner_id} is under way and there is one platform; wait for its end, or stop "
            "it first (`tarewell stop`)"
        )
        self.owner_id = owner_id
        self.what = what


class NotReadyError(Exception):
    """The machine cannot do this now: no link, not calibrated, or the emergency stop is latched."""


class NotAnsweredError(NotReadyError):
    """The machine did not answer in time; it may have carried the request out."""


class NotUnderWayError(Exception):
    """The pour is over, or another one is under way."""


class RoundNotUnderWayError(Exception):
    """The round is over, another one is under way, or nothing waits for the command."""
