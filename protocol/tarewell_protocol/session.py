"""The host's session, without I/O: bytes and the time in, bytes and events out.

The outbox orders, retries and drops requests; the session greets the board, checks incoming messages, and
keeps the link alive. The heartbeat asks for the board's state and renews no lease: only the code that watches
the mass may do that.
"""

from dataclasses import dataclass
from enum import StrEnum
from math import inf

from . import messages as m
from .codec import decode_from_board
from .framing import BOARD_LINE_MAX, LineReader, Noise
from .outbox import DEAF_S, HELLO_INTERVAL_S, REPLY_TIMEOUT_S, TRIES, Outbox, QueueFullError

__all__ = [
    "DEAF_S",
    "HEARTBEAT_S",
    "HELLO_INTERVAL_S",
    "HELLO_TIMEOUT_S",
    "REPLY_TIMEOUT_S",
    "SILENCE_S",
    "TRIES",
    "Answered",
    "Closed",
    "HostSession",
    "Opened",
    "Phase",
    "QueueFullError",
    "Reported",
    "ReportsMissed",
    "SampleArrived",
    "SessionEvent",
    "Unanswered",
]

HELLO_TIMEOUT_S = 6.0
"""Long enough for a board that was reset by opening the port and whose boot loader waits first."""
SILENCE_S = 0.5
HEARTBEAT_S = 0.4


class Phase(StrEnum):
    """The phase of the session; `CLOSED` is final."""

    GREETING = "greeting"
    OPEN = "open"
    CLOSED = "closed"


@dataclass(frozen=True, slots=True)
class Opened:
    """The board answered and speaks this version."""

    identity: m.Identity


@dataclass(frozen=True, slots=True)
class Answered:
    """The board answered the request with this ticket.

    The session's own heartbeats are answered too, with tickets that `request` never returned.
    """

    ticket: int
    command: m.Command
    body: m.ReplyBody


@dataclass(frozen=True, slots=True)
class Unanswered:
    """The request was given up; `reason` says why.

    All tries failed (then it may have been carried out), a stop overtook it, it waited too long, or the
    session closed.
    """

    ticket: int
    command: m.Command
    reason: str


@dataclass(frozen=True, slots=True)
class SampleArrived:
    """A conversion; `missed` counts the conversions between it and the one before that never arrived."""

    sample: m.Sample
    missed: int


@dataclass(frozen=True, slots=True)
class Reported:
    """A board event; `missed` counts the events between it and the one before that never arrived."""

    body: m.EventBody
    missed: int


@dataclass(frozen=True, slots=True)
class ReportsMissed:
    """This many events were lost, as the number in a state answer shows; that answer follows."""

    missed: int


@dataclass(frozen=True, slots=True)
class Closed:
    """The session is over; `reason` says what happened and what to do."""

    reason: str


SessionEvent = Opened | Answered | Unanswered | SampleArrived | Reported | ReportsMissed | Closed


class _Numbering:
    """Detects gaps in a wrapping count."""

    def __init__(self, modulus: int) -> None:
        self._modulus = modulus
        self._next: int | None = None

    def arrived(self, number: int) -> int | None:
        """How many numbers before this one never arrived; None if it was seen before."""
        ahead = self._ahead(number)
        if ahead is not None:
            self._next = (number + 1) % self._modulus
        return ahead

    def comes_next(self, number: int) -> int:
        """How many numbers before this one, which is still to come, never arrived."""
        ahead = self._ahead(number)
        if ahead is not None:
            self._next = number
        return ahead or 0

    def _ahead(self, number: int) -> int | None:
        if self._next is None:
            return 0
        ahead = (number - self._next) % self._modulus
        return ahead if ahead < self._modulus // 2 else None


