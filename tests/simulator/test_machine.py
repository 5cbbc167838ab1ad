"""The machine in lock step: time, wire, faults and hands, seen through the protocol."""

from collections.abc import Callable
from typing import Any

import pytest

from tarewell_protocol import messages as m
from tarewell_protocol.session import Closed, Phase
from tarewell_sim.bench import COMMANDS, BenchError
from tarewell_sim.machine import SimulatedMachine
from tarewell_sim.specs import Scenario

Quiet = Callable[..., Scenario]
RUN = m.Run(1, m.Direction.FORWARD, 255, 400, 2_000_000, 20_000)
G = 2147.48


def script(machine: SimulatedMachine, host: Any, piece_s: float) -> bytes:
    """A short evening; returns every byte the board sent."""
    sent = bytearray()
    read = machine.read

    def tap() -> bytes:
        data = read()
        sent.extend(data)
        return data

    machine.read = tap  # type: ignore[method-assign]
    desk = host(machine)
    machine.bench.place_glass()
    machine.bench.wire(byte_error_rate=0.001, lose=0.02, duplicate=0.02)
    desk.run(1.0, piece_s)
    if desk.session.phase is Phase.OPEN:
        desk.ask(RUN)
    desk.run(1.0, piece_s)
    return bytes(sent)


def test_same_seed_same_bytes(theatre: Scenario, host: Any) -> None:
    first, again, other = (script(SimulatedMachine(theatre, seed), host, 0.01) for seed in (7, 7, 8))
    assert first == again
    assert first != other
    assert len(first) > 3000


def test_the_size_of_the_steps_does_not_matter(quiet: Quiet, host: Any) -> None:
    """The same bytes at the same times whether the caller advances by 1 ms or by a second."""

    def output(pieces: int) -> bytes:
        machine = SimulatedMachine(quiet(), 1)
        machine.write(b">00 hello 2 A3F2*F603\n")
        out = b""
        for _ in range(pieces):
            machine.advance(1.0 / pieces)
            out += machine.read()
        return out

    assert output(1) == output(1000)
    assert output(1).count(b"#") == 79


def test_bytes_take_their_time_on_the_wire(quiet: Quiet) -> None:
    machine = SimulatedMachine(quiet(), 1)
    machine.advance(0.1)
    machine.read()
    machine.write(b">00 hello 2 A3F2*F603\n")  # 22 bytes of 10 bits at 115200 baud: 1.91 ms
    machine.advance(0.0019)
    assert machine.board is not None and not machine.board.output()
    machine.advance(0.0001)
    assert machine.read() == b""  # the answer is on its way
    machine.advance(0.006)
    assert machine.read().startswith(b"<00 hello 2 ")


@pytest.mark.parametrize(("error_percent", "expected"), [(0.0, 800), (-6.25, 750), (6.25, 850)])
def test_the_converters_own_oscillator(quiet: Quiet, host: Any, error_percent: float, expected: int) -> None:
    machine = SimulatedMachine(quiet(scale={"adc": {"oscillator_error_percent": error_percent}}), 1)
    desk = host(machine).open()
    samples = desk.samples(desk.run(10.0))
    assert len(samples) == pytest.approx(expected, abs=1)
    assert [s.count for s in samples] == list(range(samples[0].count, samples[0].count + len(samples)))


def test_the_boards_clock_runs_wrong_and_wraps(quiet: Quiet, host: Any) -> None:
    machine = SimulatedMachine(quiet(board={"clock_error_ppm": 10_000, "clock_start_ms": 2**32 - 2000}), 1)
    desk = host(machine).open()
    samples = desk.samples(desk.run(10.0))
    elapsed_ms = (samples[-1].board_ms - samples[0].board_ms) % 2**32
    assert elapsed_ms == pytest.approx(12.5 * 1.01 * (len(samples) - 1), abs=2)
    assert samples[0].board_ms > 2**31 > samples[-1].board_ms


def test_a_run_pours_and_the_reading_follows_after_settling(quiet: Quiet, host: Any) -> None:
    machine = SimulatedMachine(quiet(), 1)
    machine.bench.place_glass(mass_g=200)
    desk = host(machine).open()
    desk.run(3.0)
    desk.pour(RUN, 3.0)
    desk.run(15.0)
    last = desk.samples(desk.events)[-1]
    assert machine.truth.delivered_g[1] > 15
    assert last.counts / G == pytest.approx(200 + machine.truth.delivered_g[1], abs=0.01)


