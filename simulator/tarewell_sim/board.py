"""The board's side of protocol/SPEC.md: requests, self-limiting outputs, samples and events.

It has its own millisecond clock and knows nothing of physics: conversions, button and knob are fed to it, its
outputs are read from it. Section numbers below are those of SPEC.md.
"""

from collections import Counter, deque
from dataclasses import dataclass, replace
from typing import assert_never

from tarewell_protocol import messages as m
from tarewell_protocol.codec import decode_command, encode_from_board, request_seq
from tarewell_protocol.framing import HOST_LINE_MAX, LineReader, crc16

from .specs import AdcSpec, BoardSpec

ADC_GUARD_MS = 150
LONG_PRESS_MS = 1000
ANSWERS_KEPT = 4
REVERSAL_MS = 100
FILTER_CONVERSIONS = 2
"""What a converter's filter delays where nobody has measured it."""
_MAX_COUNTER = 65535


@dataclass(frozen=True, slots=True)
class Running:
    """The one running pump, and its limits."""

    run: m.Run
    started_ms: int
    asked_ms: int
    renewed_ms: int
    lease_ms: int


class Board:
    """One board from reset to reset. All times are milliseconds of its own clock, not wrapped.

    The emergency stop outlives the reset: `latched` brings it from the board before.
    """

    def __init__(
        self, spec: BoardSpec, adc: AdcSpec, cause: m.ResetCause, now_ms: int, *, latched: bool = False
    ) -> None:
        self.running: Running | None = None
        self.latched = latched
        self._spec, self._rate_hz, self._cause = spec, adc.rate_hz, cause
        self._reader = LineReader(HOST_LINE_MAX)
        self._answered: deque[tuple[tuple[int, int], bytes]] = deque(maxlen=ANSWERS_KEPT)
        self._out = bytearray()
        self._nonce: int | None = None
        self._interlock_open = self._supply_off = False
        self._verdict = m.SelfTestVerdict(spec.self_test)
        self._last: tuple[int, int, m.StopCause | None] = (0, 0, None)
        self._last_direction = m.Direction.FORWARD
        self._stopped_ms = now_ms - REVERSAL_MS
        self._next_event = 0
        self._counters: Counter[str] = Counter()
        self._reading: int | None = None
        self._reading_ms = now_ms - ADC_GUARD_MS
        self._count = 0
        self._pressed_ms: int | None = None
        self._long_sent = False
        self._shape = tuple(int(n) for n in spec.display.split("x")) if spec.display else (0, 0)
        self.display = [" " * self._shape[0]] * self._shape[1]
        self._out += b"\n"
        self._event(m.Booted(cause, latched))

    def output(self) -> bytes:
        """The bytes to send since the last call."""
        if not self._out:
            return b""
        data = bytes(self._out)
        self._out.clear()
        return data

    # Inputs

    def receive(self, data: bytes, now_ms: int) -> None:
        """Bytes from the host."""
        for body in self._reader.feed(data):
            self._take(body, now_ms)

    def convert(self, counts: int, now_ms: int) -> None:
        """A conversion has ended (section 4); it may end a run (section 6, rules 4 and 5)."""
        periods = (now_ms - self._reading_ms) * self._rate_hz / 1000
        late = self._reading is not None and periods > 1.5
        if late:
            self._counters["late"] += 1
            self._counters["lost"] += round(periods) - 1
        saturated = counts in (m.COUNTS_MIN, m.COUNTS_MAX)
        if saturated:
            self._counters["saturated"] += 1
        self._reading, self._reading_ms = counts, now_ms
        self._count = (self._count + 1) % (1 << 16)
        if self.running and saturated:
            self._stop(m.StopCause.ADC, now_ms)
        elif self._beyond_limits():
            self._stop(m.StopCause.LIMIT, now_ms)
        elif self.running and self._past(self.running.run):
            self._stop(m.StopCause.CEILING, now_ms)
        if self._nonce is not None:
            mask = 1 << (self.running.run.channel - 1) if self.running else 0
            clock = now_ms % (1 << 32)
            conditions = (saturated, self.latched, late, self._interlock_open, self._supply_off)
            self._send(m.Sample(clock, self._count, counts, mask, *conditions))

    def interlock(self, open_: bool, now_ms: int) -> None:
        """The interlock opened or closed."""
        if "i" in self._spec.abilities:
            self._interlock_open = open_
            if open_:
                self._stop(m.StopCause.INTERLOCK, now_ms)

    def supply(self, off: bool, now_ms: int) -> None:
        """The pump supply went or came; its loss latches the emergency stop while a session is open."""
        if "p" in self._spec.abilities and off != self._supply_off:
            self._supply_off = off
            self.latched |= off and self._nonce is not None
            if off:
                self._stop(m.StopCause.SUPPLY, now_ms)

    def press(self, down: bool, now_ms: int) -> None:
        """The knob's button went down or up."""
        if "k" in self._spec.abilities and down == (self._pressed_ms is None):
            self._pressed_ms = now_ms if down else None
            self._report(m.Button(m.Press.DOWN if down else m.Press.UP, now_ms % (1 << 32)))
            self._long_sent = False

    def turn(self, steps: int, now_ms: int) -> None:
        """The knob was turned."""
        if "k" in self._spec.abilities and steps:
            self._report(m.Knob(max(-127, min(127, steps)), now_ms % (1 << 32)))

    # Its own clock

    def due_ms(self) -> int | None:
        """When `tick` is due; None when nothing waits for the clock."""
        held_ms = None
        if self._pressed_ms is not None and not self._long_sent:
            held_ms = self._pressed_ms + LONG_PRESS_MS
        running = self.running
        if running is None:
            return held_ms
        due_ms = min(
            self._reading_ms + ADC_GUARD_MS,
            running.asked_ms + running.run.max_ms,
            running.renewed_ms + running.lease_ms,
        )
        return due_ms if held_ms is None else min(due_ms, held_ms)

    def tick(self, now_ms: int) -> None:
        """End runs that are over (section 6, rules 2, 3 and 5), in the order in which causes are reported."""
        if running := self.running:
            if now_ms - self._reading_ms >= ADC_GUARD_MS:
                self._stop(m.StopCause.ADC, now_ms)
            elif now_ms - running.asked_ms >= running.run.max_ms:
                self._stop(m.StopCause.TIME, now_ms)
            elif now_ms - running.renewed_ms >= running.lease_ms:
                self._stop(m.StopCause.LEASE, now_ms)
        if (
            self._pressed_ms is not None
            and not self._long_sent
            and now_ms - self._pressed_ms >= LONG_PRESS_MS
        ):
            self._long_sent = True
            self._report(m.Button(m.Press.LONG, now_ms % (1 << 32)))

    # Requests

    def _take(self, body: str, now_ms: int) -> None:
        command, seq = decode_command(body), request_seq(body)
        if command is None or seq is None:
            self._counters["no request"] += 1
            return
        self._counters["frames"] += 1
        key = (seq, crc16(body.encode("ascii")))
        for known, line in self._answered:
            if known == key:
                self._out += line
                return
        answer = self._answer(command, now_ms)
        line = encode_from_board(m.Reply(seq, answer))
        if type(command) not in m.ANSWERS:
            self._answered.append((key, line))
        self._out += line

    def _answer(self, command: m.Command | m.Refusal, now_ms: int) -> m.ReplyBody:
        if isinstance(command, m.Refusal):
            return m.Refused(command)
        return self._carry_out(command, now_ms) or m.Done()

    def _carry_out(self, command: m.Command, now_ms: int) -> m.ReplyBody | None:
        """Carry out a request, or refuse it for the first reason in the order of section 3's table; None for
        done."""
        spec, reasons = self._spec, m.Refusal
        no_session = (reasons.SESSION, self._nonce is None)
        match command:
            case m.Hello(nonce, protocol=protocol):
                return self._hello(nonce, protocol, now_ms)
            case m.Run():
                if refused := _first(*self._run_reasons(command, now_ms)):
                    return refused
                started = self.running.started_ms if self.running else now_ms
                self.running = Running(command, started, now_ms, now_ms, command.lease_ms)
            case m.Keep(number, lease_ms):
                if refused := _first((reasons.RANGE, lease_ms > spec.longest_lease_ms), no_session):
                    return refused
                if self.running and self.running.run.number == number:
                    self.running = replace(self.running, renewed_ms=now_ms, lease_ms=lease_ms)
            case m.Stop(channel):
                if channel and channel > spec.channels:
                    return m.Refused(reasons.CHANNEL)
                if self.running and channel in (None, self.running.run.channel):
                    self._stop(m.StopCause.HOST, now_ms)
            case m.EmergencyStop():
                self.latched = True
                self._stop(m.StopCause.ESTOP, now_ms)
            case m.Show(line, text):
                width, lines = self._shape
                range_ = (reasons.RANGE, 0 < lines <= line)
                if refused := _first(range_, no_session, (reasons.ABILITY, lines == 0)):
                    return refused
                self.display[line] = text[:width].ljust(width)
            case _ if self._nonce is None:
                return m.Refused(reasons.SESSION)
            case m.ReleaseEmergencyStop():
                self.latched = False
            case m.AskState():
                return self._state()
            case m.AskStats():
                return self._stats()
            case m.AskSelfTest():
                return m.SelfTest(self._verdict, spec.flash_crc, self._verdict, spec.build)
            case m.AskLimits():
                return m.BoardLimits(
                    spec.longest_lease_ms, spec.longest_run_ms, spec.lowest_counts, spec.highest_counts
                )
            case _:
                assert_never(command)
        return None

    def _run_reasons(self, command: m.Run, now_ms: int) -> list[tuple[m.Refusal, bool]]:
        spec, reasons = self._spec, m.Refusal
        running = self.running.run if self.running else command
        other = (running.channel, running.direction) != (command.channel, command.direction)
        turns_back = command.direction is not self._last_direction
        still_turning = turns_back and now_ms - self._stopped_ms < REVERSAL_MS
        unable = (command.direction is m.Direction.REVERSE and "r" not in spec.abilities) or (
            command.speed != 255 and "v" not in spec.abilities
        )
        blind = now_ms - self._reading_ms >= ADC_GUARD_MS
        saturated = self._reading in (m.COUNTS_MIN, m.COUNTS_MAX)
        return [
            (reasons.RANGE, self._out_of_range(command)),
            (reasons.CHANNEL, command.channel > spec.channels),
            (reasons.BUSY, other or (not self.running and still_turning)),
            (reasons.LATCHED, self.latched),
            (reasons.SESSION, self._nonce is None),
            (reasons.ABILITY, unable),
            (reasons.FAULT, self._verdict is m.SelfTestVerdict.BAD),
            (reasons.SUPPLY, self._supply_off),
            (reasons.INTERLOCK, self._interlock_open),
            (reasons.LIMIT, self._beyond_limits()),
            (reasons.CEILING, self._past(command)),
            (reasons.ADC, blind or saturated),
        ]

    def _out_of_range(self, run: m.Run) -> bool:
        spec = self._spec
        return (
            run.lease_ms > spec.longest_lease_ms
            or run.max_ms > spec.longest_run_ms
            or not spec.lowest_counts <= run.ceiling_counts <= spec.highest_counts
        )

    def _beyond_limits(self) -> bool:
        """Whether the last reading is outside the board's own limits."""
        spec, reading = self._spec, self._reading
        return reading is not None and not spec.lowest_counts <= reading <= spec.highest_counts

    def _past(self, run: m.Run) -> bool:
        """Whether the last reading is past the ceiling of this run."""
        reading = self._reading
        if reading is None:
            return False
        return reading >= run.ceiling_counts if run.ceiling_above else reading <= run.ceiling_counts

    def _hello(self, nonce: int, protocol: int, now_ms: int) -> m.ReplyBody:
        """Section 5: another version opens no session; the open session's nonce marks a repetition."""
        spec = self._spec
        if spec.protocol != m.PROTOCOL_VERSION:
            return m.OtherVersion(spec.protocol, spec.firmware)
        if protocol == spec.protocol and nonce != self._nonce:
            self._nonce = nonce
            self._answered.clear()
            self._stop(m.StopCause.SESSION, now_ms)
        return m.Identity(
            spec.protocol,
            spec.firmware,
            spec.id,
            spec.channels,
            self._rate_hz,
            round(1000 * FILTER_CONVERSIONS / self._rate_hz)
            if spec.filter_delay_ms is None
            else spec.filter_delay_ms,
            m.COUNTS_MAX,
            frozenset(spec.abilities),
            spec.display,
            self._cause,
        )

    def _state(self) -> m.BoardState:
        running = frozenset({self.running.run.channel} if self.running else ())
        return m.BoardState(running, self.latched, *self._last, self._next_event)

    def _stats(self) -> m.BoardStats:
        """Counters since reset; overruns cannot happen here, since reading is faster than the wire."""
        noise, counters = self._reader.noise, self._counters
        values = (
            counters["frames"],
            noise.bad_crc + noise.malformed + counters["no request"],
            noise.overlong,
            0,
            counters["lost"],
            counters["late"],
            counters["saturated"],
        )
        return m.BoardStats(*(min(_MAX_COUNTER, value) for value in values))

    # Actions

    def _stop(self, cause: m.StopCause, now_ms: int) -> None:
        if running := self.running:
            self.running = None
            run = running.run
            self._last = (run.number, run.channel, cause)
            self._last_direction, self._stopped_ms = run.direction, now_ms
            clock, ran_ms = now_ms % (1 << 32), now_ms - running.started_ms
            self._report(m.Stopped(run.number, run.channel, cause, clock, ran_ms))

    def _report(self, body: m.EventBody) -> None:
        if self._nonce is not None:
            self._event(body)

    def _event(self, body: m.EventBody) -> None:
        self._send(m.Event(self._next_event, body))
        self._next_event = (self._next_event + 1) % 256

    def _send(self, message: m.FromBoard) -> None:
        self._out += encode_from_board(message)


def _first(*reasons: tuple[m.Refusal, bool]) -> m.Refused | None:
    """Refused for the first reason that holds."""
    return next((m.Refused(reason) for reason, holds in reasons if holds), None)
