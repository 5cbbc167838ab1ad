"""The firmware's pumps go off by themselves, over random phases, clocks, converters and line rates."""

from collections.abc import Callable
from random import Random

import pytest

from avr_desk import AvrDesk, require_avr
from tarewell_avr.machine import EmulatedMachine
from tarewell_protocol import messages as m
from tarewell_protocol.codec import encode_request

require_avr()

Make = Callable[..., EmulatedMachine]

CLOCK_PPM = 10_000  # a ceramic resonator, SPEC.md section 7
PHASES = 54  # of a lost host, shared by three ways to lose it and the machines below; `make bench` has more


def _machine(emulated: Make, seed: int) -> AvrDesk:
    """A machine whose clock, converter and line are as far off as they may be."""
    random = Random(seed)
    machine = emulated(
        seed,
        board={
            "clock_error_ppm": random.uniform(-CLOCK_PPM, CLOCK_PPM),
            "baud": random.choice((115200, 250000)),
        },
        scale={"adc": {"oscillator_error_percent": random.uniform(-6, 6)}},
    )
    machine.advance(random.uniform(0.3, 0.4))
    return AvrDesk(machine, random)


def _lose_host(desk: AvrDesk, way: str, lease_ms: int) -> None:
    bench, half = desk.machine.bench, encode_request(m.Request(99, m.Keep(0, lease_ms)))[:-3]
    if way == "killed":  # in the middle of a line, and nobody reads any more
        desk.write(half)
    elif way == "cut":
        desk.write(half)
        desk.pass_s(desk.random.uniform(0, len(half) * desk.byte_s))
        bench.unplug()