def test_the_pump_dies_within_the_lease_and_20_ms_when_the_host_does(quiet: Quiet, host: Any) -> None:
    machine = SimulatedMachine(quiet(), 1)
    desk = host(machine).open()
    desk.ask(RUN)
    desk.run(0.1)
    desk.ask(m.Keep(0, 400))
    machine.write(desk.session.outbox.take_lines())
    machine.bench.unplug()  # what is on the wire is lost, so the lease is that of the run
    machine.advance(0.3)
    assert machine.truth.pump_on == {1}
    machine.advance(0.02)
    assert machine.truth.pump_on == frozenset()


def test_the_ceiling_cuts_within_two_conversions(quiet: Quiet, host: Any) -> None:
    machine = SimulatedMachine(quiet(), 1)
    machine.bench.place_glass(mass_g=100)
    desk = host(machine).open()
    desk.run(3.0)
    ceiling = round(G * 115)
    desk.events.clear()
    desk.ask(m.Run(1, m.Direction.FORWARD, 255, 470, ceiling, 20_000))
    for _ in range(50):
        desk.run(0.1)
        desk.ask(m.Keep(0, 400))
    [stopped] = desk.reports(desk.events)
    assert stopped.cause is m.StopCause.CEILING
    crossing = next(s for s in desk.samples(desk.events) if s.counts >= ceiling)
    assert (stopped.board_ms - crossing.board_ms, crossing.running) == (0, 0)


def test_one_pump_at_a_time_and_speed_and_reverse(quiet: Quiet, host: Any) -> None:
    machine = SimulatedMachine(quiet(), 1)
    machine.bench.place_glass()
    desk = host(machine).open()
    desk.run(2.0)
    desk.pour(m.Run(1, m.Direction.REVERSE, 255, 400, 2_000_000, 20_000), 1.0)
    assert machine.truth.tube_g[1] < machine.truth.brought_g - 700 - 5
    desk.run(1.0)
    desk.pour(m.Run(1, m.Direction.FORWARD, 100, 400, 2_000_000, 20_000), 4.0)
    assert 0 < machine.truth.flow_g_per_s(1) < 4
    desk.run(1.0)
    assert machine.truth.flow_g_per_s(1) == 0


# Hands


def test_glass_lifted_and_put_back(quiet: Quiet, host: Any) -> None:
    machine = SimulatedMachine(quiet(), 1)
    desk = host(machine).open()

    def reading_g() -> float:
        return desk.samples(desk.run(4.0))[-1].counts / G

    assert reading_g() == pytest.approx(0, abs=0.01)
    machine.bench.place_glass(mass_g=240, contents_g=50)
    assert reading_g() == pytest.approx(290, abs=0.01)
    machine.bench.lift_glass()
    assert not machine.truth.glass_present
    assert reading_g() == pytest.approx(0, abs=0.01)
    machine.bench.put_back()
    assert machine.truth.glass_contents_g == 50
    assert reading_g() == pytest.approx(290, abs=0.01)


def test_a_hand_presses_for_its_time_and_a_bump_rings(quiet: Quiet, host: Any) -> None:
    machine = SimulatedMachine(quiet(), 1)
    desk = host(machine).open()
    machine.bench.hand(force_n=4.903325, seconds=3.0)  # 500 grams-force
    assert desk.samples(desk.run(2.9))[-1].counts / G == pytest.approx(500, abs=0.2)
    assert desk.samples(desk.run(4.0))[-1].counts / G == pytest.approx(0, abs=0.05)
    machine.bench.bump(0.001)
    rung = [s.counts / G for s in desk.samples(desk.run(0.5))]
    assert max(rung) > 1 and min(rung) < -1


def test_a_heavy_hand_saturates_the_converter(quiet: Quiet, host: Any) -> None:
    machine = SimulatedMachine(quiet(board={"highest_counts": 2**23 - 1}), 1)
    desk = host(machine).open()
    desk.ask(RUN)
    desk.run(0.05)
    machine.bench.hand(force_n=60, seconds=1.0)
    events = desk.run(0.3)
    assert [r.cause for r in desk.reports(events)] == [m.StopCause.CEILING]  # before it saturates
    assert any(s.saturated and s.counts == 0x7FFFFF for s in desk.samples(events))


def test_button_and_knob(quiet: Quiet, host: Any) -> None:
    machine = SimulatedMachine(quiet(), 1)
    desk = host(machine).open()
    machine.bench.press(hold_s=1.2)
    machine.bench.turn(-2)
    events = desk.run(2.0)
    kinds = [r.press if isinstance(r, m.Button) else r.steps for r in desk.reports(events)]
    assert kinds == [m.Press.DOWN, -2, m.Press.LONG, m.Press.UP]


