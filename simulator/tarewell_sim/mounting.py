"""A board in the machine: between host, converter and pumps, in seconds of the simulation."""

from collections.abc import Mapping
from math import floor, inf
from typing import Protocol

from tarewell_protocol.messages import Direction, ResetCause

from .board import Board
from .specs import Scenario


class MountedBoard(Protocol):
    """The interface of a board to the machine, whether simulated here or firmware in an emulator.

    Methods with `now_s` are called in the order of time, and never for a time before the last limit of
    `next_s`.
    """

    @property
    def line_baud(self) -> float:
        """Rate of the wires to and from it; infinite if it simulates its own line."""

    @property
    def drives(self) -> Mapping[int, float]:
        """Channels under voltage: share of the full one, negative in reverse."""

    @property
    def display(self) -> tuple[str, ...]:
        """The lines of the display; none while the board is down or has no display."""

    def next_s(self, limit_s: float) -> float:
        """When it next acts on its own; infinity if not, or not before `limit_s`."""

    def receive(self, data: bytes, now_s: float) -> None:
        """Bytes from the host."""

    def convert(self, counts: int, now_s: float) -> None:
        """A conversion of the load-cell converter has ended."""

    def act(self, now_s: float) -> None:
        """Run what is due by its own clock."""

    def output(self) -> bytes:
        """What it has sent since the last call."""

    def press(self, down: bool, now_s: float) -> None:
        """The knob's button goes down or up."""

    def turn(self, steps: int, now_s: float) -> None:
        """The knob is turned, clockwise if positive."""

    def interlock(self, open_: bool, now_s: float) -> None:
        """The switch of the interlock opens or closes; a board without that input does not see it."""

    def supply(self, off: bool, now_s: float) -> None:
        """The pump supply goes or comes; a board that does not sense it runs on."""

    def restart(self, cause: ResetCause, now_s: float) -> None:
        """Reset: outputs off, session gone, deaf until it has booted."""


class OffRateClock:
    """The board's milliseconds since its reset, by its own resonator."""

    def __init__(self, start_ms: int, error_ppm: float, reset_s: float) -> None:
        self._start_ms, self._reset_s = start_ms, reset_s
        self._ms_per_s = 1000 * (1 + error_ppm * 1e-6)

    def ms(self, now_s: float) -> int:
        """The board's clock at a time of the simulation."""
        return self._start_ms + floor((now_s - self._reset_s) * self._ms_per_s + 1e-6)

    def when_s(self, ms: int) -> float:
        """When the board's clock shows `ms`."""
        return self._reset_s + (ms - self._start_ms) / self._ms_per_s


class SimulatedBoard:
    """`Board` in the machine: runs its clock and takes it through resets."""

    def __init__(self, scenario: Scenario) -> None:
        self._spec, self._adc = scenario.board, scenario.scale.adc
        self.line_baud: float = scenario.board.baud
        self._clock = OffRateClock(self._spec.clock_start_ms, self._spec.clock_error_ppm, 0.0)
        self._board: Board | None = None
        self._cause, self._boot_s, self._latched = ResetCause.POWER, inf, False
        self._open = self._off = False
        self._boot(0.0)

    def _boot(self, now_s: float) -> None:
        self._boot_s = inf
        now_ms = self._clock.ms(now_s)
        self._board = Board(self._spec, self._adc, self._cause, now_ms, latched=self._latched)
        self._board.interlock(self._open, now_ms)
        self._board.supply(self._off, now_ms)

    @property
    def drives(self) -> Mapping[int, float]:
        """The channel that runs, if one does."""
        running = self._board.running if self._board else None
        if running is None:
            return {}
        share = running.run.speed / 255
        return {running.run.channel: share if running.run.direction is Direction.FORWARD else -share}

    @property
    def display(self) -> tuple[str, ...]:
        """The lines of the display."""
        return tuple(self._board.display) if self._board else ()

    def next_s(self, limit_s: float) -> float:
        """When the board's clock or its boot is due."""
        due_ms = self._board.due_ms() if self._board else None
        return self._boot_s if due_ms is None else self._clock.when_s(due_ms)

    def receive(self, data: bytes, now_s: float) -> None:
        """Bytes from the host; lost while it is down."""
        if self._board:
            self._board.receive(data, self._clock.ms(now_s))

    def convert(self, counts: int, now_s: float) -> None:
        """A conversion; lost while it is down."""
        if self._board:
            self._board.convert(counts, self._clock.ms(now_s))

    def act(self, now_s: float) -> None:
        """Boot, or end runs that are over."""
        if now_s >= self._boot_s:
            self._clock = OffRateClock(0, self._spec.clock_error_ppm, now_s)
            self._boot(now_s)
        board = self._board
        if board and (due_ms := board.due_ms()) is not None and now_s >= self._clock.when_s(due_ms):
            board.tick(max(self._clock.ms(now_s), due_ms))

    def output(self) -> bytes:
        """What it has sent since the last call."""
        return self._board.output() if self._board else b""

    def press(self, down: bool, now_s: float) -> None:
        """The button, if the board is awake."""
        if self._board:
            self._board.press(down, self._clock.ms(now_s))

    def turn(self, steps: int, now_s: float) -> None:
        """The knob, if the board is awake."""
        if self._board:
            self._board.turn(steps, self._clock.ms(now_s))

    def interlock(self, open_: bool, now_s: float) -> None:
        """The interlock, which a board that starts sees again."""
        self._open = open_
        if self._board:
            self._board.interlock(open_, self._clock.ms(now_s))

    def supply(self, off: bool, now_s: float) -> None:
        """The pump supply, likewise."""
        self._off = off
        if self._board:
            self._board.supply(off, self._clock.ms(now_s))

    def restart(self, cause: ResetCause, now_s: float) -> None:
        """Reset: down at once, up again after the boot time; a second reset meanwhile starts over."""
        if self._board:
            self._latched = self._board.latched
        self._board, self._cause = None, cause
        self._boot_s = now_s + self._spec.boot_ms / 1000
