"""The host's end of the line, without I/O: bytes and the time in, bytes and events out.

One request is on its way at a time, so that a small board needs to remember only the last answers.
Stops do not queue: they are written at once, and a run request that waits or is unanswered is dropped
first, so that no retry can start a pump after it was told to stop. The heartbeat asks for the board's
state and renews no lease: only whoever watches the mass may do that.
"""

from collections import deque
from dataclasses import dataclass, field
from enum import StrEnum

from . import messages as m
from .codec import decode_from_board, encode_request
from .framing import BOARD_LINE_MAX, LineReader, Noise

REPLY_TIMEOUT_S = 0.06
TRIES = 5
HELLO_INTERVAL_S = 0.25
HELLO_TIMEOUT_S = 6.0
"""Long enough for a board that opening the port has reset and whose boot loader waits first."""
SILENCE_S = 0.5
HEARTBEAT_S = 0.4
DEAF_S = 1.0
"""The link is given up when requests stay unanswered this long although the board still sends."""


class Phase(StrEnum):
    """Where the session stands; `CLOSED` is final."""

    GREETING = "greeting"
    OPEN = "open"
    CLOSED = "closed"


@dataclass(frozen=True, slots=True)
class Opened:
    """The board answered and speaks this version."""

    identity: m.Identity


@dataclass(frozen=True, slots=True)
class Answered:
    """The board answered the request that `request` gave this ticket."""

    ticket: int
    command: m.Command
    body: m.ReplyBody


@dataclass(frozen=True, slots=True)
class Unanswered:
    """The request will get no answer: it was tried often enough, or a stop overtook it."""

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
class Closed:
    """The session is over; `reason` says what happened and what to do."""

    reason: str


SessionEvent = Opened | Answered | Unanswered | SampleArrived | Reported | Closed


@dataclass(slots=True)
class _Pending:
    ticket: int
    seq: int
    command: m.Command
    line: bytes
    due_s: float
    tries: int = 1


@dataclass(slots=True)
class _Counter:
    """Counts gaps in a wrapping sequence number; a number seen again counts as none missed."""

    modulus: int
    last: int | None = field(default=None)

    def step(self, number: int) -> int | None:
        """How many numbers were skipped, or None for a repetition."""
        last, self.last = self.last, number
        if last is None:
            return 0
        ahead = (number - last) % self.modulus
        return ahead - 1 if ahead else None


