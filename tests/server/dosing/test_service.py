"""Prime, flush and purge on the simulated machine, compared with what its physics put into the cup."""

from typing import Any

import pytest

from rig import Result, Rig
from tarewell.dosing import events as e
from tarewell.dosing.plan import Agent, DosePlan, PlanError, PourPlan, Purpose, check_plan
from tarewell.dosing.replay import replay
from tarewell.dosing.setup import DosingSettings
from tarewell.dosing.states import PourState

DRIPS_S = 3.0
PRIME: dict[str, Any] = {"purpose": Purpose.PRIME}
FLUSH: dict[str, Any] = {"purpose": Purpose.FLUSH, "agent": Agent.WATER}
PURGE: dict[str, Any] = {"purpose": Purpose.PURGE}


def _serve(rig: Rig, channel: int, target_g: float, kind: dict[str, Any]) -> tuple[Result, float]:
    """Carry one out; the result and the true mass in the cup."""
    before_g = rig.machine.truth.delivered_g[channel]
    rig.begin([(channel, target_g)], **kind)
    result = rig.finish()
    rig.run_for(DRIPS_S)
    return result, rig.machine.truth.delivered_g[channel] - before_g


def _tube_g(rig: Rig, channel: int) -> float:
    return rig.machine.truth.tube_g[channel]


@pytest.mark.parametrize(("scenario", "channel"), [("theatre_bar", 2), ("theatre_bar", 5), ("rehearsal", 1)])
def test_a_purged_tube_is_empty_and_a_primed_one_is_full(scenario: str, channel: int) -> None:
    rig = Rig(scenario, seed=70)
    bottle_g = rig.machine.truth.bottle_g[channel]
    _serve(rig, channel, 10.0, PRIME)
    full_g = _tube_g(rig, channel)
    rig.machine.bench.swap_bottle(channel, mass_g=0.0)
    purged, purged_g = _serve(rig, channel, 100.0, PURGE)
    assert purged.ended.state == "complete"
    assert purged.ended.cause == purged.doses[0].cause == "dry"
    assert _tube_g(rig, channel) < 0.05 * full_g
    assert purged_g == pytest.approx(full_g, rel=0.05)
    rig.machine.bench.swap_bottle(channel, mass_g=bottle_g)
    primed, primed_g = _serve(rig, channel, 10.0, PRIME)
    assert primed.ended.cause == "target"
    assert not primed.alarms
    assert _tube_g(rig, channel) == pytest.approx(full_g, rel=0.05)
    assert 9.5 < primed_g < 17.0  # what is in the air after the stop comes on top: up to 0.35 s at 20 g/s


def test_a_tube_that_is_dry_already_ends_dry() -> None:
    rig = Rig("rehearsal", seed=71)
    rig.machine.bench.swap_bottle(1, mass_g=0.0)
    assert _tube_g(rig, 1) == 0.0
    result, purged_g = _serve(rig, 1, 100.0, PURGE)
    assert (result.ended.state, result.ended.cause) == ("complete", "dry")
    assert purged_g == 0.0


def test_a_purge_with_the_bottle_still_on_stops_by_name_before_it_runs_over() -> None:
    rig = Rig(seed=72)
    result, purged_g = _serve(rig, 1, 60.0, PURGE)
    assert result.alarms == ["not_emptied"]
    assert result.ended.state == "stopped"
    assert 60.0 < purged_g < 65.0


def test_a_prime_waits_through_a_long_dry_tube_and_names_an_empty_bottle() -> None:
    rig = Rig("rehearsal", seed=73)
    rig.machine.bench.swap_bottle(1, mass_g=0.0)
    result = rig.begin([(1, 10.0)], **PRIME)
    began_s = rig.now_s
    rig.run_until_state(PourState.HELD)
    assert result.alarms == ["no_flow"]
    assert rig.now_s - began_s > DosingSettings().prime_wait_s
    rig.machine.bench.swap_bottle(1, mass_g=400.0)
    rig.command(e.PourCommand.RESTART)
    assert rig.finish().ended.state == "complete"


def test_a_bubble_in_a_prime_is_no_fault() -> None:
    rig = Rig(seed=74)
    rig.machine.bench.swap_bottle(1, mass_g=0.0)
    rig.begin([(1, 40.0)], **PRIME)
    rig.run_until_state(PourState.COARSE_FEED)
    rig.run_for(1.5)
    rig.machine.bench.swap_bottle(1, mass_g=500.0)
    result = rig.finish()
    assert result.ended.state == "complete"
    assert not result.alarms


@pytest.mark.parametrize("scenario", ["theatre_bar", "rehearsal"])
def test_a_flush_runs_its_mass_through(scenario: str) -> None:
    result, flushed_g = _serve(Rig(scenario, seed=75), 1, 100.0, FLUSH)
    assert result.ended.state == "complete"
    assert 99.0 < flushed_g < 104.0


def test_none_of_them_teaches_anything_or_is_judged() -> None:
    rig = Rig(seed=76)
    results = [_serve(rig, 1, 30.0, kind)[0] for kind in (PRIME, FLUSH)]
    rig.machine.bench.swap_bottle(1, mass_g=0.0)
    results.append(_serve(rig, 1, 100.0, PURGE)[0])
    for result in results:
        assert not result.of(e.Learned)
        assert [dose.verdict for dose in result.doses] == [None]
        assert "jog_feed" not in result.states
        assert not result.alarms


def test_it_can_be_stopped_and_a_lifted_cup_holds_it() -> None:
    rig = Rig(seed=77)
    result = rig.begin([(1, 150.0)], **FLUSH)
    rig.run_until_state(PourState.COARSE_FEED)
    rig.run_for(2.0)
    rig.machine.bench.lift_glass()
    rig.run_until_state(PourState.HELD, 1.0)
    assert result.alarms == ["glass_lifted"]
    rig.command(e.PourCommand.STOP)
    assert rig.finish().ended.state == "stopped"
    assert not rig.machine.truth.pump_on


@pytest.mark.parametrize("kind", [PRIME, FLUSH, PURGE], ids=["prime", "flush", "purge"])
def test_each_decides_the_same_again(kind: dict[str, Any]) -> None:
    rig = Rig("rehearsal", seed=78)
    if kind is PURGE:
        _serve(rig, 1, 10.0, PRIME)
        rig.machine.bench.swap_bottle(1, mass_g=0.0)
    result, _ = _serve(rig, 1, 50.0, kind)
    report = replay(result.setup, result.log)
    assert report.same
    assert report.complete


@pytest.mark.parametrize(
    ("plan", "says"),
    [
        (PourPlan((DosePlan(1, "x", 10.0), DosePlan(2, "x", 10.0)), purpose=Purpose.PRIME), "has one dose"),
        (PourPlan((DosePlan(1, "x", 10.0),), purpose=Purpose.FLUSH), "needs an agent"),
        (PourPlan((DosePlan(1, "x", 10.0),), purpose=Purpose.PURGE, agent=Agent.WATER), "only a flush"),
        (PourPlan((DosePlan(1, "x", 10.0),), agent=Agent.CLEANER), "only a flush"),
    ],
)
def test_a_purpose_that_does_not_go_with_the_rest_is_refused(plan: PourPlan, says: str) -> None:
    with pytest.raises(PlanError, match=says):
        check_plan(plan, frozenset({1, 2}), 1000.0)
