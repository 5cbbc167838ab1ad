"""The firmware's board and the simulator's play the same script and must say, drive and show the same."""

import random
from collections.abc import Callable, Iterator
from functools import partial
from typing import TypeAlias

import pytest

from firmware_host import HostBoard
from golden import COMMANDS, meaning, read_cases
from tarewell_protocol import messages as m
from tarewell_protocol.codec import decode_from_board, encode_from_board, encode_request
from tarewell_protocol.framing import BOARD_LINE_MAX, HOST_LINE_MAX, LineReader, encode_frame
from tarewell_sim.board import Board
from tarewell_sim.specs import AdcSpec, BoardSpec

START_MS = 2**32 - 3000
"""The board's clock wraps 3 s into a script."""

BUILDS = {
    "full": (
        "-DTW_INTERLOCK=1 -DTW_SUPPLY_SENSE=1",
        BoardSpec(id="foyer-01", display="20x4", abilities="rvkip"),
        AdcSpec(),
    ),
    "small display": (
        "-DTW_DISPLAY_COLUMNS=16 -DTW_DISPLAY_ROWS=2",
        BoardSpec(id="foyer-01", display="16x2"),
        AdcSpec(),
    ),
    "bare": (
        "-DTW_CHANNELS=4 -DTW_REVERSE=0 -DTW_VARIABLE_SPEED=0 -DTW_KNOB=0 -DTW_DISPLAY_ROWS=0"
        " -DTW_SAMPLE_RATE_TENTHS=100",
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
                ["brew", "run 1", "keep 00", "stop 9", "show 4 x", "hello 2", "state 1", "hello 256 0000"]
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
        elif kind < 0.94:
            yield partial(Pair.both, method="interlock", argument=pick.random() < 0.3)
        elif kind < 0.95:
            yield partial(Pair.both, method="supply", argument=pick.random() < 0.3)
        elif kind < 0.98:
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
    number = pick.choice([1, 2])
    if kind < 0.35:  # likely to start
        lease_ms = pick.choice([100, 400, 470])
        return m.Run(pick.choice([1, 2]), m.Direction.FORWARD, 255, lease_ms, 1000, 300, number=number)
    if kind < 0.5:
        return m.Run(
            pick.randint(1, 8),
            pick.choice([*m.Direction]),
            pick.choice([1, 128, 255]),
            pick.choice([1, 40, 470, 471]),
            pick.choice([499, 500, 501, 1000, -400_000, -400_001, 2_400_000, 2_400_001]),
            pick.choice([1, 100, 120_000, 120_001]),
            ceiling_above=pick.random() < 0.5,
            number=number,
        )
    if kind < 0.6:
        return pick.choice(GOLDEN)
    texts = ("", "Elderflower", "Ginger beer 200 ml ok", " ")
    others: list[m.Command] = [
        m.Keep(number, pick.choice([1, 100, 400, 470, 471])),
        m.Keep(number, 400),
        m.Stop(pick.choice([None, 1, 2, 8])),
        m.EmergencyStop(),
        m.ReleaseEmergencyStop(),
        m.ReleaseEmergencyStop(),
        m.Hello(pick.choice([7, 8]), protocol=pick.choice([2, 2, 2, 1])),
        m.Show(pick.randrange(4), pick.choice(texts)[:20]),
        m.AskState(),
        m.AskStats(),
        m.AskLimits(),
        m.AskSelfTest(),
    ]
    return pick.choice(others)


def settings_of(config: str) -> int:
    """What a build tells of its settings."""
    board = HostBoard(config)
    board.receive(encode_request(m.Request(0, m.Hello(0))) + encode_request(m.Request(1, m.AskSelfTest())), 0)
    *_, body = LineReader(BOARD_LINE_MAX).feed(board.output())
    reply = decode_from_board(body)
    assert isinstance(reply, m.Reply)
    assert isinstance(reply.body, m.SelfTest)
    return reply.body.build


class Pair:
    """Both boards, told the same."""

    def __init__(
        self, build: str, cause: m.ResetCause, verdict: m.SelfTestVerdict = m.SelfTestVerdict.OK
    ) -> None:
        config, spec, adc = BUILDS[build]
        spec = spec.model_copy(update={"self_test": verdict, "build": settings_of(config)})
        latched = cause is m.ResetCause.WATCHDOG
        self.now_ms = START_MS
        self.rows = int(spec.display.split("x")[1]) if spec.display else 0
        self.twin = Board(spec, adc, cause, self.now_ms, latched=latched)
        self.firmware = HostBoard(config, cause, self.now_ms, latched=latched, verdict=verdict)
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
    pair = Pair(build, tuple(m.ResetCause)[seed % 6])
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


def test_a_host_of_version_1_is_told_this_version_and_opens_nothing() -> None:
    """What a host of any version reads: the first two fields of the answer (SPEC.md, section 5)."""
    pair = Pair("full", m.ResetCause.POWER)
    pair.firmware.receive(encode_frame(">01 hello 1 A3F2", HOST_LINE_MAX), pair.now_ms)
    assert pair.firmware.output().startswith(b"<01 hello 2 0.2.0 ")
    pair.firmware.receive(encode_request(m.Request(3, m.AskState())), pair.now_ms)
    assert pair.firmware.output() == encode_from_board(m.Reply(3, m.Refused(m.Refusal.SESSION)))


def test_builds_tell_their_settings_apart() -> None:
    assert len({settings_of(config) for config, _, _ in BUILDS.values()}) == len(BUILDS)


def test_a_board_that_fails_its_self_test_runs_nothing() -> None:
    pair = Pair("full", m.ResetCause.POWER, m.SelfTestVerdict.BAD)
    for move in [*OPEN, request(1, m.Run(3, m.Direction.FORWARD, 255, 400, 9000, 5000))]:
        move(pair)
    assert pair.firmware.drive() == (0, False, 0)
