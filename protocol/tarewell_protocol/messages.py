"""The messages between host and board, as values.

Each class is the single declaration of a message: `word` names it on the line, its fields follow in the order
of the line, each with its kind and range. Every message has exactly one spelling: decoding accepts only what
encoding writes. The firmware's table of messages is generated from here (`make wire`).
"""

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Annotated, Any, ClassVar

from .fields import Channels, Hexadecimal, Letters, Number, OrNone, Spelt, Tenths, Text, Word, YesNo

PROTOCOL_VERSION = 2
CHANNELS_MAX = 8
LEASE_MAX_MS = 480
COUNTS_MIN = -(2**23)
COUNTS_MAX = 2**23 - 1
ABILITIES = "rvkip"
"""Ability letters in the order of the line: reverse, variable speed, knob, interlock, pump supply sensed."""

Channel = Annotated[int, Number(1, CHANNELS_MAX)]
RunNumber = Annotated[int, Hexadecimal(2)]
LeaseMs = Annotated[int, Number(1, 65535)]
Counts = Annotated[int, Number(COUNTS_MIN, COUNTS_MAX)]
BoardMs = Annotated[int, Number(0, 2**32 - 1)]
U16 = Annotated[int, Number(0, 65535)]
Version = Annotated[int, Number(0, 255)]
Name = Annotated[str, Spelt("[A-Za-z0-9._-]{1,16}")]


class Direction(StrEnum):
    """Direction of a pump; reverse draws the liquid back towards the bottle."""

    FORWARD = "f"
    REVERSE = "r"


class ResetCause(StrEnum):
    """Why the board last started; `RESET` is one whose cause a boot loader hid, with the supply on."""

    POWER = "power"
    BROWNOUT = "brownout"
    WATCHDOG = "watchdog"
    EXTERNAL = "external"
    RESET = "reset"
    UNKNOWN = "unknown"


class StopCause(StrEnum):
    """Why the board stopped a channel."""

    HOST = "host"
    LEASE = "lease"
    LIMIT = "limit"
    CEILING = "ceiling"
    TIME = "time"
    ESTOP = "estop"
    SUPPLY = "supply"
    INTERLOCK = "interlock"
    ADC = "adc"
    SESSION = "session"


class Refusal(StrEnum):
    """Why the board refused a request."""

    VERB = "verb"
    ARGS = "args"
    RANGE = "range"
    CHANNEL = "channel"
    BUSY = "busy"
    LATCHED = "latched"
    SESSION = "session"
    ABILITY = "ability"
    FAULT = "fault"
    SUPPLY = "supply"
    INTERLOCK = "interlock"
    LIMIT = "limit"
    CEILING = "ceiling"
    ADC = "adc"


class SelfTestVerdict(StrEnum):
    """Result of one part of the board's self-test."""

    OK = "ok"
    BAD = "bad"
    UNTESTED = "untested"


class Press(StrEnum):
    """Action of the knob's button; `LONG` follows `DOWN` when it is held for a second."""

    DOWN = "down"
    UP = "up"
    LONG = "long"


# Requests, host to board


@dataclass(frozen=True, slots=True)
class Hello:
    """Open a session; a new nonce stops every channel and forgets answered requests."""

    word: ClassVar[str] = "hello"
    protocol: Version = field(default=PROTOCOL_VERSION, kw_only=True)
    nonce: Annotated[int, Hexadecimal(4)]


@dataclass(frozen=True, slots=True)
class Run:
    """Run one pump until it is stopped or the lease, the ceiling or the time limit ends it.

    `number`, 0 to 255, names the run in `Keep` and `Stopped`. `ceiling_counts` is a raw reading; the board
    stops when the reading is at or above it (`ceiling_above`), or at or below it for a cell whose counts fall
    with load.
    """

    word: ClassVar[str] = "run"
    number: RunNumber = field(default=0, kw_only=True)
    channel: Channel
    direction: Annotated[Direction, Word(Direction)]
    speed: Annotated[int, Number(1, 255)]
    lease_ms: LeaseMs
    ceiling_above: Annotated[bool, YesNo("a", "b", glued=True)] = field(default=True, kw_only=True)
    ceiling_counts: Counts
    max_ms: Annotated[int, Number(1, 999_999)]


