"""Physics, board, wire and time as one machine that is advanced by a step and otherwise stands still."""

import heapq
from collections.abc import Callable
from functools import partial
from math import floor
from random import Random

from tarewell_protocol.messages import Direction, ResetCause

from .bench import Bench
from .board import Board
from .plant import Plant
from .scenario import Scenario
from .truth import Truth
from .wire import Wire


class BoardClock:
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


class SimulatedMachine:
    """A dispenser behind the board's end of the line.

    The same scenario, seed and calls give the same bytes.
    """

    def __init__(self, scenario: Scenario, seed: int = 0) -> None:
        self.scenario = scenario
        self.plant = Plant(scenario, seed)
        self.to_board = Wire(scenario.board.baud, Random(f"{seed} wire to board"))
        self.to_host = Wire(scenario.board.baud, Random(f"{seed} wire to host"))
        self.silent = False
        self.converting = True
        self.frozen_counts: int | None = None
        self.last_counts = 0
        self._clock = BoardClock(scenario.board.clock_start_ms, scenario.board.clock_error_ppm, 0.0)
        self._driven: tuple[int, float] | None = None
        self._conversions = 1
        self._agenda: list[tuple[float, int, Callable[[], object]]] = []
        self._entries = 0
        self._resets = 0
        self._room_rng = Random(f"{seed} room")
        self.board: Board | None = None
        self._start_board(ResetCause.POWER)
        self.bench = Bench(self)
        self.truth = Truth(self)
        if scenario.glass.standing:
            self.bench.place_glass()
        for disturbance in scenario.disturbances:
            self.at(disturbance.at_s, partial(self.bench.call, disturbance.do, disturbance.args))
        self._plan_footfall()

    @property
    def now_s(self) -> float:
        """Simulated seconds since the start."""
        return self.plant.now_s

    def write(self, data: bytes) -> None:
        """Put bytes on the wire to the board, now."""
        self.to_board.push(data, self.now_s)

    def read(self) -> bytes:
        """The bytes from the board that have reached the host by now, each once."""
        return self.to_host.pop(self.now_s)

    def at(self, at_s: float, action: Callable[[], object]) -> None:
        """Do something at a time of the simulation."""
        self._entries += 1
        heapq.heappush(self._agenda, (at_s, self._entries, action))

    def advance(self, dt_s: float) -> None:
        """Let time pass; samples, deadlines and arriving bytes happen at their own times within it."""
        until_s = self.now_s + dt_s
        while (due_s := self._due_s()) <= until_s:
            self._pass_to(due_s)
            self._happen(self.now_s)
        self._pass_to(until_s)

    def restart_board(self, cause: ResetCause) -> None:
        """Reset the board: outputs off, session gone, deaf until it has booted."""
        self.board = None
        self._drive(None)
        self._resets += 1
        reset, booted_s = self._resets, self.now_s + self.scenario.board.boot_ms / 1000
        self.at(booted_s, lambda: self._reboot(cause) if reset == self._resets else None)

    def tell_board(self, tell: Callable[[Board, int], None]) -> None:
        """Do something to the board's inputs at its present millisecond, if it is awake."""
        if self.board:
            tell(self.board, self._clock.ms(self.now_s))
            self._heed()

    def _reboot(self, cause: ResetCause) -> None:
        self._clock = BoardClock(0, self.scenario.board.clock_error_ppm, self.now_s)
        self._start_board(cause)

    def _start_board(self, cause: ResetCause) -> None:
        spec = self.scenario.board
        self.board = Board(spec, self.scenario.scale.adc, cause, self._clock.ms(self.now_s))
        self._heed()

    def _due_s(self) -> float:
        due_s = min(self._conversions * self.plant.adc.period_s, self.to_board.next_s)
        if self._agenda:
            due_s = min(due_s, self._agenda[0][0])
        if self.board and (due_ms := self.board.due_ms()) is not None:
            due_s = min(due_s, self._clock.when_s(due_ms))
        return due_s

    def _pass_to(self, time_s: float) -> None:
        if time_s > self.now_s:
            self.plant.advance(time_s - self.now_s)
            self.plant.now_s = time_s

    def _happen(self, now_s: float) -> None:
        """Bytes first, then conversions, then the board's clock: the order in which causes are reported."""
        board, now_ms = self.board, self._clock.ms(now_s)
        data = self.to_board.pop(now_s)
        if data and board:
            board.receive(data, now_ms)
        if now_s >= self._conversions * self.plant.adc.period_s:
            self._conversions += 1
            self._convert(board, now_ms)
        if board and (due_ms := board.due_ms()) is not None and now_s >= self._clock.when_s(due_ms):
            board.tick(max(now_ms, due_ms))
        self._heed()
        while self._agenda and self._agenda[0][0] <= now_s:
            heapq.heappop(self._agenda)[2]()

    def _convert(self, board: Board | None, now_ms: int) -> None:
        counts = self.plant.convert()
        if self.frozen_counts is not None:
            counts = self.frozen_counts
        if self.converting and board:
            self.last_counts = counts
            board.convert(counts, now_ms)

    def _heed(self) -> None:
        """Carry the board's outputs to the pumps and its bytes to the wire."""
        board = self.board
        if board is None:
            return
        if data := board.output():
            self.to_host.push(b"" if self.silent else data, self.now_s)
        running = board.running
        if running is None:
            self._drive(None)
        else:
            run = running.run
            share = run.speed / 255
            self._drive((run.channel, share if run.direction is Direction.FORWARD else -share))

    def _drive(self, drive: tuple[int, float] | None) -> None:
        if drive == self._driven:
            return
        lines = self.plant.lines
        if self._driven and self._driven[0] in lines:
            lines[self._driven[0]].command(0.0)
        if drive and drive[0] in lines:
            lines[drive[0]].command(drive[1])
        self._driven = drive

    def _plan_footfall(self) -> None:
        room = self.scenario.room
        if room.footfalls_per_min:
            self.at(self.now_s + self._room_rng.expovariate(room.footfalls_per_min / 60), self._footfall)

    def _footfall(self) -> None:
        impulse_n_s = self.scenario.room.footfall_n_s * self._room_rng.choice((-1, 1))
        self.plant.platform.knock(impulse_n_s, self.plant.load_g)
        self._plan_footfall()
