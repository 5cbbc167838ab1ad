"""All that the machine can do."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from tarewell.dosing.drips import Dripped
from tarewell.dosing.events import DoseEnded, PourEnded
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.traces import TraceEntry
from tarewell.rounds.events import GlassEnded
from tarewell.weighing.calibration import Calibration
from tarewell_protocol import messages as m

from .pour_record import FoundLater, NewPour
from .round_record import NewRelease, NewRound

# What is written


@dataclass(frozen=True, slots=True)
class AppendTrace:
    """More of a pour's trace, with the mass delivered so far in g."""

    pour_id: str
    entries: tuple[TraceEntry, ...]
    delivered_g: float


@dataclass(frozen=True, slots=True)
class FinishPour:
    """How a pour ended, with the rest of its trace; `glass_g` is None where no glass was tared."""

    pour_id: str
    ended: PourEnded
    doses: tuple[DoseEnded, ...]
    glass_g: float | None
    entries: tuple[TraceEntry, ...] = ()


@dataclass(frozen=True, slots=True)
class AddLateDrips:
    """What fell into the glass of a pour after it had ended at rest."""

    pour_id: str
    dripped: Dripped


@dataclass(frozen=True, slots=True)
class AddInFlight:
    """What the stops of a pour taught about a channel with its liquid."""

    channel: int
    liquid_id: str
    inflight: InFlight
    pour_id: str


@dataclass(frozen=True, slots=True)
class EndGlass:
    """How an attempt at a glass of a round ended."""

    round_id: str
    ended: GlassEnded


@dataclass(frozen=True, slots=True)
class FinishRound:
    """How a round ended."""

    round_id: str
    state: str


@dataclass(frozen=True, slots=True)
class AddCalibration:
    """A calibration made by "two_point", or a new zero ("zero")."""

    calibration: Calibration
    how: str


@dataclass(frozen=True, slots=True)
class AppendEvent:
    """An event for the journal."""

    kind: str
    body: Mapping[str, Any]
    pour_id: str | None = None


@dataclass(frozen=True, slots=True)
class AddRecording:
    """What happened around `cause`: the name of an alarm, or what else happened at `caused_s`.

    Times in s of the host's monotonic clock, which shows `ended_s` now; `data` as in `recording`.
    """

    cause: str
    pour_id: str | None
    begun_s: float
    caused_s: float
    ended_s: float
    data: bytes


Change = (
    NewPour
    | AppendTrace
    | FinishPour
    | FoundLater
    | AddLateDrips
    | AddInFlight
    | NewRound
    | EndGlass
    | FinishRound
    | NewRelease
    | AddCalibration
    | AppendEvent
    | AddRecording
)

# Effects


@dataclass(frozen=True, slots=True)
class Command:
    """Send this to the board. A ticket above 0 comes back with the answer."""

    command: m.Command
    ticket: int = 0


@dataclass(frozen=True, slots=True)
class Write:
    """Try this change once; it comes back as `WriteDone` with its result, or as `WriteFailed`."""

    key: str
    change: Change


@dataclass(frozen=True, slots=True)
class Find:
    """Look up the pour or round that this key of a request began; it comes back as `WriteDone` with the
    record, None if there is none."""

    key: str
    request_key: str
    fingerprint: str | None
    of: Literal["pour", "round"]


@dataclass(frozen=True, slots=True)
class Persist:
    """Write this however long that takes. With a key it comes back as `WriteDone`, even if set aside."""

    change: Change
    key: str | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """The answer to a request."""

    number: int
    result: Any = None


@dataclass(frozen=True, slots=True)
class Refuse:
    """A request is refused."""

    number: int
    error: Exception


@dataclass(frozen=True, slots=True)
class Publish:
    """A live event that is not kept."""

    kind: str
    body: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class PassOn:
    """A report of knob or button, after it took effect here."""

    report: m.Button | m.Knob


@dataclass(frozen=True, slots=True)
class TellFault:
    """An error in the program, which ended what it names; its details belong in the log."""

    what: str
    error: Exception


Effect = Command | Find | Write | Persist | Answer | Refuse | Publish | PassOn | TellFault

_ORDER = (Command, Find, Write, Persist, Answer, Refuse, Publish, PassOn, TellFault)


def rank(effect: Effect) -> int:
    """What goes first: commands to the board, then the records, then answers."""
    return _ORDER.index(type(effect))
