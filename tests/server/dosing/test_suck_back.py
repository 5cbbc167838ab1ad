"""The pump draws the last drop back after the verdict, against the second plant: a reverse run leaves air at
the nozzle, and a nozzle that was drawn empty drips at most once."""

from dataclasses import replace
from typing import Any

import pytest

from rig import LockStep, Result
from second_plant import DROP_G, PlantBuild, PumpBuild, SecondPlant
from tarewell.dosing import events as e
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.replay import replay
from tarewell.dosing.runs import RunOffset
from tarewell.dosing.setup import DosingSettings
from tarewell.dosing.states import PourState
from tarewell.dosing.suck_back import LONGEST_S, SHORTEST_S, reverse_s
from tarewell.dosing.taught import Taught
from tarewell.dosing.tolerance import Verdict
from tarewell_protocol.messages import Direction

SETTINGS = DosingSettings(suck_back_g=0.3)
KNOWN = InFlight(0.06, 0.02, 6.0, 9, flow_share=0.02, runs=(RunOffset(255, 0.03, 0.01, 9),))
DRIPS_S = 6.0


def _rig(seed: int, channels: int = 1, **build: Any) -> LockStep[SecondPlant]:
    pump = PumpBuild(6.0, 4.5)
    rig = LockStep(SecondPlant(PlantBuild(dict.fromkeys(range(1, channels + 1), pump), **build), seed), seed)
    rig.known = dict.fromkeys(range(1, channels + 1), KNOWN)
    return rig


def _reverse_runs(result: Result) -> int:
    return sum(out.run.direction is Direction.REVERSE for out in result.of(e.RunPump))


def test_next_to_nothing_drips_after_it_and_the_next_start_fills_the_gap() -> None:
    rig = _rig(80)
    for target_g in (30.0, 4.0, 12.0, 4.0, 4.0):
        before_g = rig.machine.delivered_g[1]
        rig.begin([(1, target_g)], SETTINGS)
        result = rig.finish()
        assert _reverse_runs(result) == 1
        assert rig.known[1].drawn_back
        lay_g = rig.machine.delivered_g[1] - before_g
        rig.run_for(DRIPS_S)
        landed_g = rig.machine.delivered_g[1] - before_g
        assert landed_g - lay_g <= 1.2 * DROP_G
        assert landed_g == pytest.approx(target_g, abs=0.35)
        (dose,) = result.doses
        assert dose.verdict is Verdict.WITHIN
        assert result.alarms == []
    assert any(run.after_gap for run in rig.known[1].runs), "timed runs from a gap have their own offset"


def test_another_pump_starts_once_the_board_lets_it_and_all_decides_the_same_again() -> None:
    rig = _rig(81, channels=2)
    rig.begin([(1, 10.0), (2, 25.0)], SETTINGS)
    result = rig.finish()
    assert result.ended.state == "complete"
    assert result.alarms == []
    assert result.states.count("suck_back") == 2
    began, ended = result.of(e.DoseBegan), result.of(e.DoseEnded)
    assert [dose.index for dose in began] == [dose.index for dose in ended] == [0, 1]
    report = replay(result.setup, result.log)
    assert report.decisions
    assert report.same


@pytest.mark.parametrize(("abilities", "settings"), [("vk", SETTINGS), ("rvk", DosingSettings())])
def test_it_needs_a_board_that_reverses_and_somebody_who_wants_it(
    abilities: str, settings: DosingSettings
) -> None:
    rig = _rig(82, abilities=abilities)
    rig.begin([(1, 10.0)], settings)
    result = rig.finish()
    assert _reverse_runs(result) == 0
    assert "suck_back" not in result.states
    assert not rig.known[1].drawn_back


def test_a_hold_ends_it_and_the_dose_is_not_poured_again() -> None:
    rig = _rig(83)
    rig.begin([(1, 10.0)], SETTINGS)
    rig.run_until_state(PourState.SUCK_BACK)
    assert rig.pour is not None
    assert rig.pour.commanded == (1, None), "a commanded run, which delivers nothing"
    rig.command(e.PourCommand.HOLD)
    rig.run_until_state(PourState.HELD)
    assert not rig.machine.pump_on
    assert not rig.known[1].drawn_back, "nobody knows how much was drawn back, so nothing is added for it"
    rig.command(e.PourCommand.RESTART)
    result = rig.finish()
    assert result.ended.state == "complete"
    assert len(result.doses) == _reverse_runs(result) == 1


@pytest.mark.parametrize("command", [e.PourCommand.STOP, e.PourCommand.ABORT])
def test_it_ends_at_once_on_command(command: e.PourCommand) -> None:
    rig = _rig(84)
    rig.begin([(1, 10.0)], SETTINGS)
    rig.run_until_state(PourState.SUCK_BACK)
    rig.command(command)
    rig.run_for(0.05)
    assert not rig.machine.pump_on
    result = rig.finish()
    assert result.ended.state in ("stopped", "aborted")
    assert result.ended.delivered_g == pytest.approx(10.0, abs=0.5)
    assert len(result.doses) == 1


def test_a_glass_that_goes_meanwhile_holds_the_pour() -> None:
    rig = _rig(85)
    rig.known[1] = replace(KNOWN, flow_g_per_s=2.5)  # so that it takes long enough to be seen
    rig.machine.kink(1, 2.5 / 6.0)
    rig.begin([(1, 10.0)], replace(SETTINGS, suck_back_g=1.0))
    rig.run_until_state(PourState.SUCK_BACK)
    rig.machine.lift_glass()
    rig.run_until_state(PourState.HELD, 2.0)
    assert not rig.machine.pump_on


def test_how_long_the_pump_turns_back() -> None:
    assert reverse_s(Taught(KNOWN, SETTINGS), SETTINGS) == pytest.approx(0.05)
    assert reverse_s(Taught(replace(KNOWN, flow_g_per_s=0.2), SETTINGS), SETTINGS) == LONGEST_S
    assert reverse_s(Taught(KNOWN, SETTINGS), replace(SETTINGS, suck_back_g=1e-9)) == SHORTEST_S
    assert reverse_s(Taught(replace(KNOWN, count=2), SETTINGS), SETTINGS) is None, "its flow is not known"
    assert reverse_s(Taught(replace(KNOWN, flow_g_per_s=20.0), SETTINGS), SETTINGS) is None
    assert reverse_s(Taught(KNOWN, DosingSettings()), DosingSettings()) is None


def test_a_run_from_a_gap_takes_longer_until_it_has_its_own_offset() -> None:
    wet, dry = Taught(KNOWN, SETTINGS).offset(255), Taught(KNOWN, SETTINGS, after_gap=True).offset(255)
    assert wet is not None
    assert dry is not None
    assert dry.offset_s == pytest.approx(wet.offset_s + 0.3 / 6.0)
    assert dry.spread_s > wet.spread_s
    seen = KNOWN.with_run(255, 0.11, after_gap=True)
    dry = Taught(seen, SETTINGS, after_gap=True).offset(255)
    assert dry is not None
    assert dry.offset_s == 0.11
    assert Taught(seen, SETTINGS).offset(255) == wet


def test_after_a_swap_or_a_prime_no_gap_is_counted_on() -> None:
    assert not replace(KNOWN, drawn_back=True).widened().drawn_back
    assert not replace(KNOWN, drawn_back=True, count=1).widened().drawn_back