class HostSession:
    """Speaks the protocol to one board, from greeting to close.

    Feed it with `receive` and `tick`, write what `data_to_send` gives, call `tick` again at `wakeup_s`.
    All times are seconds of one monotonic clock of the caller's choice.
    """

    def __init__(self, nonce: int, now_s: float) -> None:
        self.phase = Phase.GREETING
        self._reader = LineReader(BOARD_LINE_MAX)
        self._out = bytearray()
        self._next_seq = nonce % 251
        self._next_ticket = 0
        self._waiting: deque[tuple[int, m.Command]] = deque()
        self._pending: _Pending | None = None
        self._stops: list[_Pending] = []
        self._samples = _Counter(1 << 16)
        self._reports = _Counter(1 << 8)
        self._heard_s = now_s
        self._answered_s = now_s
        self._deadline_s = now_s + HELLO_TIMEOUT_S
        self._beat_s = now_s
        self.strays = 0
        self._send(m.Hello(nonce), self._take_ticket(), now_s)

    @property
    def noise(self) -> Noise:
        """What arrived and was no frame."""
        return self._reader.noise

    def data_to_send(self) -> bytes:
        """The bytes to write now; each is given once."""
        data = bytes(self._out)
        self._out.clear()
        return data

    def wakeup_s(self) -> float | None:
        """When `tick` must be called at the latest; None when the session is closed."""
        if self.phase is Phase.CLOSED:
            return None
        times = [pending.due_s for pending in self._stops]
        if self._pending:
            times.append(self._pending.due_s)
        if self.phase is Phase.GREETING:
            times.append(self._deadline_s)
        else:
            times += [self._heard_s + SILENCE_S, self._beat_s]
        return min(times)

    def request(self, command: m.Command, now_s: float) -> int:
        """Send `command`, after those that wait, or at once if it stops something.

        Returns a ticket that comes back with `Answered` or `Unanswered`; a run request that a stop
        overtakes is forgotten without either.

        Raises:
            RuntimeError: the session is not open.
        """
        if self.phase is not Phase.OPEN:
            raise RuntimeError(f"the session is {self.phase}, not open; wait for the board to answer hello")
        ticket = self._take_ticket()
        if isinstance(command, m.Stop | m.EmergencyStop):
            self._forget_runs()
            self._send(command, ticket, now_s)
        elif self._pending is None and not self._waiting:
            self._send(command, ticket, now_s)
        else:
            self._waiting.append((ticket, command))
        return ticket

    def _forget_runs(self) -> None:
        if self._pending and isinstance(self._pending.command, m.Run):
            self._pending = None
        self._waiting = deque(entry for entry in self._waiting if not isinstance(entry[1], m.Run))

    def receive(self, data: bytes, now_s: float) -> list[SessionEvent]:
        """Take bytes from the line."""
        events: list[SessionEvent] = []
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
        """Do what is due: retries, heartbeat, deadlines."""
        events: list[SessionEvent] = []
        if self.phase is Phase.GREETING:
            if now_s >= self._deadline_s:
                self._close("the board did not answer; check port, baud rate and firmware", events)
            elif self._pending and now_s >= self._pending.due_s:
                self._resend(self._pending, now_s, HELLO_INTERVAL_S)
        elif self.phase is Phase.OPEN:
            self._tick_open(now_s, events)
        return events

    def _tick_open(self, now_s: float, events: list[SessionEvent]) -> None:
        if now_s >= self._heard_s + SILENCE_S:
            self._close(f"nothing heard for {SILENCE_S * 1000:.0f} ms; check cable and board supply", events)
            return
        for stop in self._stops:
            if now_s >= stop.due_s:  # a stop is repeated until it is answered or the line is silent
                self._resend(stop, now_s, REPLY_TIMEOUT_S)
        pending = self._pending
        if pending and now_s >= pending.due_s:
            if now_s >= self._answered_s + DEAF_S:
                self._close("the board sends but does not answer; check the host-to-board wire", events)
                return
            if pending.tries < TRIES and not isinstance(pending.command, m.Keep):
                self._resend(pending, now_s, REPLY_TIMEOUT_S)
            else:  # a lease renewal is not repeated, the next one is on its way
                self._pending = None
                reason = f"no answer in {pending.tries} tries"
                events.append(Unanswered(pending.ticket, pending.command, reason))
        if now_s >= self._beat_s and self._pending is None:
            self._send(m.AskState(), self._take_ticket(), now_s)
        self._send_waiting(now_s)

    def _take(self, message: m.FromBoard, now_s: float, events: list[SessionEvent]) -> None:
        match message:
            case m.Reply(seq, body):
                self._take_reply(seq, body, now_s, events)
            case m.Event(_, m.Booted(cause)) if self.phase is Phase.OPEN:
                self._close(f"the board restarted (cause: {cause}); check its supply if this repeats", events)
            case m.Event(number, report) if self.phase is Phase.OPEN:
                if (missed := self._reports.step(number)) is not None:
                    events.append(Reported(report, missed))
            case m.Sample(count=count) if self.phase is Phase.OPEN:
                if (missed := self._samples.step(count)) is not None:
                    events.append(SampleArrived(message, missed))

    def _take_reply(self, seq: int, body: m.ReplyBody, now_s: float, events: list[SessionEvent]) -> None:
        pending = self._find(seq)
        if pending is None:
            self.strays += 1
            return
        self._answered_s = now_s
        if pending is self._pending:
            self._pending = None
        else:
            self._stops.remove(pending)
        match body:
            case m.Identity() if self.phase is Phase.GREETING:
                self.phase = Phase.OPEN
                self._beat_s = now_s
                events.append(Opened(body))
            case m.OtherVersion(protocol, firmware):
                self._close(_which_side(protocol, firmware), events)
                return
            case m.Refused(m.Refusal.SESSION):
                self._close(
                    "the board lost the session, so it has restarted; check its supply if this repeats",
                    events,
                )
                return
            case _:
                events.append(Answered(pending.ticket, pending.command, body))
        self._send_waiting(now_s)

    def _find(self, seq: int) -> _Pending | None:
        candidates = [*self._stops, self._pending] if self._pending else self._stops
        return next((pending for pending in candidates if pending.seq == seq), None)

    def _send_waiting(self, now_s: float) -> None:
        if self._pending is None and self._waiting and self.phase is Phase.OPEN:
            ticket, command = self._waiting.popleft()
            self._send(command, ticket, now_s)

    def _send(self, command: m.Command, ticket: int, now_s: float) -> None:
        seq = self._next_seq
        self._next_seq = (seq + 1) % 256
        line = encode_request(m.Request(seq, command))
        greeting = isinstance(command, m.Hello)
        due_s = now_s + (HELLO_INTERVAL_S if greeting else REPLY_TIMEOUT_S)
        pending = _Pending(ticket, seq, command, line, due_s)
        if isinstance(command, m.Stop | m.EmergencyStop):
            self._stops.append(pending)
        else:
            self._pending = pending
        self._beat_s = now_s + HEARTBEAT_S
        self._out += line

    def _resend(self, pending: _Pending, now_s: float, interval_s: float) -> None:
        pending.tries += 1
        pending.due_s = now_s + interval_s
        self._out += pending.line

    def _take_ticket(self) -> int:
        self._next_ticket += 1
        return self._next_ticket

    def _close(self, reason: str, events: list[SessionEvent]) -> None:
        self.phase = Phase.CLOSED
        abandoned = [*self._stops, *([self._pending] if self._pending else [])]
        events += [Unanswered(p.ticket, p.command, reason) for p in abandoned]
        events += [Unanswered(ticket, command, reason) for ticket, command in self._waiting]
        self._stops, self._pending = [], None
        self._waiting.clear()
        events.append(Closed(reason))


def _which_side(protocol: int, firmware: str) -> str:
    older = "firmware" if protocol < m.PROTOCOL_VERSION else "daemon"
    return (
        f"the board's firmware {firmware} speaks protocol {protocol}, this daemon {m.PROTOCOL_VERSION}: "
        f"update the {older}"
    )
