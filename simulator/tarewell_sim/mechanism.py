"""Physics, board, wire and time, advanced step by step."""

from collections.abc import Callable
from random import Random

from tarewell_protocol.messages import ResetCause

from .agenda import Agenda
from .mounting import MountedBoard, SimulatedBoard
from .plant import Plant
from .specs import Scenario
from .wire import Wire


class Mechanism:
    """What moves by itself: nobody is at the machine, and nobody looks into it."""

    def __init__(self, scenario: Scenario, seed: int, board: MountedBoard | None) -> None:
        self.scenario = scenario
        self.now_s = 0.0
        """Simulated seconds since the start."""
        self._plant = Plant(scenario, seed)
        self._period_s = self._plant.adc.period_s
        self.board = board or SimulatedBoard(scenario)
        self.to_board = Wire(self.board.line_baud, Random(f"{seed} wire to board"))
        self.to_host = Wire(self.board.line_baud, Random(f"{seed} wire to host"))
        self.silent = False
        self.converting = True
        self.frozen_counts: int | None = None
        self.last_counts = 0
        self._driven: dict[int, float] = {}
        self._conversions = 0
        self._converts_s = self._period_s
        self._agenda = Agenda()
        self._room_rng = Random(f"{seed} room")
        self._apply_outputs()
        self._plan_footfall()

    @property
    def plant(self) -> Plant:
        """The physics at the present time: it follows when it is looked at, at least at every conversion."""
        plant = self._plant
        if plant.now_s < self.now_s:
            plant.advance(self.now_s - plant.now_s)
            plant.now_s = self.now_s
        return plant

    def write(self, data: bytes) -> None:
        """Put bytes on the wire to the board, now."""
        self.to_board.push(data, self.now_s)

    def read(self) -> bytes:
        """The bytes from the board that have reached the host since the last call."""
        return self.to_host.pop(self.now_s)

    def at(self, at_s: float, action: Callable[[], object]) -> None:
        """Schedule an action at a time of the simulation."""
        self._agenda.at(at_s, action)

    def advance(self, dt_s: float) -> None:
        """Let time pass; samples, deadlines and arriving bytes happen at their own times within it."""
        until_s = self.now_s + dt_s
        while (due_s := self._due_s(until_s)) <= until_s:
            self._run_due(due_s)
        self.now_s = until_s
        self._apply_outputs()

    def advance_until_heard(self, most_s: float) -> None:
        """Let time pass until bytes from the board have reached the host, but no longer than this."""
        until_s = self.now_s + most_s
        while (due_s := self._due_s(until_s)) <= until_s and self.to_host.next_s > due_s:
            self._run_due(due_s)
        self.now_s = max(self.now_s, min(until_s, self.to_host.next_s))
        self._apply_outputs()

    def restart_board(self, cause: ResetCause) -> None:
        """Reset the board: outputs off, session gone, deaf until it has booted."""
        self.board.restart(cause, self.now_s)
        self._apply_outputs()

    def interlock(self, open_: bool) -> None:
        """The switch of the interlock opens or closes."""
        self.board.interlock(open_, self.now_s)
        self._apply_outputs()

    def supply(self, off: bool) -> None:
        """The pump supply goes or comes."""
        for line in self.plant.lines.values():
            line.supply(not off)
        self.board.supply(off, self.now_s)
        self._apply_outputs()

    def press(self, down: bool) -> None:
        """The knob's button goes down or up."""
        self.board.press(down, self.now_s)
        self._apply_outputs()

    def turn(self, steps: int) -> None:
        """The knob is turned, clockwise if positive."""
        self.board.turn(steps, self.now_s)
        self._apply_outputs()

    def _due_s(self, until_s: float) -> float:
        due_s = min(self._converts_s, self.to_board.next_s, self._agenda.next_s)
        board_s = self.board.next_s(due_s if due_s < until_s else until_s)
        return board_s if board_s < due_s else due_s

    def _run_due(self, due_s: float) -> None:
        """Bytes first, then conversions, then the board's clock: the order in which causes are reported."""
        now_s = self.now_s = max(self.now_s, due_s)
        if data := self.to_board.pop(now_s):
            self.board.receive(data, now_s)
        if now_s >= self._converts_s:
            self._convert(now_s)
        self.board.act(now_s)
        self._apply_outputs()
        while self._agenda.next_s <= now_s:
            self._agenda.do_next()

    def _convert(self, now_s: float) -> None:
        self._conversions += 1
        self._converts_s = (self._conversions + 1) * self._period_s
        counts = self.plant.convert()
        if self.frozen_counts is not None:
            counts = self.frozen_counts
        if self.converting:
            self.last_counts = counts
            self.board.convert(counts, now_s)

    def _apply_outputs(self) -> None:
        """Apply the board's outputs to the pumps and its bytes to the wire."""
        if data := self.board.output():
            self.to_host.push(b"" if self.silent else data, self.now_s)
        drives = self.board.drives
        if drives == self._driven:
            return
        for channel, line in self.plant.lines.items():
            if drives.get(channel, 0.0) != self._driven.get(channel, 0.0):
                line.command(drives.get(channel, 0.0))
        self._driven = dict(drives)

    def _plan_footfall(self) -> None:
        room = self.scenario.room
        if room.footfalls_per_min:
            self.at(self.now_s + self._room_rng.expovariate(room.footfalls_per_min / 60), self._footfall)

    def _footfall(self) -> None:
        impulse_n_s = self.scenario.room.footfall_n_s * self._room_rng.choice((-1, 1))
        self.plant.platform.knock(impulse_n_s, self.plant.load_g)
        self._plan_footfall()
