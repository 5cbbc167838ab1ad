"""No wrong reading and no lost line that the firmware does not count, at any rate and on any line."""

from collections.abc import Callable
from random import Random

import pytest

from avr_desk import AvrDesk, require_avr
from tarewell_avr.building import build_firmware, variables_end
from tarewell_avr.machine import EmulatedMachine
from tarewell_protocol import messages as m
from tarewell_protocol.codec import decode_command, encode_request, request_seq
from tarewell_protocol.framing import HOST_LINE_MAX, LineReader
from tarewell_sim.wire import WireFaults

require_avr()

Make = Callable[..., EmulatedMachine]

PAINT = 0xC5  # what the firmware's start-up code fills free memory with
MAX_CLOCK_HIGH_CYCLES = 50 * 16  # 50 us: HX711 data sheet, T3


class Reference:
    """What reaches the chip's pins, and what a right board has to make of it."""

    def __init__(self, machine: EmulatedMachine) -> None:
        self.codes: list[int] = []
        self.frames = self.no_requests = 0
        self.reader = LineReader(HOST_LINE_MAX)
        chip = machine.emulated.chip
        convert, receive = chip.convert, chip.receive

        def spy_on_conversion(counts: int) -> None:
            self.codes.append(counts)
            convert(counts)

        def spy_on_bytes(data: bytes, byte_cycles: int) -> None:
            for body in self.reader.feed(data):
                good = decode_command(body) is not None and request_seq(body) is not None
                self.frames += good
                self.no_requests += not good
            receive(data, byte_cycles)

        chip.convert, chip.receive = spy_on_conversion, spy_on_bytes  # type: ignore[method-assign]

    @property
    def bad_crc(self) -> int:
        """Lines that are noise, and good frames that are no request."""
        return self.reader.noise.bad_crc + self.reader.noise.malformed + self.no_requests


def _busy(desk: AvrDesk, seconds: float) -> None:
    """All at once: a pump at part speed, renewals, display, knob and questions."""
    end_s, random = desk.now_s + seconds, desk.random
    desk.start(6, 470, speed=130)
    while desk.now_s < end_s:
        desk.ask(m.Keep(0, 470))
        desk.ask(m.Show(random.randrange(4), "".join(random.choices("Tarewell 0123456789", k=20))))
        if random.random() < 0.2:
            desk.ask(random.choice((m.AskState(), m.AskStats(), m.AskLimits())))
        if random.random() < 0.2:
            desk.machine.bench.turn(random.choice((-2, -1, 1, 2)))
        desk.pass_s(random.uniform(0.03, 0.08))


def _stats(desk: AvrDesk) -> m.BoardStats:
    desk.ask(m.AskStats())
    desk.pass_s(0.1)
    answer = desk.answer()
    assert isinstance(answer, m.BoardStats)
    return answer


@pytest.mark.parametrize("baud", [115200, 250000])
@pytest.mark.parametrize("rate_hz", [75.0, 76.9, 78.6, 79.9, 80.0, 80.1, 81.37, 83.3, 85.0])
def test_every_conversion_is_read_right_at_every_rate(emulated: Make, rate_hz: float, baud: int) -> None:
    error_percent = 100 * (rate_hz / 80 - 1)
    machine = emulated(7, board={"baud": baud}, scale={"adc": {"oscillator_error_percent": error_percent}})
    machine.advance(0.31)
    machine.emulated.chip.forget_figures()
    desk, reference = AvrDesk(machine, Random(7)), Reference(machine)
    desk.open()
    _busy(desk, 3.0)
    stats = _stats(desk)
    samples = [found for found in desk.messages if isinstance(found, m.Sample)]
    assert len(samples) > 3 * 75
    first = samples[0].count
    assert [sample.count for sample in samples] == list(range(first, first + len(samples)))
    skipped = reference.codes.index(samples[0].counts)
    assert [sample.counts for sample in samples] == reference.codes[skipped : skipped + len(samples)]
    assert not any(sample.lost or sample.saturated for sample in samples)
    assert (stats.conversions_lost, stats.conversions_late, stats.saturated) == (0, 0, 0)
    assert (stats.frames, stats.bad_crc) == (reference.frames, reference.bad_crc)
    assert (stats.overruns, stats.overlong) == (0, 0)
    figures = machine.emulated.chip.figures()
    assert figures.longest_high < MAX_CLOCK_HIGH_CYCLES
    assert (figures.power_downs, figures.gain_changes, figures.collisions, figures.unread) == (0, 0, 0, 0)
    assert figures.display_too_soon == 0
    assert figures.overruns == 0


@pytest.mark.parametrize(("baud", "byte_cycles"), [(115200, 1360), (250000, 640)])
def test_the_line_runs_at_the_rate_that_the_divider_gives(
    emulated: Make, baud: int, byte_cycles: int
) -> None:
    """16 MHz / 8 / 17 where 115200 is asked for, 2.1 % fast, and 16 MHz / 8 / 8 (protocol/DESIGN.md, 9)."""
    machine = emulated(5, board={"baud": baud, "clock_error_ppm": 0.0})
    machine.advance(0.31)
    machine.read()
    machine.write(encode_request(m.Request(0, m.Hello(1))))
    arrived_s: list[float] = []
    while len(arrived_s) < 60:  # of an answer that is longer
        machine.advance(10e-6)
        arrived_s += [machine.now_s] * len(machine.read())
    byte_s = (arrived_s[59] - arrived_s[0]) / 59
    assert byte_s * 16e6 == pytest.approx(byte_cycles, abs=6)  # two steps of 160 cycles in 59 bytes


