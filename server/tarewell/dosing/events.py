"""The events and outputs of a pour, as values that can be stored and replayed."""

from dataclasses import dataclass
from enum import StrEnum

from tarewell.weighing.reading import Reading
from tarewell_protocol.messages import Run, Sample, StopCause

from .alarms import Alarm
from .inflight import InFlight
from .proportions import Limit
from .tolerance import Verdict


class PourCommand(StrEnum):
    """An operator's command to a pour, as in ISA-88 / IEC 61512."""

    START = "start"
    HOLD = "hold"
    RESTART = "restart"
    STOP = "stop"
    ABORT = "abort"


# In


@dataclass(frozen=True, slots=True)
class PourCommanded:
    """The operator's command; stored traces know the field as `order`."""

    order: PourCommand


@dataclass(frozen=True, slots=True)
class Weighed:
    """A sample arrived, as a trace holds it; the pour takes the reading that the scale made of it."""

    sample: Sample


@dataclass(frozen=True, slots=True)
class BoardStopped:
    """The board reported a channel stopped."""

    channel: int
    cause: StopCause


@dataclass(frozen=True, slots=True)
class BoardRefused:
    """The board refused or never answered a run; `reason` is for people."""

    channel: int
    reason: str


@dataclass(frozen=True, slots=True)
class LinkLost:
    """The board can no longer be reached."""

    reason: str


@dataclass(frozen=True, slots=True)
class WatchRaised:
    """The watch over the whole machine, or a person, raised an alarm."""

    alarm: Alarm


@dataclass(frozen=True, slots=True)
class Tick:
    """The pour's wake-up time has come."""


PourEvent = PourCommanded | Weighed | BoardStopped | BoardRefused | LinkLost | WatchRaised | Tick
"""What a trace holds."""

PourInput = PourCommanded | Reading | BoardStopped | BoardRefused | LinkLost | WatchRaised | Tick
"""What a pour takes."""


def recorded(event: PourInput) -> PourEvent:
    """The event as a trace holds it: of a reading the sample alone, from which it can be weighed again."""
    return Weighed(event.sample) if isinstance(event, Reading) else event


# Out, for the board


@dataclass(frozen=True, slots=True)
class RunPump:
    """Send this run request."""

    run: Run


@dataclass(frozen=True, slots=True)
class StopPumps:
    """Stop all channels."""


@dataclass(frozen=True, slots=True)
class RenewLease:
    """The mass is being watched: let the pump keep running."""

    lease_ms: int


@dataclass(frozen=True, slots=True)
class TripEmergencyStop:
    """Stop everything and latch."""


# Out, for the record


@dataclass(frozen=True, slots=True)
class PourStateChanged:
    """The pour entered a state, by its name in `states.State`."""

    state: str


@dataclass(frozen=True, slots=True)
class Tared:
    """The glass is at rest; its mass in g."""

    glass_g: float


@dataclass(frozen=True, slots=True)
class DoseBegan:
    """A dose begins; the in-flight mass in g that the channel's known flow predicts."""

    index: int
    inflight_g: float


@dataclass(frozen=True, slots=True)
class DoseEnded:
    """A dose is over, with its result: masses in g, flow in g/s, times in s of the host clock.

    `inflight_g` is the estimate used at the last cut-off. `cause` is "target" or the alarm or command that
    ended it, "dry" for a purge; `verdict` is None without a settled mass and for anything
    but a drink. `target_g` is None where the dose was poured to its planned target, else the rescaled one.
    `uncertainty_g` is the standard uncertainty of `delivered_g`, see `dosing.uncertainty`; None without a
    settled mass.
    """

    index: int
    delivered_g: float
    inflight_g: float
    peak_flow_g_per_s: float
    jogs: int
    began_s: float
    cut_off_s: float | None
    ended_s: float
    verdict: Verdict | None
    cause: str
    target_g: float | None = None
    uncertainty_g: float | None = None


@dataclass(frozen=True, slots=True)
class Balanced:
    """A dose's mass did not agree with run time x flow; masses in g.

    `added_g` came from elsewhere into the glass (negative: was taken out), `spilt_g` fell beside it; neither
    counts as drink. `doubt_g` may be drink or not, and counts.
    """

    index: int
    added_g: float
    spilt_g: float
    doubt_g: float


@dataclass(frozen=True, slots=True)
class Rescaled:
    """The doses from `from_dose` on were rescaled: `factor` on their planned masses, targets in g.

    `limit` says what kept the factor from going far enough to hold the proportions; None: they hold.
    """

    from_dose: int
    factor: float
    targets_g: tuple[float, ...]
    limit: Limit | None


@dataclass(frozen=True, slots=True)
class Learned:
    """The channel's in-flight time after a stop."""

    channel: int
    liquid_id: str
    inflight: InFlight


@dataclass(frozen=True, slots=True)
class Raised:
    """An alarm."""

    alarm: Alarm


@dataclass(frozen=True, slots=True)
class PourEnded:
    """The pour is over, in a terminal state; `delivered_g` is the last mass known.

    `uncertainty_g` is its standard uncertainty, None without a settled mass.
    """

    state: str
    cause: str
    delivered_g: float
    uncertainty_g: float | None = None


PourOutput = (
    RunPump
    | StopPumps
    | RenewLease
    | TripEmergencyStop
    | PourStateChanged
    | Tared
    | DoseBegan
    | DoseEnded
    | Balanced
    | Rescaled
    | Learned
    | Raised
    | PourEnded
)