@dataclass(frozen=True, slots=True)
class Keep:
    """Renew the lease of this run; once it has ended, it only shows that the host is alive."""

    word: ClassVar[str] = "keep"
    run: RunNumber
    lease_ms: LeaseMs


@dataclass(frozen=True, slots=True)
class Stop:
    """Stop one channel, or all with None."""

    word: ClassVar[str] = "stop"
    channel: Annotated[int | None, OrNone(Number(1, CHANNELS_MAX), "all")] = None


@dataclass(frozen=True, slots=True)
class EmergencyStop:
    """Stop everything and refuse to run until `ReleaseEmergencyStop`."""

    word: ClassVar[str] = "estop"


@dataclass(frozen=True, slots=True)
class ReleaseEmergencyStop:
    """Release a latched emergency stop."""

    word: ClassVar[str] = "clear"


@dataclass(frozen=True, slots=True)
class Show:
    """Write one display line; `text` is printable ASCII without the asterisk, 20 characters at most."""

    word: ClassVar[str] = "show"
    line: Annotated[int, Number(0, 3)]
    text: Annotated[str, Text(20)]


@dataclass(frozen=True, slots=True)
class AskState:
    """Ask which channels run, whether the emergency stop is latched and what stopped last."""

    word: ClassVar[str] = "state"


@dataclass(frozen=True, slots=True)
class AskStats:
    """Ask for the board's counters."""

    word: ClassVar[str] = "stats"


@dataclass(frozen=True, slots=True)
class AskLimits:
    """Ask for the limits built into the board."""

    word: ClassVar[str] = "limits"


@dataclass(frozen=True, slots=True)
class AskSelfTest:
    """Ask what the board's self-test at its start found."""

    word: ClassVar[str] = "check"


Question = AskState | AskStats | AskLimits | AskSelfTest
Command = Hello | Run | Keep | Stop | EmergencyStop | ReleaseEmergencyStop | Show | Question


@dataclass(frozen=True, slots=True)
class Request:
    """A command with its sequence number, 0 to 255."""

    seq: int
    command: Command


# Answers and reports, board to host


@dataclass(frozen=True, slots=True)
class Done:
    """The request was carried out, now or when it first arrived."""

    word: ClassVar[str] = "ok"


@dataclass(frozen=True, slots=True)
class Refused:
    """The request was not carried out and changed nothing."""

    word: ClassVar[str] = "no"
    reason: Annotated[Refusal, Word(Refusal)]


@dataclass(frozen=True, slots=True)
class Identity:
    """Answer to `Hello`: the board's identity and abilities.

    `filter_delay_ms` is how far a reading lies behind the load; 0 if the board does not know.
    """

    word: ClassVar[str] = "hello"
    protocol: Annotated[int, Number(PROTOCOL_VERSION, PROTOCOL_VERSION)]
    firmware: Name
    board_id: Name
    channels: Channel
    sample_rate_hz: Annotated[float, Tenths(1, 1000)]
    filter_delay_ms: Annotated[int, Number(0, 999)]
    full_scale_counts: Annotated[int, Number(1, COUNTS_MAX)]
    abilities: Annotated[frozenset[str], Letters(ABILITIES)]
    display: Annotated[str | None, OrNone(Spelt("[1-9][0-9]?x[1-9][0-9]?"), "-")]
    cause: Annotated[ResetCause, Word(ResetCause)]


@dataclass(frozen=True, slots=True)
class OtherVersion:
    """Answer to `Hello` from a board of another protocol version; no session is open.

    The first two fields of this answer stay the same in every version, whatever follows them.
    """

    word: ClassVar[str] = "hello"
    protocol: Version
    firmware: Name


@dataclass(frozen=True, slots=True)
class BoardState:
    """Answer to `AskState`; `running` holds channel numbers."""

    word: ClassVar[str] = "state"
    running: Annotated[frozenset[int], Channels()]
    latched: Annotated[bool, YesNo("1", "0")]
    last_run: RunNumber
    last_channel: Annotated[int, Number(0, CHANNELS_MAX)]
    last_cause: Annotated[StopCause | None, OrNone(Word(StopCause), "-")]
    next_event: Annotated[int, Hexadecimal(2)]


