"""All that can happen to the machine. Times in s of the host's monotonic clock are arguments, not fields."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tarewell_protocol import messages as m
from tarewell_protocol import session as s

from .alarms import ChannelLabel
from .link_status import LinkStatus
from .requests import MachineRequest


@dataclass(frozen=True, slots=True)
class LinkChanged:
    """The link to the board has another status."""

    status: LinkStatus


@dataclass(frozen=True, slots=True)
class NotSent:
    """A command never went to the board: the link is down, or its queue is full."""

    ticket: int
    command: m.Command
    reason: str


@dataclass(frozen=True, slots=True)
class Requested:
    """Somebody asks something of the machine; it answers with `Answer` or `Refuse` and this number.

    What would begin after `until_s`, in s of the host's clock, must not begin.
    """

    number: int
    request: MachineRequest[Any]
    until_s: float | None = None


@dataclass(frozen=True, slots=True)
class WriteDone:
    """A write with this key was committed, or set aside for good; `result` is what it returned."""

    key: str
    result: Any = None


@dataclass(frozen=True, slots=True)
class WriteFailed:
    """A write with this key failed and left nothing behind."""

    key: str
    error: Exception


@dataclass(frozen=True, slots=True)
class RecordsChanged:
    """The records cannot be written at present, for this reason; None: they can be written again."""

    fault: str | None


@dataclass(frozen=True, slots=True)
class RecordSetAside:
    """A record can never be written; its data is in a file."""

    what: str
    reason: str
    file: str


@dataclass(frozen=True, slots=True)
class ChannelAssigned:
    """The records assign this liquid to a channel; None: no liquid."""

    channel: int
    liquid_id: str | None


@dataclass(frozen=True, slots=True)
class BottleMounted:
    """The records mount another bottle on a channel."""

    channel: int


@dataclass(frozen=True, slots=True)
class ChannelsLabelled:
    """What people call the contents of each channel now."""

    labels: Mapping[int, ChannelLabel]


@dataclass(frozen=True, slots=True)
class HostLate:
    """The computer blocked the program for so long."""

    late_s: float


@dataclass(frozen=True, slots=True)
class Woken:
    """The time of `wakeup_s` has come."""


@dataclass(frozen=True, slots=True)
class Closing:
    """The program is about to end: abort the pour under way and begin nothing."""


MachineEvent = (
    s.Opened
    | s.SampleArrived
    | s.Reported
    | s.Answered
    | s.Unanswered
    | s.ReportsMissed
    | s.Closed
    | LinkChanged
    | NotSent
    | Requested
    | WriteDone
    | WriteFailed
    | RecordsChanged
    | RecordSetAside
    | ChannelAssigned
    | BottleMounted
    | ChannelsLabelled
    | HostLate
    | Woken
    | Closing
)
