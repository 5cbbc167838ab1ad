"""The firmware's board and the simulator's play the same script and must say, drive and show the same."""

import random
from collections.abc import Callable, Iterator
from functools import partial
from typing import TypeAlias

import pytest

from firmware_host import HostBoard
from golden import COMMANDS, meaning, read_cases
from tarewell_protocol import messages as m
from tarewell_protocol.codec import encode_request
from tarewell_protocol.framing import HOST_LINE_MAX, encode_frame
from tarewell_sim.board import Board
from tarewell_sim.specs import AdcSpec, BoardSpec

START_MS = 2**32 - 3000
"""The board's clock wraps 3 s into a script."""

BUILDS = {
    "full": ("", BoardSpec(id="foyer-01", display="20x4"), AdcSpec()),
    "small display": (
        "-DTW_DISPLAY_COLUMNS=16 -DTW_DISPLAY_ROWS=2",
        BoardSpec(id="foyer-01", display="16x2"),
        AdcSpec(),
    ),
    "bare": (
        "-DTW_CHANNELS=4 -DTW_REVERSE=0 -DTW_VARIABLE_SPEED=0 -DTW_KNOB=0 -DTW_DISPLAY_ROWS=0"
        " -DTW_SAMPLE_RATE_HZ=10",
        BoardSpec(id="foyer-01", channels=4, abilities=""),
        AdcSpec(rate_hz=10),
    ),
}


Move: TypeAlias = Callable[["Pair"], None]


def ask(line: bytes) -> Move:
    """Bytes from the host."""
    return lambda pair: pair.both("receive", line)


def request(seq: int, command: m.Command) -> Move:
    """A good request."""
    return ask(encode_request(m.Request(seq, command)))


def wait(ms: int, period_ms: int | None, counts: int) -> Move:
    """Time, with a conversion every `period_ms`, or none."""
    return lambda pair: pair.wait(ms, period_ms, counts)


OPEN = (wait(24, 12, 500), request(9, m.Hello(1)))


GOLDEN: list[m.Command] = [
    meaning(COMMANDS[case["kind"]], case) for case in read_cases("valid/host_to_board.txt")
]


def script(seed: int) -> Iterator[Move]:
    """Moves that get in each other's way: few numbers, few channels, values at and beside every limit."""
    pick = random.Random(seed)
    sent = [b"\n"]
    yield from OPEN if pick.random() < 0.9 else ()
    for _ in range(250):
        kind = pick.random()
        if kind < 0.45:
            sent.append(encode_request(m.Request(pick.choice([0, 1, 2, 255]), _command(pick))))
            yield ask(sent[-1])
        elif kind < 0.55:
            yield ask(pick.choice(sent[-7:]))
        elif kind < 0.6:
            odd = pick.choice(
                ["brew", "run 1", "keep 0", "stop 9", "show 4 x", "hello 1", "state 1", "hello 256 0000"]
            )
            sent.append(encode_frame(f">0{pick.randrange(3)} {odd}", HOST_LINE_MAX))
            yield ask(sent[-1])
        elif kind < 0.63:
            yield ask(pick.randbytes(pick.choice([1, 10, 70])) + b"\n")
        elif kind < 0.85:
            yield wait(pick.randint(1, 60), pick.choice([12, 12, 12, 13, 19, 20, 110]), _counts(pick))
        elif kind < 0.92:
            yield wait(
                pick.choice([149, 150, 151, 250, 1001]), pick.choice([None, 12, 12, 125, 150, 250]), 500
            )
        elif kind < 0.97:
            down = pick.random() < 0.5
            yield partial(Pair.both, method="press", argument=down)
        else:
            steps = pick.randint(-127, 127)
            yield partial(Pair.both, method="turn", argument=steps)


def _counts(pick: random.Random) -> int:
    edges = [0, 999, 1000, 1001, -400_000, -400_001, 2_400_000, 2_400_001, -(2**23), 2**23 - 1]
    return 500 if pick.random() < 0.7 else pick.choice(edges)


