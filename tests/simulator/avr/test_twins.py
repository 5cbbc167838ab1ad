"""Same scenario, two boards: the simulated one and the real firmware say the same of the same physics.

Times may differ by one sample period: the firmware needs time to read, think and send. Answers and events are
compared in their own order, since SPEC.md leaves the order between the two open.
"""

from collections.abc import Callable
from dataclasses import replace
from statistics import mean
from typing import Any

import pytest

from avr_desk import require_avr
from tarewell_avr.machine import EmulatedMachine
from tarewell_protocol import messages as m
from tarewell_protocol.codec import decode_from_board, encode_request
from tarewell_protocol.framing import BOARD_LINE_MAX, HOST_LINE_MAX, LineReader, encode_frame
from tarewell_sim.machine import SimulatedMachine
from tarewell_sim.specs import Scenario

require_avr()

PERIOD_MS = 12.7  # 80 samples/s, 1.8 % slow
Action = bytes | m.Command | Callable[[SimulatedMachine], None]
"""What happens at a time: bytes on the wire, a request, or hands on the machine."""

FORWARD, REVERSE = m.Direction.FORWARD, m.Direction.REVERSE
FAR = 2_000_000
BLOCK = 20
"""Samples over whose mean the shaking of the pump does not show."""


def bench(name: str, **args: Any) -> Action:
    return lambda machine: machine.bench.call(name, args)


def frame(body: str) -> bytes:
    return encode_frame(body, HOST_LINE_MAX)


class BoardOutput:
    """What a board said."""

    def __init__(self, machine: SimulatedMachine, script: list[tuple[float, Action]], end_s: float) -> None:
        seq, said = 0, b""
        for at_s, action in script:
            machine.advance(at_s - machine.now_s)
            said += machine.read()
            if callable(action):
                action(machine)
            elif isinstance(action, bytes):
                machine.write(action)
            else:
                machine.write(encode_request(m.Request(seq, action)))
                seq += 1
        machine.advance(end_s - machine.now_s)
        said += machine.read()
        reader = LineReader(BOARD_LINE_MAX)
        messages = [decode_from_board(body) for body in reader.feed(said)]
        boots = sum(isinstance(found, m.Event) and isinstance(found.body, m.Booted) for found in messages)
        assert (reader.noise.bad_crc, reader.noise.overlong) == (0, 0)
        assert reader.noise.malformed <= boots  # the empty line that ends what a reset has cut short
        assert None not in messages
        self.samples: dict[int, m.Sample] = {}
        for found in messages:
            if isinstance(found, m.Sample):
                self.samples[found.count] = found
            elif isinstance(found, m.Event) and isinstance(found.body, m.Booted):
                self.samples.clear()  # they are counted anew
        self.replies = [found for found in messages if isinstance(found, m.Reply)]
        self.events = [found for found in messages if isinstance(found, m.Event)]
        self.display = machine.truth.lcd


def _timeless(event: m.Event) -> m.Event:
    body = event.body
    if isinstance(body, m.Stopped):
        body = replace(body, board_ms=0, ran_ms=0)
    elif not isinstance(body, m.Booted):
        body = replace(body, board_ms=0)
    return replace(event, body=body)


def _times(event: m.Event) -> list[int]:
    return [getattr(event.body, name) for name in ("board_ms", "ran_ms") if hasattr(event.body, name)]


def talks(
    scenario: Scenario, script: list[tuple[float, Action]], end_s: float, sketch: bool = False
) -> tuple[BoardOutput, BoardOutput]:
    """The same script on both boards; all but the sample's codes has been compared."""
    machines = SimulatedMachine(scenario, 5), EmulatedMachine(scenario, 5, sketch=sketch)
    sim, real = (BoardOutput(machine, script, end_s) for machine in machines)
    assert real.replies == sim.replies
    assert [_timeless(event) for event in real.events] == [_timeless(event) for event in sim.events]
    for ours, theirs in zip(sim.events, real.events, strict=True):
        for mine, other in zip(_times(ours), _times(theirs), strict=True):
            assert abs(mine - other) <= PERIOD_MS
    ahead = min(real.samples) - min(sim.samples)
    assert -6 <= ahead <= 1  # the firmware tests itself first, then finds a conversion that waits
    real.samples = {
        count - ahead: replace(found, count=count - ahead) for count, found in real.samples.items()
    }
    assert real.samples.keys() == sim.samples.keys()
    for count, sample in sim.samples.items():
        other = real.samples[count]
        assert abs(other.board_ms - sample.board_ms) <= PERIOD_MS
        assert replace(other, board_ms=0, counts=0) == replace(sample, board_ms=0, counts=0)
    return sim, real