def test_a_button_that_is_down_is_not_pressed_again(quiet: Quiet, host: Any) -> None:
    machine = SimulatedMachine(quiet(), 1)
    desk = host(machine).open()
    machine.bench.press(hold_s=0.1)
    with pytest.raises(BenchError, match="once it is released"):
        machine.bench.press()
    events = desk.run(0.2)
    machine.bench.press()
    events += desk.run(0.2)
    assert [r.press for r in desk.reports(events)] == [m.Press.DOWN, m.Press.UP] * 2


def test_show_reaches_the_display(theatre: Scenario, host: Any) -> None:
    machine = SimulatedMachine(theatre, 1)
    desk = host(machine).open()
    desk.ask(m.Show(2, "Place your glass"))
    desk.run(0.1)
    assert machine.truth.lcd == (" " * 20, " " * 20, "Place your glass    ", " " * 20)


# Faults


def test_a_frozen_reading_repeats_its_code(theatre: Scenario, host: Any) -> None:
    machine = SimulatedMachine(theatre, 1)
    desk = host(machine).open()
    machine.bench.freeze_reading(True)
    assert len({s.counts for s in desk.samples(desk.run(1.0))}) == 1
    machine.bench.freeze_reading(False)
    assert len({s.counts for s in desk.samples(desk.run(1.0))}) > 10


def test_a_silent_converter_stops_the_pump(quiet: Quiet, host: Any) -> None:
    machine = SimulatedMachine(quiet(), 1)
    desk = host(machine).open()
    desk.ask(RUN)
    desk.run(0.05)
    machine.bench.stop_conversions(True)
    events = desk.run(0.2)
    assert [r.cause for r in desk.reports(events)] == [m.StopCause.ADC]
    assert machine.truth.pump_on == frozenset()
    machine.bench.stop_conversions(False)
    assert desk.samples(desk.run(0.1))[0].lost


def test_a_restart_ends_the_session_and_the_run(quiet: Quiet, host: Any) -> None:
    machine = SimulatedMachine(quiet(), 1)
    desk = host(machine).open()
    desk.ask(RUN)
    desk.run(0.05)
    machine.bench.restart_board(m.ResetCause.WATCHDOG)
    assert machine.truth.pump_on == frozenset()
    events = desk.run(0.4)
    assert any(isinstance(e, Closed) and "watchdog" in e.reason for e in events)
    again = host(machine, nonce=2).open()
    identity = next(e for e in again.events if hasattr(e, "identity")).identity
    assert identity.cause is m.ResetCause.WATCHDOG


def test_a_restart_while_booting_boots_once_and_later(quiet: Quiet) -> None:
    machine = SimulatedMachine(quiet(board={"boot_ms": 300}), 1)
    machine.advance(1.0)
    machine.read()
    machine.bench.restart_board(m.ResetCause.EXTERNAL)
    machine.advance(0.2)
    machine.bench.restart_board(m.ResetCause.BROWNOUT)
    machine.advance(0.29)
    assert machine.read() == b""
    machine.advance(1.0)
    assert machine.read().startswith(b"\n!00 boot brownout 0*")


def test_a_silent_board_hears_and_acts(quiet: Quiet, host: Any) -> None:
    machine = SimulatedMachine(quiet(), 1)
    desk = host(machine).open()
    machine.bench.silence(True)
    desk.ask(RUN)
    desk.run(0.005)  # what was on the wire
    assert desk.run(0.1) == []
    assert machine.truth.pump_on == {1}
    assert any(isinstance(e, Closed) for e in desk.run(0.6))


def test_unplugged_the_board_lives_on(quiet: Quiet, host: Any) -> None:
    machine = SimulatedMachine(quiet(), 1)
    desk = host(machine).open()
    machine.bench.unplug()
    assert any(isinstance(e, Closed) for e in desk.run(0.7))
    machine.bench.replug()
    host(machine, nonce=9).open()


def test_a_stuck_relay_is_known_to_physics_only(quiet: Quiet, host: Any) -> None:
    machine = SimulatedMachine(quiet(), 1)
    machine.bench.place_glass()
    desk = host(machine).open()
    machine.bench.stuck_relay(1, True)
    desk.run(2.0)
    desk.ask(m.AskState())
    state = desk.answers(desk.run(0.1))[-1]
    assert state.running == frozenset() and machine.truth.pump_on == {1}
    assert machine.truth.delivered_g[1] > 8


