"""The mass at rest, foreseen by what earlier stops have taught."""

from dataclasses import replace
from random import Random
from statistics import mean

import pytest

from rig import LockStep, Result
from second_plant import PlantBuild, PumpBuild, SecondPlant
from tarewell.dosing import events as e
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.replay import replay
from tarewell.dosing.settling import SettlingPoint, with_lacks
from tarewell.dosing.settling_stop import SettlingStop
from tarewell.dosing.states import PourState

KNOWN = (SettlingPoint(0.45, -0.02, 0.004, 6),)


def _stop(mean_g: float, expected_g: float = 99.8, added_g: float = 0.0) -> SettlingStop:
    return SettlingStop(8.0, (expected_g, 0.1), added_g, [(0.45, mean_g)])


def test_a_mass_is_foreseen_with_an_uncertainty_that_holds() -> None:
    random = Random(3201)
    known: tuple[SettlingPoint, ...] = ()
    within = []
    for _ in range(400):
        rest_g, lack_s = random.uniform(280.0, 300.0), random.gauss(-0.02, 0.004)
        stop = _stop(rest_g - 8.0 * lack_s, rest_g)
        if (foreseen := stop.foresee(known, 2.0, 0.0)) is not None:
            mass_g, sigma_g = foreseen
            within.append(abs(mass_g - rest_g) <= 2 * sigma_g)
        known = with_lacks(known, stop.lacks(rest_g))
    assert len(within) > 380
    assert 0.91 < mean(within) < 0.99


@pytest.mark.parametrize(
    ("stop", "known", "tolerance_g", "added_g"),
    [
        (_stop(100.0), (), 2.0, 0.0),
        (_stop(100.0), with_lacks(with_lacks((), [(0.45, -0.02)]), [(0.45, -0.02)]), 2.0, 0.0),
        (_stop(100.0), (SettlingPoint(0.5, -0.02, 0.004, 6),), 2.0, 0.0),
        (_stop(100.0), (SettlingPoint(0.45, -0.02, 0.02, 6),), 2.0, 0.0),
        (_stop(100.0), KNOWN, 0.2, 0.0),
        (_stop(101.0), KNOWN, 2.0, 0.0),
        (_stop(100.0), KNOWN, 2.0, 1.0),
    ],
    ids=["unknown", "twice", "other time", "unsure", "small dose", "not expected", "something fell in"],
)
def test_rest_is_waited_for_where_nothing_sure_can_be_said(
    stop: SettlingStop, known: tuple[SettlingPoint, ...], tolerance_g: float, added_g: float
) -> None:
    assert _stop(100.0).foresee(KNOWN, 2.0, 0.0) is not None
    assert stop.foresee(known, tolerance_g, added_g) is None


def test_another_bottle_makes_it_less_sure() -> None:
    taught = InFlight(0.05, 0.01, 8.0, 9, settling=KNOWN)
    assert _stop(100.0).foresee(taught.widened().settling, 2.0, 0.0) is None


def _rig() -> LockStep[SecondPlant]:
    """A channel of 6 g/s that five doses have taught."""
    pump = PumpBuild(6.0, 5.0, max_drips=2)
    rig = LockStep(SecondPlant(PlantBuild({1: pump}), 3204), 3204)
    for target_g in (40.0, 25.0, 30.0, 45.0, 25.0):
        _pour(rig, target_g)
    return rig


def _pour(
    rig: LockStep[SecondPlant], target_g: float, falls_in_g: float = 0.0
) -> tuple[Result, float, float]:
    """A dose: its result, how long it settled at last, and what lay in the glass once all had landed."""
    before_g = rig.machine.delivered_g[1]
    rig.begin([(1, target_g)])
    rig.run_until_state(PourState.SETTLING)
    if falls_in_g and rig.machine.glass_g is not None:
        rig.machine.glass_g += falls_in_g
    result = rig.finish()
    stopped_s = max(at_s for at_s, item in result.log if isinstance(item, e.StopPumps))
    settled_s = rig.now_s - stopped_s
    rig.run_for(0.3)
    landed_g = rig.machine.delivered_g[1] - before_g
    rig.run_for(2.5)
    return result, settled_s, landed_g


def test_a_channel_that_was_watched_is_judged_before_it_rests_and_goes_on_learning() -> None:
    rig = _rig()
    (point,) = (point for point in rig.known[1].settling if point.after_s == 0.45)
    for target_g in (35.0, 50.0, 20.0):
        result, settled_s, landed_g = _pour(rig, target_g)
        (dose,) = result.doses
        assert settled_s < 0.6  # a fit of the ringing alone takes 0.65 s
        assert dose.uncertainty_g is not None
        assert abs(dose.delivered_g - landed_g) <= 2 * dose.uncertainty_g
        assert result.dripped is not None
    (after,) = (point for point in rig.known[1].settling if point.after_s == 0.45)
    assert after.count == point.count + 3


def test_a_mass_that_is_not_what_the_run_explains_is_weighed_at_rest() -> None:
    rig = _rig()
    _, settled_s, _ = _pour(rig, 35.0, falls_in_g=0.9)
    assert settled_s > 0.6


def test_a_pour_of_a_program_that_learned_nothing_of_it_replays() -> None:
    rig = LockStep(SecondPlant(PlantBuild({1: PumpBuild(6.0, 5.0)}), 3205), 3205)
    rig.known[1] = InFlight(0.05, 0.02, 6.0, 3)
    result, _, _ = _pour(rig, 20.0)
    assert rig.known[1].settling
    log = [
        (
            at_s,
            replace(item, inflight=replace(item.inflight, settling=()))
            if isinstance(item, e.Learned)
            else item,
        )
        for at_s, item in result.log
    ]
    assert replay(result.setup, log).same