# Channel 8 has no bottle: nothing flows, so that both converters give the very same codes.
EVERYTHING: list[tuple[float, Action]] = [
    (0.101, m.Hello(0x1234)),
    (0.201, m.AskLimits()),
    (0.301, m.Run(8, FORWARD, 255, 400, FAR, 5000)),
    (0.401, m.Keep(0, 400)),
    (0.441, m.Keep(1, 400)),  # of another run
    (0.501, m.Run(1, FORWARD, 255, 400, FAR, 5000)),  # busy
    (0.531, m.Run(8, REVERSE, 255, 400, FAR, 5000)),  # busy
    (0.561, m.Run(8, FORWARD, 100, 300, FAR, 5000)),  # slower
    (0.601, m.AskState()),
    (0.701, m.Stop(7)),
    (0.801, m.Stop(8)),
    (0.891, m.Run(8, REVERSE, 255, 250, FAR, 5000)),  # busy: it may still turn forward
    (0.911, m.Run(8, REVERSE, 255, 250, FAR, 5000)),
    (1.251, m.AskState()),  # the lease has ended it
    (1.301, m.Run(8, FORWARD, 255, 470, FAR, 306)),
    (1.701, m.AskState()),  # the time limit has
    (1.801, bench("turn", steps=1)),
    (1.901, bench("press", hold_s=0.1)),
    (2.101, bench("press", hold_s=1.3)),
    (2.201, bench("turn", steps=-1)),
    (3.501, m.Show(0, "Tarewell")),
    (3.561, m.Show(3, "17.5 g of 45.0 g")),
    (3.621, frame(">3F show 4 no such line")),
    (3.701, m.EmergencyStop()),
    (3.761, m.Run(8, FORWARD, 255, 400, FAR, 5000)),  # latched
    (3.821, m.ReleaseEmergencyStop()),
    (3.881, m.Run(8, FORWARD, 255, 400, FAR, 5000)),
    (3.941, m.EmergencyStop()),
    (4.001, m.ReleaseEmergencyStop()),
    (4.101, m.Run(8, FORWARD, 255, 471, FAR, 5000)),  # range
    (4.131, m.Run(8, FORWARD, 255, 400, FAR, 120_001)),
    (4.161, m.Run(8, FORWARD, 255, 400, 2_400_001, 5000)),
    (4.191, m.Run(8, FORWARD, 255, 400, -200_000, 5000)),  # ceiling: past it already
    (4.221, m.Run(8, FORWARD, 255, 400, 200_000, 5000, ceiling_above=False)),
    (4.301, frame(">40 dance")),
    (4.331, frame(">41 run 01 8 f 255")),
    (4.361, frame(">42 run 01 9 f 255 400 a2000000 5000")),
    (4.391, frame("42 run")),
    (4.421, b">43 stop all*0000\n"),
    (4.451, b"x" * 80 + b"\n"),
    (4.501, m.AskStats()),
    (4.561, frame(">50 run 01 8 f 255 400 a2000000 5000")),
    (4.601, frame(">50 run 01 8 f 255 400 a2000000 5000")),  # the same answer, nothing done
    (4.641, frame(">51 stop all")),
    (4.681, frame(">50 run 01 8 f 255 400 a2000000 5000")),
    (4.741, m.Run(8, FORWARD, 255, 470, 300_000, 5000)),
    (4.821, bench("hand", force_n=3.0, seconds=0.2)),  # the ceiling has
    (5.301, m.AskState()),
    (5.401, m.Run(8, FORWARD, 255, 470, FAR, 5000)),
    (5.451, bench("stop_conversions", on=True)),
    (5.751, m.Run(8, FORWARD, 255, 470, FAR, 5000)),  # blind
    (5.801, bench("stop_conversions", on=False)),
    (6.001, m.Run(8, FORWARD, 255, 400, FAR, 5000)),
    (6.061, m.Hello(0x1234)),  # a repetition
    (6.101, m.Hello(0x1235)),  # a new session stops it
    (6.201, m.AskState()),
    (6.261, m.Keep(0, 100)),
    (6.301, m.AskStats()),
    (6.321, m.Run(8, FORWARD, 255, 470, FAR, 5000, number=255)),
    (6.341, bench("hand", force_n=13.0, seconds=0.2)),  # the board's own limit has
    (6.701, m.AskState()),
]


