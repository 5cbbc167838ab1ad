"""A board and a line for the tests of the host's session; the time is a parameter, nothing sleeps.

The board implements sections 5 and 6 of protocol/SPEC.md as far as a session can observe: the nonce, the
memory of four answers, the lease, the latch. It weighs nothing and refuses little.
"""

from collections import deque
from dataclasses import dataclass, field
from math import inf
from random import Random

from tarewell_protocol import messages as m
from tarewell_protocol.codec import decode_command, encode_from_board, request_seq
from tarewell_protocol.framing import HOST_LINE_MAX, LineReader
from tarewell_protocol.session import HostSession, Phase, SessionEvent

SAMPLE_S = 0.0125
IDENTITY = m.Identity(
    2, "0.2.0", "foyer-01", 8, 80.0, 25, 2**23 - 1, frozenset("rvk"), "20x4", m.ResetCause.POWER
)


@dataclass
class BoardDouble:
    """`carried_out` lists the requests that had an effect, `at` their times; `deaf` makes it ignore input."""

    deaf: bool = False
    running: int | None = None
    latched: bool = False
    carried_out: list[m.Command] = field(default_factory=list)
    running_until_s: float = -inf
    next_event: int = 0
    _nonce: int | None = None
    _answers: deque[tuple[str, bytes]] = field(default_factory=lambda: deque(maxlen=4))
    _reader: LineReader = field(default_factory=lambda: LineReader(HOST_LINE_MAX))
    _run: int = 0
    _last: tuple[int, int, m.StopCause | None] = (0, 0, None)
    _samples: int = 0
    _sample_due_s: float = 0.0

    def reset(self) -> bytes:
        """Lose all state but the emergency stop, as after a supply dip; returns its output."""
        self._nonce, self.running, self.next_event = None, None, 0
        self._answers.clear()
        return self._report(m.Booted(m.ResetCause.BROWNOUT, self.latched))

    def step(self, data: bytes, now_s: float) -> bytes:
        """Handle `data`, end runs that are over, sample; returns its output."""
        out = b""
        if self.running and now_s >= self.running_until_s:
            out += self._stop(m.StopCause.LEASE)
        for body in self._reader.feed(b"" if self.deaf else data):
            out += self._handle(body, now_s)
        while self._sample_due_s <= now_s:
            self._sample_due_s += SAMPLE_S
            self._samples = (self._samples + 1) % 65536
            if self._nonce is not None:
                mask = 1 << (self.running - 1) if self.running else 0
                out += encode_from_board(m.Sample(int(now_s * 1000), self._samples, 0, mask))
        return out

    def _handle(self, body: str, now_s: float) -> bytes:
        command, seq = decode_command(body), request_seq(body)
        if command is None or seq is None:
            return b""
        if known := dict(self._answers).get(body):
            return known
        reports, answer = self._carry_out(command, now_s)
        line = encode_from_board(m.Reply(seq, answer))
        if not isinstance(command, m.Hello | m.AskState):
            self._answers.append((body, line))
        return reports + line

    def _carry_out(self, command: m.Command | m.Refusal, now_s: float) -> tuple[bytes, m.ReplyBody]:
        reports = b""
        match command:
            case m.Refusal():
                return b"", m.Refused(command)
            case m.Hello(nonce):
                if nonce != self._nonce:
                    self._nonce = nonce
                    self._answers.clear()
                    reports = self._stop(m.StopCause.SESSION)
                return reports, IDENTITY
            case m.Stop(channel):
                if channel in (None, self.running):
                    reports = self._stop(m.StopCause.HOST)
            case m.EmergencyStop():
                self.latched = True
                reports = self._stop(m.StopCause.ESTOP)
            case _ if self._nonce is None:
                return b"", m.Refused(m.Refusal.SESSION)
            case m.AskState():
                running = frozenset({self.running} if self.running else ())
                return b"", m.BoardState(running, self.latched, *self._last, self.next_event)
            case m.Run(channel) if self.running not in (None, channel):
                return b"", m.Refused(m.Refusal.BUSY)
            case m.Run() if self.latched:
                return b"", m.Refused(m.Refusal.LATCHED)
            case m.Run(channel, _, _, lease_ms, number=number):
                self.running, self._run, self.running_until_s = channel, number, now_s + lease_ms / 1000
            case m.Keep(number, lease_ms):
                if number == self._run:
                    self.running_until_s = now_s + lease_ms / 1000
            case m.ReleaseEmergencyStop():
                self.latched = False
        self.carried_out.append(command)
        return reports, m.Done()

    def _stop(self, cause: m.StopCause) -> bytes:
        if self.running is None:
            return b""
        self._last, self.running = (self._run, self.running, cause), None
        return self._report(m.Stopped(*self._last[:2], cause, 0, 0))

    def _report(self, body: m.EventBody) -> bytes:
        line = encode_from_board(m.Event(self.next_event, body))
        self.next_event = (self.next_event + 1) % 256
        return line


@dataclass
class FaultyLine:
    """One direction of the line: cuts (`piece` bytes), loses and flips bits (`fault_rate` a byte), delays."""

    piece: int | None = None
    fault_rate: float = 0.0
    delay_s: float = 0.0
    seed: int = 0
    _under_way: deque[tuple[float, bytes]] = field(default_factory=deque)

    def __post_init__(self) -> None:
        self._random = Random(self.seed)

    def push(self, data: bytes, now_s: float) -> None:
        """Send bytes."""
        if data := b"".join(self._spoil(byte) for byte in data):
            self._under_way.append((now_s + self.delay_s, data))

    def pop(self, now_s: float) -> list[bytes]:
        """The pieces that have arrived."""
        arrived = b""
        while self._under_way and self._under_way[0][0] <= now_s:
            arrived += self._under_way.popleft()[1]
        size = self.piece or max(1, len(arrived))
        return [arrived[at : at + size] for at in range(0, len(arrived), size)]

    def _spoil(self, byte: int) -> bytes:
        if self._random.random() >= self.fault_rate:
            return bytes([byte])
        return b"" if self._random.random() < 0.5 else bytes([byte ^ 1 << self._random.randrange(8)])


@dataclass
class Conversation:
    """A session and a board at the two ends of a line, stepped by 2 ms; `events` has all session events."""

    down: FaultyLine = field(default_factory=FaultyLine)
    up: FaultyLine = field(default_factory=FaultyLine)
    board: BoardDouble = field(default_factory=BoardDouble)
    nonce: int = 0xA3F2

    def __post_init__(self) -> None:
        self.steps = 0
        self.session = HostSession(self.nonce, 0.0)
        self.events: list[SessionEvent] = []

    @property
    def now_s(self) -> float:
        """The time, from 0."""
        return self.steps * 0.002

    def request(self, command: m.Command) -> int:
        """Send a request now."""
        return self.session.outbox.ask(command, self.now_s)

    def run_for(self, duration_s: float) -> None:
        """Let time pass, until the session closes at the latest."""
        for _ in range(round(duration_s / 0.002)):
            if self.session.phase is Phase.CLOSED:
                return
            self.steps += 1
            for piece in self.up.pop(self.now_s):
                self.events += self.session.receive(piece, self.now_s)
            wakeup_s = self.session.wakeup_s()
            if wakeup_s is not None and wakeup_s <= self.now_s:
                self.events += self.session.tick(self.now_s)
            self.down.push(self.session.outbox.take_lines(), self.now_s)
            self.up.push(self.board.step(b"".join(self.down.pop(self.now_s)), self.now_s), self.now_s)