@pytest.mark.parametrize("way", ["killed", "cut", "frozen"])
@pytest.mark.parametrize("seed", [1, 2])
def test_a_lost_host_stops_the_pump_within_its_lease_and_half_a_second(
    emulated: Make, seed: int, way: str
) -> None:
    desk = _machine(emulated, seed)
    board = desk.machine.emulated
    for _ in range(PHASES // 6):
        desk.open()
        lease_ms = desk.random.choice((470, desk.random.randrange(60, 471)))
        received_s = desk.start(desk.random.randint(1, 8), lease_ms, speed=desk.random.randint(60, 255))
        if lease_ms > 150:
            received_s = desk.keep_up(desk.random.uniform(0, 0.4), lease_ms, received_s)
        assert board.drives
        _lose_host(desk, way, lease_ms)
        if way == "frozen":
            desk.pass_s(0.6)
        else:
            desk.machine.advance(0.6)
        assert board.drives == {}
        off_s = board.changed_s - received_s
        assert lease_ms * (1 - CLOCK_PPM * 1e-6) - 2 <= 1000 * off_s <= min(500, lease_ms + 20)
        desk.machine.bench.replug()
    assert board.max_at_once == 1


@pytest.mark.parametrize("seed", [11, 12])
def test_a_crossed_ceiling_stops_the_pump_within_two_conversions(emulated: Make, seed: int) -> None:
    desk = _machine(emulated, seed)
    machine, board = desk.machine, desk.machine.emulated
    for _ in range(15):
        desk.open()
        desk.pass_s(0.4)
        ceiling = machine.last_counts + 20_000
        received_s = desk.start(8, 470, ceiling_counts=ceiling)
        desk.keep_up(desk.random.uniform(0, 0.3), 470, received_s)
        machine.bench.hand(1.0, 0.4)  # 1 N, or 102 g
        while machine.last_counts < ceiling:
            assert board.drives
            desk.pass_s(0.0005)
        crossed_s = desk.now_s
        desk.pass_s(0.1)
        assert board.drives == {}
        assert board.changed_s - crossed_s <= 2 * machine.plant.adc.period_s
        desk.pass_s(0.6)
        assert [body.cause for body in desk.events() if isinstance(body, m.Stopped)][
            -1
        ] is m.StopCause.CEILING


@pytest.mark.parametrize("seed", [21, 22])
def test_the_time_limit_stops_a_pump_that_is_kept_on(emulated: Make, seed: int) -> None:
    desk = _machine(emulated, seed)
    board = desk.machine.emulated
    for _ in range(20):
        desk.open()
        max_ms = desk.random.randrange(100, 1200)
        received_s = desk.start(desk.random.randint(1, 8), 470, max_ms=max_ms)
        desk.keep_up(1.3, 470, received_s)
        assert board.drives == {}
        clock_ms = max_ms * CLOCK_PPM * 1e-6
        assert abs(1000 * (board.changed_s - received_s) - max_ms - 5) <= 7 + clock_ms
        assert [body.cause for body in desk.events() if isinstance(body, m.Stopped)][-1] is m.StopCause.TIME


@pytest.mark.parametrize("stop", [m.Stop(), m.EmergencyStop()])
def test_a_stop_is_obeyed_within_five_milliseconds(emulated: Make, stop: m.Command) -> None:
    desk = _machine(emulated, 31)
    for _ in range(20):
        desk.open()
        desk.ask(m.ReleaseEmergencyStop())
        desk.pass_s(0.03)
        desk.start(desk.random.randint(1, 8), 470)
        desk.pass_s(desk.random.uniform(0.05, 0.1))
        assert desk.machine.emulated.drives
        received_s = desk.ask(stop)
        desk.pass_s(0.05)
        assert desk.machine.emulated.drives == {}
        assert 0 <= desk.machine.emulated.changed_s - received_s <= 0.005


def test_a_second_run_is_refused_whatever_runs(emulated: Make) -> None:
    desk = _machine(emulated, 41)
    board = desk.machine.emulated
    for first in range(1, 9):
        for second in range(1, 9):
            if second != first:
                desk.open()
                desk.start(first, 470)
                driven = dict(board.drives)
                assert list(driven) == [first]
                desk.start(second, 470)
                assert desk.answer() == m.Refused(m.Refusal.BUSY)
                assert board.drives == driven
    assert board.max_at_once == 1


def _boots(desk: AvrDesk) -> list[m.Booted]:
    """What it said of its start."""
    return [body for body in desk.events() if isinstance(body, m.Booted)]


@pytest.mark.parametrize("cause", [m.ResetCause.POWER, m.ResetCause.EXTERNAL, m.ResetCause.BROWNOUT])
def test_a_reset_in_mid_run_leaves_all_pumps_off_and_is_named(emulated: Make, cause: m.ResetCause) -> None:
    desk = _machine(emulated, 51)
    board = desk.machine.emulated
    for _ in range(5):
        desk.open()
        desk.start(desk.random.randint(1, 8), 470)
        desk.pass_s(desk.random.uniform(0, 0.1))
        assert board.drives
        desk.machine.bench.restart_board(cause)
        off_s = board.changed_s
        assert off_s == desk.now_s
        desk.messages.clear()
        desk.pass_s(0.5)
        assert (board.drives, board.changed_s) == ({}, off_s)
        assert _boots(desk) == [m.Booted(cause, False)]
        assert desk.open().cause is cause


@pytest.mark.parametrize("interrupts", [False, True])
def test_a_hung_firmware_is_ended_by_its_watchdog_or_before(emulated: Make, interrupts: bool) -> None:
    desk = _machine(emulated, 61)
    board = desk.machine.emulated
    for _ in range(10):
        desk.open()
        desk.start(desk.random.randint(1, 8), 470)
        desk.pass_s(desk.random.uniform(0, 0.1))
        hung_s = desk.now_s
        board.hang(interrupts)
        desk.messages.clear()
        desk.pass_s(0.8)
        assert board.drives == {}
        assert board.changed_s - hung_s <= 0.3
        assert _boots(desk) == [m.Booted(m.ResetCause.WATCHDOG, False)]
        assert desk.open().cause is m.ResetCause.WATCHDOG


def test_two_resets_shortly_after_one_another(emulated: Make) -> None:
    desk = _machine(emulated, 71)
    desk.open()
    desk.start(5, 470)
    desk.machine.bench.restart_board(m.ResetCause.EXTERNAL)
    desk.machine.advance(0.1)
    desk.machine.bench.restart_board(m.ResetCause.BROWNOUT)
    desk.pass_s(1.0)
    assert desk.machine.emulated.drives == {}
    assert desk.open().cause is m.ResetCause.BROWNOUT