@dataclass(frozen=True, slots=True)
class BoardStats:
    """Answer to `AskStats`: counters since reset, each stopping at 65535."""

    word: ClassVar[str] = "stats"
    frames: U16
    bad_crc: U16
    overlong: U16
    overruns: U16
    conversions_lost: U16
    conversions_late: U16
    saturated: U16


@dataclass(frozen=True, slots=True)
class BoardLimits:
    """Answer to `AskLimits`: the limits of a run request."""

    word: ClassVar[str] = "limits"
    lease_ms: U16
    run_ms: Annotated[int, Number(0, 999_999)]
    counts_min: Counts
    counts_max: Counts


@dataclass(frozen=True, slots=True)
class SelfTest:
    """Answer to `AskSelfTest`.

    `flash_crc` is the CRC of the program as the board read it at its start, `build` the CRC of the settings
    that it was built with, so that two boards of one program and one set-up tell the same.
    """

    word: ClassVar[str] = "check"
    flash: Annotated[SelfTestVerdict, Word(SelfTestVerdict)]
    flash_crc: Annotated[int, Hexadecimal(4)]
    ram: Annotated[SelfTestVerdict, Word(SelfTestVerdict)]
    build: Annotated[int, Hexadecimal(4)]


ANSWERS: dict[type[Command], type[Any]] = {
    Hello: Identity,
    AskState: BoardState,
    AskStats: BoardStats,
    AskLimits: BoardLimits,
    AskSelfTest: SelfTest,
}
"""Questions with their answers; they may be repeated. Other requests are answered `Done`."""

ReplyBody = Done | Refused | Identity | OtherVersion | BoardState | BoardStats | BoardLimits | SelfTest


@dataclass(frozen=True, slots=True)
class Reply:
    """An answer with the sequence number of its request."""

    seq: int
    body: ReplyBody


@dataclass(frozen=True, slots=True)
class Sample:
    """One conversion of the load-cell ADC.

    `board_ms` is the board's clock, 32 bits, wrapping; `count` numbers the conversions that the board read,
    16 bits, wrapping, so that a gap reveals a lost line; `running` has bit n-1 set while channel n runs.
    """

    board_ms: BoardMs
    count: U16
    counts: Counts
    running: Annotated[int, Hexadecimal(2)]
    saturated: Annotated[bool, YesNo("s", "", glued=True)] = False
    latched: Annotated[bool, YesNo("e", "", glued=True)] = False
    lost: Annotated[bool, YesNo("l", "", glued=True)] = False
    interlock_open: Annotated[bool, YesNo("i", "", glued=True)] = False
    supply_off: Annotated[bool, YesNo("p", "", glued=True)] = False


@dataclass(frozen=True, slots=True)
class Stopped:
    """A run has ended, and why."""

    word: ClassVar[str] = "stopped"
    run: RunNumber
    channel: Channel
    cause: Annotated[StopCause, Word(StopCause)]
    board_ms: BoardMs
    ran_ms: BoardMs


@dataclass(frozen=True, slots=True)
class Button:
    """The knob's button was pressed or released."""

    word: ClassVar[str] = "button"
    press: Annotated[Press, Word(Press)]
    board_ms: BoardMs


@dataclass(frozen=True, slots=True)
class Knob:
    """The knob was turned, clockwise positive."""

    word: ClassVar[str] = "knob"
    steps: Annotated[int, Number(-127, 127, zero=False)]
    board_ms: BoardMs


@dataclass(frozen=True, slots=True)
class Booted:
    """The board started; no pump runs. `latched`: an emergency stop from before the reset still holds."""

    word: ClassVar[str] = "boot"
    cause: Annotated[ResetCause, Word(ResetCause)]
    latched: Annotated[bool, YesNo("1", "0")]


EventBody = Stopped | Button | Knob | Booted


@dataclass(frozen=True, slots=True)
class Event:
    """An unsolicited report of the board; `number` counts events, 8 bits, wrapping."""

    number: int
    body: EventBody


FromBoard = Reply | Sample | Event
