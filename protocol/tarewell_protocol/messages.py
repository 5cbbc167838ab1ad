"""What host and board say to each other, as values.

Every message has exactly one spelling: decoding accepts only what encoding writes.
"""

from dataclasses import dataclass
from enum import StrEnum

PROTOCOL_VERSION = 1
CHANNELS_MAX = 8
LEASE_MAX_MS = 480
COUNTS_MIN = -(2**23)
COUNTS_MAX = 2**23 - 1


class Direction(StrEnum):
    """Which way a pump turns; reverse draws the liquid back towards the bottle."""

    FORWARD = "f"
    REVERSE = "r"


class ResetCause(StrEnum):
    """Why the board last started."""

    POWER = "power"
    BROWNOUT = "brownout"
    WATCHDOG = "watchdog"
    EXTERNAL = "external"
    UNKNOWN = "unknown"


class StopCause(StrEnum):
    """Why the board stopped a channel."""

    HOST = "host"
    LEASE = "lease"
    CEILING = "ceiling"
    TIME = "time"
    ESTOP = "estop"
    ADC = "adc"
    SESSION = "session"


class Refusal(StrEnum):
    """Why the board did not do what was asked."""

    VERB = "verb"
    ARGS = "args"
    RANGE = "range"
    CHANNEL = "channel"
    BUSY = "busy"
    LATCHED = "latched"
    SESSION = "session"
    ABILITY = "ability"
    CEILING = "ceiling"
    ADC = "adc"


class Press(StrEnum):
    """What the knob's button did; `LONG` follows `DOWN` when it is held for a second."""

    DOWN = "down"
    UP = "up"
    LONG = "long"


# Requests, host to board


@dataclass(frozen=True, slots=True)
class Hello:
    """Open a session; a new nonce stops every channel and forgets answered requests."""

    nonce: int
    protocol: int = PROTOCOL_VERSION


@dataclass(frozen=True, slots=True)
class Run:
    """Turn one pump, until stopped or until the lease, the ceiling or the time limit ends it.

    `ceiling_counts` is a raw reading; the board stops when the reading is at or above it
    (`ceiling_above`), or at or below it for a cell whose counts fall with load.
    """

    channel: int
    direction: Direction
    speed: int
    lease_ms: int
    ceiling_counts: int
    max_ms: int
    ceiling_above: bool = True


@dataclass(frozen=True, slots=True)
class Keep:
    """Renew the lease of what runs; with nothing running it only shows that the host is there."""

    lease_ms: int


@dataclass(frozen=True, slots=True)
class Stop:
    """Stop one channel, or all with None."""

    channel: int | None = None


@dataclass(frozen=True, slots=True)
class EmergencyStop:
    """Stop everything and refuse to run until `Clear`."""


@dataclass(frozen=True, slots=True)
class Clear:
    """Release a latched emergency stop."""


@dataclass(frozen=True, slots=True)
class Show:
    """Write one display line; `text` is printable ASCII without the asterisk, 20 characters at most."""

    line: int
    text: str


@dataclass(frozen=True, slots=True)
class AskState:
    """Ask what runs, whether the emergency stop is latched and what stopped last."""


@dataclass(frozen=True, slots=True)
class AskStats:
    """Ask for the board's counters."""


@dataclass(frozen=True, slots=True)
class AskLimits:
    """Ask for the limits built into the board."""


Command = Hello | Run | Keep | Stop | EmergencyStop | Clear | Show | AskState | AskStats | AskLimits


@dataclass(frozen=True, slots=True)
class Request:
    """A command with its sequence number, 0 to 255."""

    seq: int
    command: Command


# Answers and reports, board to host


@dataclass(frozen=True, slots=True)
class Done:
    """The request was carried out, now or when it came first."""


@dataclass(frozen=True, slots=True)
class Refused:
    """The request was not carried out and changed nothing."""

    reason: Refusal


@dataclass(frozen=True, slots=True)
class Identity:
    """Answer to `Hello`: who the board is and what it can do."""

    protocol: int
    firmware: str
    board_id: str
    channels: int
    sample_rate_hz: int
    full_scale_counts: int
    abilities: frozenset[str]
    display: str | None
    cause: ResetCause


@dataclass(frozen=True, slots=True)
class OtherVersion:
    """Answer to `Hello` from a board of another protocol version; no session is open.

    The first two fields of this answer stay the same in every version, whatever follows them.
    """

    protocol: int
    firmware: str


@dataclass(frozen=True, slots=True)
class BoardState:
    """Answer to `AskState`; `running` holds channel numbers."""

    running: frozenset[int]
    latched: bool
    last_channel: int
    last_cause: StopCause | None
    next_event: int


@dataclass(frozen=True, slots=True)
class BoardStats:
    """Answer to `AskStats`: counters since reset, each stopping at 65535."""

    frames: int
    bad_crc: int
    overlong: int
    overruns: int
    conversions_lost: int
    conversions_late: int
    saturated: int


@dataclass(frozen=True, slots=True)
class BoardLimits:
    """Answer to `AskLimits`: the most that a run request may ask for."""

    lease_ms: int
    run_ms: int
    counts_min: int
    counts_max: int


ReplyBody = Done | Refused | Identity | OtherVersion | BoardState | BoardStats | BoardLimits


@dataclass(frozen=True, slots=True)
class Reply:
    """An answer with the sequence number of its request."""

    seq: int
    body: ReplyBody


@dataclass(frozen=True, slots=True)
class Sample:
    """One conversion of the load-cell ADC.

    `board_ms` is the board's clock, 32 bits, wrapping; `count` numbers the conversions, 16 bits,
    wrapping, so that a gap shows a lost line; `running` has bit n-1 set while channel n runs.
    """

    board_ms: int
    count: int
    counts: int
    running: int
    saturated: bool = False
    latched: bool = False
    lost: bool = False


@dataclass(frozen=True, slots=True)
class Stopped:
    """A channel stopped, and why."""

    channel: int
    cause: StopCause
    board_ms: int
    ran_ms: int


@dataclass(frozen=True, slots=True)
class Button:
    """The knob's button moved."""

    press: Press
    board_ms: int


@dataclass(frozen=True, slots=True)
class Knob:
    """The knob was turned, clockwise positive."""

    steps: int
    board_ms: int


@dataclass(frozen=True, slots=True)
class Booted:
    """The board started; whatever ran before does not run now."""

    cause: ResetCause


EventBody = Stopped | Button | Knob | Booted


@dataclass(frozen=True, slots=True)
class Event:
    """Something the board reports unasked; `number` counts events, 8 bits, wrapping."""

    number: int
    body: EventBody


FromBoard = Reply | Sample | Event
