"""What a channel teaches about its speeds, and a fine feed at which the pump stands."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rig import LockStep, Rig
from second_plant import PlantBuild, PumpBuild, SecondPlant
from tarewell.dosing import events as e
from tarewell.dosing.dose import ActiveDose, Feed
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.plan import DosePlan
from tarewell.dosing.setup import DosingSettings
from tarewell.dosing.speeds import SpeedFlow, fine_speed, share_at, with_share
from tarewell.dosing.states import PourState
from tarewell.dosing.taught import Taught
from tarewell.dosing.tolerance import Verdict

FIRST, FULL = 100, 255


def test_flow_is_proportional_until_something_is_known() -> None:
    assert share_at((), 51, FULL) == 0.2
    assert fine_speed((), FIRST, FULL) == FIRST


def test_between_what_is_known_flow_is_on_a_line_over_the_pulse_width() -> None:
    known = (SpeedFlow(80, 0.0), SpeedFlow(160, 0.6))
    assert share_at(known, 60, FULL) == 0.0
    # V - I R / D carries the load: at two thirds of the way from 1/80 to 1/160, two thirds of the flow
    assert share_at(known, 120, FULL) == pytest.approx(0.4)
    assert share_at(known, 255, FULL) == 1.0


def test_a_fine_feed_that_is_about_a_third_stays() -> None:
    known = (SpeedFlow(80, 0.0), SpeedFlow(110, 0.25), SpeedFlow(130, 0.45))
    assert fine_speed(known, FIRST, FULL) == 110


def test_one_that_is_too_fast_slows_down_by_a_fifth_at_most() -> None:
    assert fine_speed((SpeedFlow(100, 0.9),), FIRST, FULL) == 80


def test_a_setting_of_full_speed_means_no_fine_feed() -> None:
    assert fine_speed((SpeedFlow(100, 0.3),), FULL, FULL) == FULL


def test_shares_are_followed_by_halves_but_a_standstill_at_once() -> None:
    known = with_share(with_share((), 100, 0.4), 100, 0.2)
    assert [round(point.share, 9) for point in known] == [0.3]
    assert with_share(known, 100, 0.0) == (SpeedFlow(100, 0.0),)
    assert with_share((SpeedFlow(100, 0.0),), 100, 0.3) == (SpeedFlow(100, 0.3),)


@given(stands_below=st.integers(1, 240), steepness=st.floats(1.0, 8.0))
def test_some_speed_that_turns_is_found_whatever_the_pump(stands_below: int, steepness: float) -> None:
    """A pump that stands below some speed and gains flow above it, steeply or not."""
    known: tuple[SpeedFlow, ...] = ()
    for _ in range(12):
        speed = fine_speed(known, FIRST, FULL)
        turns = (speed - stands_below) / (FULL - stands_below)
        known = with_share(known, speed, 0.0 if turns <= 0 else 1 - (1 - turns) ** steepness)
    chosen = fine_speed(known, FIRST, FULL)
    assert chosen > stands_below
    assert share_at(known, chosen, FULL) > 0.0


def weak(flow_g_per_s: float, seed: int) -> LockStep[SecondPlant]:
    """A pump that stands below 115 of 255."""
    pump = PumpBuild(flow_g_per_s, 6.0, stall_share=0.45)
    return LockStep(SecondPlant(PlantBuild({1: pump}), seed), seed)


def test_a_pump_that_stands_at_the_fine_speed_gets_a_faster_one() -> None:
    rig = weak(20.0, 81)
    rig.known[1] = InFlight(0.3, 0.1, 20.0, 4).with_share(FIRST, 0.3)  # it has turned there before
    rig.begin([(1, 60.0)])
    result = rig.finish()
    assert result.alarms == []
    assert result.doses[0].verdict is Verdict.WITHIN
    assert {point.speed: point.share for point in rig.known[1].speeds}[FIRST] == 0.0
    rig.begin([(1, 25.0)])
    result = rig.finish()
    assert result.doses[0].verdict is Verdict.WITHIN
    assert min(run.run.speed for run in result.of(e.RunPump)) > 115  # 0.45 x 255: the build
    assert any(115 < known.speed < FULL for known in rig.known[1].runs)


def test_a_bottle_without_liquid_is_no_pump_that_stands() -> None:
    rig = Rig(seed=82)
    rig.known[1] = InFlight(0.2, 0.15, 8.0, 1).with_share(FIRST, 0.5)
    rig.begin([(1, 60.0)], DosingSettings(fine_s=3.0))
    rig.run_until_state(PourState.FINE_FEED)
    rig.machine.bench.kink(1, 0.0)
    rig.run_until_state(PourState.HELD)
    assert rig.result is not None
    assert rig.result.alarms == ["no_flow"]
    rig.machine.bench.kink(1, 1.0)
    rig.command(e.PourCommand.RESTART)
    assert rig.finish().doses[0].verdict is Verdict.WITHIN
    assert all(point.share > 0.0 for point in rig.known[1].speeds)


def test_nothing_is_learned_where_the_setting_says_so() -> None:
    rig = Rig(seed=83)
    rig.known[5] = InFlight(0.1, 0.05, 20.0, 1).with_share(FIRST, 0.0)
    rig.begin([(5, 15.0)], DosingSettings(learn_speeds=False))
    result = rig.finish()
    assert FIRST in {run.run.speed for run in result.of(e.RunPump)}
    assert {learned.inflight.speeds for learned in result.of(e.Learned)} == {rig.known[5].speeds}


def jog(dose: ActiveDose, gave_g: float) -> None:
    """One jog from 0.5 g below the target that delivers this much."""
    start_g = dose.end_g - 0.5
    dose.after_jog(start_g + gave_g, dose.jog_s(start_g))


def test_slow_jogs_that_deliver_nothing_give_way_to_faster_ones() -> None:
    """Friction at rest is larger than in motion: a speed that keeps a pump turning may not start it."""
    known = InFlight(0.2, 0.02, 20.0, 9).with_share(FIRST, 0.3)
    taught = Taught(known, DosingSettings())
    dose = ActiveDose(0, DosePlan(1, "juice", 40.0), 250.0, 0.0, taught, True, 80.0)
    while dose.taught.fine_speed == FIRST:
        assert dose.jogs.count < 5
        jog(dose, 0.01)
    assert dose.next_feed(dose.end_g - 0.5) is Feed.JOG
    jog(dose, 0.4)
    assert dose.jogs.speed > FIRST