@pytest.mark.parametrize("sketch", [False, True], ids=["make", "sketch"])
def test_everything_a_host_can_say(make_bar: Callable[..., Scenario], sketch: bool) -> None:
    sim, real = talks(make_bar(board={"clock_error_ppm": 0}), EVERYTHING, 6.9, sketch)
    codes = [sample.counts for sample in real.samples.values()]
    assert codes == [sample.counts for sample in sim.samples.values()]
    assert len(codes) > 400
    causes = {event.body.cause for event in real.events if isinstance(event.body, m.Stopped)}
    assert causes == set(m.StopCause) - {m.StopCause.SUPPLY, m.StopCause.INTERLOCK}  # it has neither input
    assert real.display == sim.display


@pytest.mark.parametrize("cause", [m.ResetCause.EXTERNAL, m.ResetCause.BROWNOUT, m.ResetCause.POWER])
def test_a_reset_in_mid_run(make_bar: Callable[..., Scenario], cause: m.ResetCause) -> None:
    script: list[tuple[float, Action]] = [
        (0.101, m.Hello(1)),
        (0.301, m.Run(8, FORWARD, 255, 470, FAR, 5000)),
        (0.401, bench("restart_board", cause=cause)),
        (0.501, m.AskState()),  # nobody hears it
        (0.901, m.AskState()),  # no session
        (1.001, m.Hello(1)),
        (1.101, m.AskState()),
    ]
    _, real = talks(make_bar(), script, 1.3)
    assert real.events[-1] == m.Event(0, m.Booted(cause, False))


@pytest.mark.parametrize("share", [255, 128])
def test_a_pour(make_bar: Callable[..., Scenario], share: int) -> None:
    script: list[tuple[float, Action]] = [
        (0.101, bench("place_glass")),
        (0.201, m.Hello(1)),
        (1.001, m.Run(1, FORWARD, share, 450, FAR, 9000)),
        *((1.201 + n / 5, m.Keep(0, 450)) for n in range(15)),
        (4.101, m.Stop(1)),
    ]
    sim, real = talks(make_bar(), script, 7.0)
    poured = sim.samples[max(sim.samples)].counts - sim.samples[60].counts
    assert poured > 30_000  # more than 14 g
    half_a_gram = 1074  # the firmware's PWM has 256 steps, and drops after the stop come at random
    for first in range(min(sim.samples), max(sim.samples) - BLOCK, BLOCK):
        mine, other = (mean(talk.samples[first + n].counts for n in range(BLOCK)) for talk in (sim, real))
        assert other == pytest.approx(mine, abs=half_a_gram)


def test_the_same_calls_give_the_same_bytes_however_time_is_cut(make_bar: Callable[..., Scenario]) -> None:
    def output(pieces: int) -> bytes:
        machine = EmulatedMachine(make_bar(), 3)
        machine.bench.place_glass()
        machine.advance(0.4)
        machine.write(encode_request(m.Request(0, m.Hello(1))))
        machine.write(encode_request(m.Request(1, m.Run(2, FORWARD, 200, 400, FAR, 5000))))
        said = b""
        for _ in range(pieces):
            machine.advance(1.5 / pieces)
            said += machine.read()
        return said

    assert output(1) == output(1) == output(777)


def test_nothing_turns_before_the_first_run(make_bar: Callable[..., Scenario]) -> None:
    machine = EmulatedMachine(make_bar(), 4)
    machine.advance(0.5)
    machine.write(encode_request(m.Request(0, m.Hello(1))))
    for cause in (m.ResetCause.POWER, m.ResetCause.BROWNOUT, m.ResetCause.EXTERNAL):
        machine.advance(0.5)
        machine.bench.restart_board(cause)
    machine.advance(0.5)
    assert machine.emulated.max_at_once == 0