class HostSession:
    """Speaks the protocol to one board, from greeting to close.

    Feed it with `receive` and `tick`, ask with `outbox.ask`, write what `outbox.take_lines` returns, call
    `tick` again at `wakeup_s`; each call may change the last two. Where bytes and a tick are due together,
    bytes go first: a tick detects silence by what was fed. All times are seconds of one monotonic clock of
    the caller's choice; an earlier time than the last counts as the last.
    """

    def __init__(self, nonce: int, now_s: float) -> None:
        self.phase = Phase.GREETING
        self.strays = 0
        self._reader = LineReader(BOARD_LINE_MAX)
        # With a new starting number each time, a stale answer from an earlier session seldom fits.
        self.outbox = Outbox(nonce % 251, now_s)
        """Takes requests; for each ticket that it gives one `Answered` or `Unanswered` follows."""
        self._samples = _Numbering(1 << 16)
        self._reports = _Numbering(1 << 8)
        self._heard_s = now_s
        self._deadline_s = now_s + HELLO_TIMEOUT_S
        self._wants_state = False
        self.outbox.send(m.Hello(nonce), now_s)

    @property
    def noise(self) -> Noise:
        """Counts of lines that were not valid messages."""
        return self._reader.noise

    def wakeup_s(self) -> float | None:
        """When `tick` must be called at the latest; None when the session is closed."""
        if self.phase is Phase.CLOSED:
            return None
        if self.outbox.has_given_up:
            return self.outbox.now_s
        if self.phase is Phase.GREETING:
            return min(self._deadline_s, self.outbox.due_s())
        return min(self._heard_s + SILENCE_S, self.outbox.due_s(), self._state_due_s())

    def receive(self, data: bytes, now_s: float) -> list[SessionEvent]:
        """Handle bytes from the line."""
        now_s = self.outbox.at(now_s)
        events: list[SessionEvent] = []
        self._tell_given_up(events)
        for body in self._reader.feed(data):
            if self.phase is Phase.CLOSED:
                break
            message = decode_from_board(body)
            if message is None:
                self.noise.malformed += 1
                continue
            self._heard_s = now_s
            self._take(message, now_s, events)
        return events

    def tick(self, now_s: float) -> list[SessionEvent]:
        """Handle retries, heartbeat and deadlines that are due."""
        now_s = self.outbox.at(now_s)
        events: list[SessionEvent] = []
        self._tell_given_up(events)
        if self.phase is Phase.GREETING:
            if now_s >= self._deadline_s:
                self._close("the board did not answer; check port, baud rate and firmware", events)
            else:
                self.outbox.repeat(now_s)
        elif self.phase is Phase.OPEN:
            self._tick_open(now_s, events)
        return events

    def _tick_open(self, now_s: float, events: list[SessionEvent]) -> None:
        if now_s >= self._heard_s + SILENCE_S:
            self._close(f"nothing heard for {SILENCE_S * 1000:.0f} ms; check cable and board supply", events)
        elif self.outbox.is_deaf(now_s):
            self._close("the board sends but does not answer; check the host-to-board wire", events)
        else:
            self.outbox.repeat(now_s)
            self._tell_given_up(events)
            self._send_next(now_s, events)

    def _send_next(self, now_s: float, events: list[SessionEvent]) -> None:
        if now_s >= self._state_due_s():
            self._wants_state = False
            self.outbox.send(m.AskState(), now_s)
        self.outbox.advance(now_s)
        self._tell_given_up(events)

    def _state_due_s(self) -> float:
        if not self.outbox.is_free:
            return inf
        return self.outbox.now_s if self._wants_state else self.outbox.last_sent_s + HEARTBEAT_S

    def _take(self, message: m.FromBoard, now_s: float, events: list[SessionEvent]) -> None:
        match message:
            case m.Reply(seq, body):
                self._take_reply(seq, body, now_s, events)
            case m.Event(_, m.Booted(cause)) if self.phase is Phase.OPEN:
                self._close(f"the board restarted (cause: {cause}); check its supply if this repeats", events)
            case m.Event(number, report) if self.phase is Phase.OPEN:
                if (missed := self._reports.arrived(number)) is not None:
                    events.append(Reported(report, missed))
                    self._wants_state |= missed > 0
            case m.Sample(count=count) if self.phase is Phase.OPEN:
                if (missed := self._samples.arrived(count)) is not None:
                    events.append(SampleArrived(message, missed))

    def _take_reply(self, seq: int, body: m.ReplyBody, now_s: float, events: list[SessionEvent]) -> None:
        asked = self.outbox.answer(seq, body)
        if asked is None:
            self.strays += 1
            return
        match body:
            case m.Identity():
                self.phase = Phase.OPEN
                self.outbox.open()
                self._wants_state = True
                events.append(Opened(body))
                return
            case m.OtherVersion(protocol, firmware):
                self._close(_which_side(protocol, firmware), events)
                return
            case m.Refused(reason) if self.phase is Phase.GREETING:
                self._close(f"the board refuses hello ({reason}); update its firmware", events)
                return
            case m.BoardState(next_event=number):
                if missed := self._reports.comes_next(number):
                    events.append(ReportsMissed(missed))
        events += [Answered(ticket, asked.command, body) for ticket in asked.tickets]
        if body == m.Refused(m.Refusal.SESSION):
            self._close(
                "the board lost the session, so it has restarted; check its supply if this repeats", events
            )
        else:
            self._send_next(now_s, events)

    def _tell_given_up(self, events: list[SessionEvent]) -> None:
        for entry in self.outbox.take_given_up():
            asked = entry.asked
            events += [Unanswered(ticket, asked.command, entry.reason) for ticket in asked.tickets]

    def _close(self, reason: str, events: list[SessionEvent]) -> None:
        self.phase = Phase.CLOSED
        self.outbox.abandon(reason)
        self._tell_given_up(events)
        events.append(Closed(reason))


def _which_side(protocol: int, firmware: str) -> str:
    is_old_board = protocol < m.PROTOCOL_VERSION
    cure = "firmware (protocol/firmware/README.md says how)" if is_old_board else "daemon"
    return (
        f"the board's firmware {firmware} speaks protocol {protocol}, this daemon {m.PROTOCOL_VERSION}: "
        f"update the {cure}"
    )