def _command(pick: random.Random) -> m.Command:
    kind = pick.random()
    if kind < 0.35:  # likely to start
        return m.Run(pick.choice([1, 2]), m.Direction.FORWARD, 255, pick.choice([100, 400, 480]), 1000, 300)
    if kind < 0.5:
        return m.Run(
            pick.randint(1, 8),
            pick.choice([*m.Direction]),
            pick.choice([1, 128, 255]),
            pick.choice([1, 40, 480, 481]),
            pick.choice([499, 500, 501, 1000, -400_000, -400_001, 2_400_000, 2_400_001]),
            pick.choice([1, 100, 120_000, 120_001]),
            ceiling_above=pick.random() < 0.5,
        )
    if kind < 0.6:
        return pick.choice(GOLDEN)
    texts = ("", "Elderflower", "Ginger beer 200 ml ok", " ")
    others: list[m.Command] = [
        m.Keep(pick.choice([1, 100, 400, 480, 481])),
        m.Keep(400),
        m.Stop(pick.choice([None, 1, 2, 8])),
        m.EmergencyStop(),
        m.ReleaseEmergencyStop(),
        m.ReleaseEmergencyStop(),
        m.Hello(pick.choice([7, 8]), protocol=pick.choice([1, 1, 1, 2])),
        m.Show(pick.randrange(4), pick.choice(texts)[:20]),
        m.AskState(),
        m.AskStats(),
        m.AskLimits(),
    ]
    return pick.choice(others)


class Pair:
    """Both boards, told the same."""

    def __init__(self, build: str, cause: m.ResetCause) -> None:
        config, spec, adc = BUILDS[build]
        self.now_ms = START_MS
        self.rows = int(spec.display.split("x")[1]) if spec.display else 0
        self.twin = Board(spec, adc, cause, self.now_ms)
        self.firmware = HostBoard(config, cause, self.now_ms)
        self.compare()

    def compare(self) -> None:
        """What they say since the last time, what they drive and show."""
        assert self.firmware.output() == self.twin.output()
        running = self.twin.running
        channel, reverse, speed = self.firmware.drive()
        if running is None:
            assert (channel, speed, self.firmware.left_ms(self.now_ms)) == (0, 0, 0)
        else:
            run = running.run
            assert (channel, reverse, speed) == (run.channel, run.direction is m.Direction.REVERSE, run.speed)
            due_ms = self.twin.due_ms()
            assert due_ms is not None
            assert self.firmware.left_ms(self.now_ms) >= due_ms - self.now_ms > 0

    def both(self, method: str, argument: bytes | int) -> None:
        """Calls a method of both boards with the time."""
        getattr(self.twin, method)(argument, self.now_ms)
        getattr(self.firmware, method)(argument, self.now_ms)
        self.compare()

    def wait(self, ms: int, period_ms: int | None, counts: int) -> None:
        """See the function of that name."""
        for passed_ms in range(1, ms + 1):
            self.now_ms += 1
            self.twin.tick(self.now_ms)
            self.firmware.tick(self.now_ms)
            if period_ms and passed_ms % period_ms == 0:
                self.both("convert", counts)
            self.compare()


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("build", BUILDS)
def test_the_firmware_says_drives_and_shows_what_the_simulated_board_does(build: str, seed: int) -> None:
    pair = Pair(build, tuple(m.ResetCause)[seed % 5])
    for move in script(seed):
        move(pair)
    for row in range(pair.rows):
        assert pair.firmware.display_text(row) == pair.twin.display[row]


def test_a_script_reaches_a_run_and_its_end_on_both() -> None:
    """The pair compares at every step; here it is made sure that there is something to compare."""
    pair = Pair("full", m.ResetCause.POWER)
    run = m.Run(3, m.Direction.FORWARD, 255, 400, 9000, 5000)
    for move in [*OPEN, request(1, run)]:
        move(pair)
    assert pair.firmware.drive() == (3, False, 255)
    pair.wait(12, 12, 9000)
    assert pair.firmware.drive() == (0, False, 0)
