"""Helpers of the simulator's tests: transcripts for the board, a host in lock step, small machines."""

from collections.abc import Callable
from typing import Any

import pytest

from tarewell_protocol.framing import BOARD_LINE_MAX, HOST_LINE_MAX, LineReader, encode_frame
from tarewell_protocol.messages import Command, Keep, ResetCause, Run, Sample, Stop
from tarewell_protocol.session import Answered, HostSession, Phase, Reported, SampleArrived, SessionEvent
from tarewell_sim.board import Board
from tarewell_sim.machine import SimulatedMachine
from tarewell_sim.scenario import load_scenario, scenario_from
from tarewell_sim.specs import AdcSpec, BoardSpec, Scenario


class Transcript:
    """Plays a board from text and compares what it says.

    `@MS action` lets the board's clock run to MS and then acts: `>XX request`, `adc COUNTS`, `down`, `up`,
    `turn N`, `interlock open` or `closed`, `supply off` or `on`, `raw BYTES`, or nothing. The lines below
    it are all that the board says until then, in order; samples of `steady COUNTS` (a conversion every 12
    ms from there on) are left out.
    """

    def __init__(self, board: Board) -> None:
        self.board = board
        self.now_ms = 0
        self._steady: int | None = None
        self._reader = LineReader(BOARD_LINE_MAX)

    def play(self, script: str) -> None:
        said: list[str] = []
        expected: list[str] = []
        for line in (text.strip() for text in script.strip().splitlines()):
            if line.startswith("@"):
                assert said == expected
                time, _, action = line[1:].partition(" ")
                said, expected = self._run_to(int(time)), []
                said += self._act(action)
            elif line:
                expected.append(line)
        assert said == expected

    def _run_to(self, ms: int) -> list[str]:
        said = []
        while self.now_ms < ms:
            self.now_ms += 1
            if self._steady is not None and self.now_ms % 12 == 0:
                self.board.convert(self._steady, self.now_ms)
                said += [text for text in self._said() if not text.startswith("#")]
            due_ms = self.board.due_ms()
            if due_ms is not None and due_ms <= self.now_ms:
                self.board.tick(self.now_ms)
                said += self._said()
        return said

    def _act(self, action: str) -> list[str]:
        verb, _, rest = action.partition(" ")
        if verb.startswith(">"):
            self.board.receive(encode_frame(action, HOST_LINE_MAX), self.now_ms)
        elif verb == "adc":
            self.board.convert(int(rest), self.now_ms)
        elif verb == "steady":
            self._steady = int(rest)
            self.board.convert(int(rest), self.now_ms)
            return [text for text in self._said() if not text.startswith("#")]
        elif verb in ("down", "up"):
            self.board.press(verb == "down", self.now_ms)
        elif verb == "interlock":
            self.board.interlock(rest == "open", self.now_ms)
        elif verb == "supply":
            self.board.supply(rest == "off", self.now_ms)
        elif verb == "turn":
            self.board.turn(int(rest), self.now_ms)
        elif verb == "raw":
            self.board.receive(rest.encode().decode("unicode_escape").encode("latin-1"), self.now_ms)
        return self._said()

    def _said(self) -> list[str]:
        return list(self._reader.feed(self.board.output()))


@pytest.fixture
def transcript() -> Callable[..., Transcript]:
    """Makes a transcript for a freshly started board, whose boot event is taken as read."""

    def make(cause: ResetCause = ResetCause.POWER, **spec: Any) -> Transcript:
        made = Transcript(Board(BoardSpec(**spec), AdcSpec(), cause, 0))
        made.board.output()
        return made

    return make


class Host:
    """A host session in lock step with a machine."""

    def __init__(self, machine: SimulatedMachine, nonce: int = 0x1234) -> None:
        self.machine = machine
        self.session = HostSession(nonce, machine.now_s)
        self.events: list[SessionEvent] = []

    def run(self, seconds: float, piece_s: float = 0.01) -> list[SessionEvent]:
        """Let time pass; returns what happened."""
        events: list[SessionEvent] = []
        until_s = self.machine.now_s + seconds
        while self.machine.now_s < until_s - 1e-9:
            self.machine.write(self.session.outbox.take_lines())
            self.machine.advance(min(piece_s, until_s - self.machine.now_s))
            now_s = self.machine.now_s
            events += self.session.receive(self.machine.read(), now_s)
            events += self.session.tick(now_s)
        self.events += events
        return events

    def open(self) -> "Host":
        """Open the session and let the converter settle."""
        self.run(0.2)
        assert self.session.phase is Phase.OPEN
        return self

    def ask(self, command: Command) -> int:
        """Send a request now."""
        return self.session.outbox.ask(command, self.machine.now_s)

    def pour(self, run: Run, seconds: float) -> list[SessionEvent]:
        """Run a pump for a time under renewed leases."""
        events = []
        self.ask(run)
        until_s = self.machine.now_s + seconds
        while self.machine.now_s < until_s - 1e-9:
            events += self.run(min(0.1, until_s - self.machine.now_s))
            if self.session.phase is Phase.OPEN:
                self.ask(Keep(0, 400))
        if self.session.phase is Phase.OPEN:
            self.ask(Stop(run.channel))
        return events

    @staticmethod
    def answers(events: list[SessionEvent]) -> list[Any]:
        """The bodies of answers to requests."""
        return [event.body for event in events if isinstance(event, Answered)]

    @staticmethod
    def reports(events: list[SessionEvent]) -> list[Any]:
        """The bodies of the board's reports."""
        return [event.body for event in events if isinstance(event, Reported)]

    @staticmethod
    def samples(events: list[SessionEvent]) -> list[Sample]:
        """The samples."""
        return [event.sample for event in events if isinstance(event, SampleArrived)]


@pytest.fixture
def host() -> type[Host]:
    """The class of hosts in lock step."""
    return Host


QUIET: dict[str, Any] = {
    "scale": {
        "adc": {"noise_counts": 0},
        "cell": {"creep_share": 0, "wander_g_per_sqrt_h": 0, "zero_g_per_k": 0, "span_ppm_per_k": 0},
    },
    "channels": [
        {
            "number": 1,
            "name": "Stage Water",
            "liquid": {"kind": "given", "density_g_per_ml": 1.0, "viscosity_mpa_s": 1.0},
            "pump": {"rated_rpm": 240, "ml_per_rev": 2.0},
        }
    ],
}


@pytest.fixture
def quiet() -> Callable[..., Scenario]:
    """Makes a one-channel scenario without noise and drift; sections given are merged into it."""

    def make(**sections: dict[str, Any]) -> Scenario:
        merged = QUIET | {name: QUIET.get(name, {}) | section for name, section in sections.items()}
        return scenario_from(merged, "test")

    return make


@pytest.fixture
def theatre() -> Scenario:
    """The default scenario."""
    return load_scenario("theatre_bar")