def test_ten_conversions_a_second(emulated: Make) -> None:
    machine = emulated(8, scale={"adc": {"rate_hz": 10, "oscillator_error_percent": -5}})
    machine.advance(0.31)
    desk, reference = AvrDesk(machine, Random(8)), Reference(machine)
    assert desk.open().sample_rate_hz == 10
    desk.pass_s(0.1)
    _busy(desk, 5.0)
    assert machine.emulated.drives
    samples = [found.counts for found in desk.messages if isinstance(found, m.Sample)]
    assert len(samples) > 45
    skipped = reference.codes.index(samples[0])
    assert samples == reference.codes[skipped : skipped + len(samples)]
    stats = _stats(desk)
    assert (stats.conversions_lost, stats.conversions_late) == (0, 0)


@pytest.mark.parametrize("baud", [115200, 250000])
def test_every_damaged_line_is_counted(emulated: Make, baud: int) -> None:
    machine = emulated(9, board={"baud": baud})
    machine.advance(0.31)
    desk, reference = AvrDesk(machine, Random(9)), Reference(machine)
    desk.open()
    machine.to_board.faults = WireFaults(byte_error_rate=0.02)
    _busy(desk, 6.0)
    machine.to_board.faults = WireFaults()
    desk.write(b"\n")
    stats = _stats(desk)
    assert stats.frames == reference.frames > 100
    assert stats.bad_crc == reference.bad_crc > 20
    assert stats.overlong == reference.reader.noise.overlong
    assert stats.overruns == machine.emulated.chip.figures().overruns == 0


def test_an_overrun_is_counted_and_costs_its_line_only(emulated: Make) -> None:
    machine = emulated(10)
    machine.advance(0.31)
    desk = AvrDesk(machine, Random(10))
    desk.open()
    before = _stats(desk)
    for _ in range(5):
        machine.bench.call("lose_bytes", {"count": 1})
        desk.ask(m.AskState())
        desk.pass_s(0.05)
        assert isinstance(desk.answer(), m.BoardStats)  # nothing new
    after = _stats(desk)
    assert after.overruns == before.overruns + 5
    assert after.bad_crc == before.bad_crc + 5


def test_a_flood_is_survived_and_what_it_loses_is_counted(emulated: Make) -> None:
    machine = emulated(11, board={"baud": 250000})
    machine.advance(0.31)
    desk = AvrDesk(machine, Random(11))
    desk.open()
    received_s = desk.start(7, 400)
    sent = 400
    for _ in range(sent):
        desk.ask(m.AskStats())  # far faster than the answers fit on the line
    desk.pass_s(0.5)
    assert machine.emulated.drives == {}  # the lease did not care
    assert machine.emulated.changed_s - received_s <= 0.42
    desk.pass_s(1.0)
    answered = sum(isinstance(found.body, m.BoardStats) for found in desk.replies())
    stats = _stats(desk)
    assert answered >= 20
    unheard = sent - (stats.frames - 4)
    assert unheard == 0 or stats.overruns > 0


def test_late_and_lost_conversions_are_counted_and_flagged(emulated: Make) -> None:
    machine = emulated(12)
    machine.advance(0.31)
    desk = AvrDesk(machine, Random(12))
    desk.open()
    period_s = machine.plant.adc.period_s
    before = _stats(desk)
    machine.bench.call("delay_conversion", {"by_s": 0.7 * period_s})
    desk.pass_s(0.2)
    late = _stats(desk)
    assert late.conversions_late == before.conversions_late + 1
    desk.messages.clear()
    machine.bench.stop_conversions(True)
    desk.pass_s(5 * period_s)
    machine.bench.stop_conversions(False)
    desk.pass_s(0.2)
    assert sum(found.lost for found in desk.messages if isinstance(found, m.Sample)) == 1
    lost = _stats(desk)
    assert 4 <= lost.conversions_lost - late.conversions_lost <= 6


@pytest.mark.parametrize("code", [2**23 - 1, -(2**23)])
def test_a_saturated_converter_stops_the_pump(emulated: Make, code: int) -> None:
    machine = emulated(13)
    machine.advance(0.31)
    desk = AvrDesk(machine, Random(13))
    desk.open()
    desk.start(3, 470)
    assert machine.emulated.drives
    machine.frozen_counts = code
    desk.pass_s(2 * machine.plant.adc.period_s)
    assert machine.emulated.drives == {}
    desk.pass_s(0.05)
    assert desk.events()[-1].cause is m.StopCause.ADC
    assert [found for found in desk.messages if isinstance(found, m.Sample)][-1].saturated
    desk.start(3, 470)
    assert isinstance(desk.answer(), m.Refused)


def test_no_conversion_stops_the_pump_after_150_ms(emulated: Make) -> None:
    machine = emulated(14)
    machine.advance(0.31)
    desk = AvrDesk(machine, Random(14))
    for _ in range(10):
        desk.open()
        received_s = desk.start(desk.random.randint(1, 8), 470)
        desk.keep_up(desk.random.uniform(0, 0.2), 470, received_s)
        machine.bench.stop_conversions(True)
        blind_s = machine.now_s
        desk.pass_s(0.2)
        assert machine.emulated.drives == {}
        assert 0.13 <= machine.emulated.changed_s - blind_s <= 0.16
        machine.bench.stop_conversions(False)
        desk.pass_s(0.1)


def test_the_stack_leaves_room(emulated: Make) -> None:
    machine = emulated(15)
    machine.advance(0.31)
    desk = AvrDesk(machine, Random(15))
    desk.open()
    machine.bench.wire(byte_error_rate=0.005)
    _busy(desk, 5.0)
    end = variables_end(build_firmware(display="20x4"))
    used = machine.emulated.chip.deepest_stack(end, PAINT)
    assert 32 < used < (0x900 - end) // 2