def test_leak_and_drift_move_the_reading(quiet: Quiet, host: Any) -> None:
    machine = SimulatedMachine(quiet(), 1)
    machine.bench.place_glass(contents_g=100)
    desk = host(machine).open()
    start_g = desk.samples(desk.run(4.0))[-1].counts / G
    machine.bench.leak(2.0)
    desk.run(5.0)
    machine.bench.leak(0.0)
    after_g = desk.samples(desk.run(1.0))[-1].counts / G
    assert after_g - start_g == pytest.approx(-10, abs=0.05)
    assert machine.truth.spilled_g == pytest.approx(10, abs=1e-6)
    machine.bench.drift(6.0)
    drifted_g = desk.samples(desk.run(10.0))[-1].counts / G
    assert drifted_g - after_g == pytest.approx(1.0, abs=0.02)


def test_disturbances_of_the_scenario_happen_at_their_time(quiet: Quiet, host: Any) -> None:
    timed = quiet()
    scenario = Scenario.model_validate(
        timed.model_dump()
        | {
            "disturbances": [
                {"at_s": 1.0, "do": "place_glass", "args": {"mass_g": 120}},
                {"at_s": 2.0, "do": "lift_glass"},
            ]
        }
    )
    machine = SimulatedMachine(scenario, 1)
    seen = []
    for _ in range(3):
        machine.advance(0.99)
        seen.append(machine.truth.glass_present)
    assert seen == [False, True, False]


def test_footfalls_shake_the_platform(quiet: Quiet) -> None:
    machine = SimulatedMachine(quiet(room={"footfalls_per_min": 60, "footfall_n_s": 0.01}), 1)
    machine.advance(10.0)
    still = SimulatedMachine(quiet(), 1)
    still.advance(10.0)
    assert abs(machine.plant.platform.rate_g_per_s) > 0
    assert still.plant.platform.rate_g_per_s == 0


def test_dry_and_swap(theatre: Scenario) -> None:
    machine = SimulatedMachine(theatre, 1)
    machine.bench.dry(1)
    assert machine.truth.bottle_g[1] == theatre.channels[0].sputter_g
    machine.bench.swap_bottle(1)
    assert machine.truth.bottle_g[1] == theatre.channels[0].bottle_g
    machine.bench.swap_bottle(1, mass_g=3)
    machine.bench.dry(1)
    assert machine.truth.bottle_g[1] == 3


# The back door's own manners


@pytest.mark.parametrize(
    ("name", "args", "cure"),
    [
        ("plase_glass", {}, "did you mean 'place_glass'"),
        ("place_glass", {"mas_g": 3}, "did you mean 'mass_g'"),
        ("place_glass", {"mass_g": "heavy"}, "as a number, got 'heavy'"),
        ("bump", {}, "needs impulse_n_s"),
        ("dry", {"channel": 9}, "no bottle on channel 9; this machine has 1, 2, 3, 4, 5, 6, 7, 8"),
        ("lift_glass", {}, "place one first"),
        ("put_back", {}, "lift or place one first"),
        ("kink", {"channel": 1, "factor": 2}, "0 to 1"),
        ("restart_board", {"cause": "lightning"}, "'power', 'brownout'"),
        ("call", {"name": "x"}, "unknown command"),
    ],
)
def test_a_wrong_command_says_what_would_be_right(
    theatre: Scenario, name: str, args: dict[str, Any], cure: str
) -> None:
    with pytest.raises(BenchError) as caught:
        SimulatedMachine(theatre, 1).bench.call(name, args)
    assert cure in str(caught.value)


def test_every_command_can_be_called_by_name(theatre: Scenario) -> None:
    machine = SimulatedMachine(theatre, 1)
    given: dict[str, dict[str, Any]] = {
        "swap_bottle": {"channel": 2},
        "bump": {"impulse_n_s": 0.001},
        "hand": {"force_n": 1, "seconds": 0.1},
        "turn": {"steps": 1},
        "stuck_relay": {"channel": 1, "on": True},
        "dry": {"channel": 3},
        "kink": {"channel": 4, "factor": 0.5},
        "leak": {"g_per_s": 1},
        "freeze_reading": {"on": True},
        "drift": {"g_per_min": 1},
        "stop_conversions": {"on": True},
        "silence": {"on": True},
        "interlock": {"opened": True},
        "pump_supply": {"on": True},
    }
    for name in COMMANDS:
        machine.bench.call(name, given.get(name, {}))
    machine.advance(0.5)
    assert machine.truth.pump_on == {1}
    assert machine.truth.as_dict()["pump_on"] == [1]
