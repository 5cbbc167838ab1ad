"""Timed runs: what a channel teaches about them, and the short doses poured with them."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rig import LockStep
from second_plant import PlantBuild, PumpBuild, SecondPlant
from tarewell.dosing import events as e
from tarewell.dosing.alarms import alarm
from tarewell.dosing.dose import ActiveDose, CutOff
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.lessons import Lessons
from tarewell.dosing.plan import DosePlan, PourPlan
from tarewell.dosing.runs import RunOffset, offset_at, with_run
from tarewell.dosing.setup import PourSetup
from tarewell.dosing.states import PourState
from tarewell.dosing.taught import Taught
from tarewell.dosing.tolerance import Verdict
from tarewell.weighing.calibration import Calibration

FULL = 255


@given(
    st.floats(-0.05, 0.2),
    st.floats(1.0, 25.0),
    st.lists(st.tuples(st.floats(0.05, 1.5), st.floats(-0.01, 0.01)), min_size=5, max_size=30),
)
def test_an_offset_is_learned_and_times_the_next_run(
    true_s: float, flow_g_per_s: float, runs: list[tuple[float, float]]
) -> None:
    known: tuple[RunOffset, ...] = ()
    for ran_s, jitter_s in runs:
        gave_g = flow_g_per_s * (ran_s - true_s - jitter_s)
        known = with_run(known, FULL, ran_s - gave_g / flow_g_per_s)
    found = offset_at(known, FULL)
    assert found is not None
    assert abs(found.offset_s - true_s) <= 0.0101
    assert flow_g_per_s * (found.run_s(5.0, flow_g_per_s) - true_s) == pytest.approx(
        5.0, abs=flow_g_per_s * 0.0101
    )


def test_one_run_that_is_far_off_moves_little_and_is_remembered_as_spread() -> None:
    known = RunOffset(FULL, 0.05, 0.01, 8)
    after = known.learn(0.9)
    assert after.offset_s < 0.06
    assert after.spread_s > 1.5 * known.spread_s


@pytest.mark.parametrize("seed", [301, 302, 303])
def test_a_short_dose_of_a_fast_channel_is_timed_once_it_is_known(seed: int) -> None:
    """A feed of 6 to 12 g at 20 g/s is over before its flow shows."""
    pump = PumpBuild(20.0, 7.0, run_up_s=0.08, coast_s=0.07, run_spread=0.03, max_drips=0)
    rig = LockStep(SecondPlant(PlantBuild({1: pump}), seed), seed)
    for target_g in (60.0, 40.0, 60.0, 25.0, 12.0):
        rig.begin([(1, target_g)])
        rig.finish()
    for target_g in (12.0, 8.0, 6.0):
        rig.begin([(1, target_g)])
        result = rig.finish()
        runs = [item.run for item in result.of(e.RunPump)]
        assert result.doses[0].verdict is Verdict.WITHIN
        assert len(runs) <= 3
        assert runs[0].max_ms > 1000 * 0.5 * target_g / 20.0  # most of it at once


def test_a_first_dose_leaves_enough_for_a_feed_that_stops_by_what_the_first_taught() -> None:
    pump = PumpBuild(20.0, 7.0, run_up_s=0.08, coast_s=0.07, max_drips=0)
    rig = LockStep(SecondPlant(PlantBuild({1: pump}), 304), 304)
    rig.begin([(1, 80.0)])
    result = rig.finish()
    assert [run.run.speed for run in result.of(e.RunPump)] == [FULL, FULL]
    assert result.doses[0].verdict is Verdict.WITHIN
    assert rig.known[1].count == 2


@pytest.mark.parametrize("ran_s", [1.6, 3.0])
def test_a_feed_shows_the_offset_by_its_own_flow(ran_s: float) -> None:
    """Its flow differs from what the channel has taught by 6 %, as from run to run."""
    known = InFlight(0.1, 0.01, 20.0, 9)
    plan = DosePlan(1, "juice", 60.0)
    setup = PourSetup(PourPlan((plan,)), Calibration(0.0, 1000.0), known={1: known})
    dose = ActiveDose(0, plan, 250.0, 0.0, Taught(known, setup.settings), True, 80.0)
    gave_g = 21.2 * (ran_s - 0.04)
    cut = CutOff(248.0 + gave_g, 21.2, 21.2, True, 0.0, True, ran_s)
    learned = Lessons(setup).of_feed(dose, cut, 250.0 + gave_g, 250.0).inflight
    found = offset_at(learned.runs, FULL)
    assert found is not None
    assert found.offset_s == pytest.approx(0.04, abs=0.001)


def test_a_short_feed_is_not_cut_off_early_for_the_impact_of_its_first_liquid() -> None:
    """With the start in its line the flow looked a tenth too large, and a top-up had to follow."""
    pump = PumpBuild(20.0, 7.0, run_up_s=0.08, coast_s=0.07, max_drips=0)
    rig = LockStep(SecondPlant(PlantBuild({1: pump}, fall_m=0.22), 305), 305)
    for target_g in (60.0, 60.0):
        rig.begin([(1, target_g)])
        rig.finish()
    rig.known[1] = replace(rig.known[1], count=9, spread_s=0.01, runs=())
    rig.begin([(1, 19.0)])
    result = rig.finish()
    assert len(result.of(e.RunPump)) == 1
    assert result.doses[0].verdict is Verdict.WITHIN


def test_a_channel_whose_pump_is_far_faster_than_before_is_learned_anew() -> None:
    """Another tube, three times as fast at the same speed: what the watch of the machine finds."""
    fast = PumpBuild(20.0, 7.0, max_drips=0)
    rig = LockStep(SecondPlant(PlantBuild({1: fast}), 305), 305)
    rig.known[1] = InFlight(0.05, 0.02, 7.0, 9, runs=(RunOffset(FULL, 0.02, 0.01, 9),))
    rig.begin([(1, 60.0)])
    rig.until(lambda: rig.machine.delivered_g[1] > 25.0, 5.0)
    rig.feed(e.WatchRaised(alarm("excess_flow", "20 g/s", 1)))
    rig.run_until_state(PourState.HELD)
    rig.command(e.PourCommand.RESTART)
    assert rig.finish().ended.state == "complete"
    assert rig.known[1].flow_g_per_s == pytest.approx(20.0, rel=0.1)
    for target_g in (60.0, 8.0):
        before_g = rig.machine.delivered_g[1]
        rig.begin([(1, target_g)])
        result = rig.finish()
        assert result.alarms == []
        assert result.doses[0].verdict is Verdict.WITHIN
        assert rig.machine.delivered_g[1] - before_g == pytest.approx(target_g, abs=1.0)


def test_a_model_is_widened_once_until_stops_have_made_it_sure_again() -> None:
    known = InFlight(0.05, 0.02, 8.0, 9, flow_share=0.01, runs=(RunOffset(FULL, 0.02, 0.01, 9),))
    less_sure = known.widened()
    assert (less_sure.lag_s, less_sure.flow_g_per_s) == (known.lag_s, known.flow_g_per_s)
    assert less_sure.spread_s > known.spread_s
    assert less_sure.flow_share > known.flow_share
    assert less_sure.runs[0].spread_s > known.runs[0].spread_s
    assert less_sure.widened() == less_sure
    assert less_sure.learn(0.6, 8.0).widened() != less_sure


@pytest.mark.parametrize("seen_g_per_s", [0.4, 160.0])
def test_one_flow_that_is_far_off_cannot_double_its_spread(seen_g_per_s: float) -> None:
    known = InFlight(0.05, 0.02, 8.0, 9, flow_share=0.02)
    assert 0.02 < known.with_flow(seen_g_per_s).flow_share < 0.04
