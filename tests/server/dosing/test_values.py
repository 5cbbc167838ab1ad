"""Tolerance, in-flight learning, plan checks."""

from itertools import pairwise
from random import Random
from statistics import mean, stdev

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tarewell.dosing.alarm_kinds import ALARMS
from tarewell.dosing.alarms import alarm
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.plan import DosePlan, PlanError, PourPlan, check_plan
from tarewell.dosing.tolerance import Verdict, judge, permissible_deviation_g

# In-service maximum permissible deviation, class X(1), of OIML R 61 as reproduced in UK S.I. 2000/388 Sch. 5
# (text read): (fill g, deviation g).
R61 = [
    (5, 0.45), (15, 1.35), (30, 2.70), (45, 4.05), (50, 4.50), (60, 4.50), (75, 4.50), (100, 4.50),
    (120, 5.40), (150, 6.75), (200, 9.00), (240, 9.00), (300, 9.00), (350, 10.5), (500, 15.0), (1000, 15.0),
    (5000, 75.0), (10_000, 150.0), (12_000, 150.0), (15_000, 150.0), (20_000, 200.0),
]  # fmt: skip


@pytest.mark.parametrize(("fill_g", "deviation_g"), R61)
def test_tolerance_is_the_published_table(fill_g: float, deviation_g: float) -> None:
    assert permissible_deviation_g(fill_g, 1.0) == pytest.approx(deviation_g)
    assert permissible_deviation_g(fill_g, 0.5) == pytest.approx(deviation_g / 2)


def test_tolerance_has_no_step_and_never_falls() -> None:
    fills = [step / 4 for step in range(1, 80_000)]
    for (low, a), (_, b) in pairwise((fill, permissible_deviation_g(fill, 1.0)) for fill in fills):
        assert 0 <= b - a <= 0.25, low


def test_verdict_on_both_sides() -> None:
    assert judge(45.0 + 2.0, 45.0, 0.5) is Verdict.WITHIN
    assert judge(45.0 + 2.1, 45.0, 0.5) is Verdict.OVER
    assert judge(45.0 - 2.1, 45.0, 0.5) is Verdict.UNDER


def test_a_fill_of_nothing_has_no_tolerance() -> None:
    with pytest.raises(ValueError, match="positive mass"):
        permissible_deviation_g(0, 1.0)


def test_the_first_stop_replaces_the_guess() -> None:
    learned = InFlight().learn(observed_g=0.8, flow_g_per_s=8.0)
    assert learned.mass_g(8.0) == pytest.approx(0.8)
    assert learned.mass_g(4.0) == pytest.approx(0.4)


def test_learning_finds_mean_and_spread_of_what_it_sees() -> None:
    random = Random(5)
    seen = [random.gauss(0.8, 0.08) for _ in range(200)]
    learned = InFlight()
    means, spreads = [], []
    for grams in seen:
        learned = learned.learn(grams, 8.0)
        means.append(learned.mass_g(8.0))
        spreads.append(learned.spread_g(8.0))
    assert mean(means[50:]) == pytest.approx(mean(seen), abs=0.02)
    assert mean(spreads[50:]) == pytest.approx(stdev(seen), rel=0.25)


def test_one_freak_stop_does_not_spoil_what_was_learned() -> None:
    learned = InFlight()
    for _ in range(10):
        learned = learned.learn(0.8, 8.0)
    spoiled = learned.learn(40.0, 8.0)
    assert spoiled.mass_g(8.0) < 1.3


def test_a_worn_tube_is_followed() -> None:
    learned = InFlight()
    for _ in range(10):
        learned = learned.learn(0.8, 8.0)
    for _ in range(15):
        learned = learned.learn(0.6, 8.0)
    assert learned.mass_g(8.0) == pytest.approx(0.6, abs=0.03)


CHANNELS = frozenset({1, 2, 3})


def _plan(*doses: tuple[int, float], holds: float | None = None) -> PourPlan:
    return PourPlan(tuple(DosePlan(channel, "x", grams) for channel, grams in doses), holds)


@pytest.mark.parametrize(
    ("plan", "says"),
    [
        (_plan(), "at least one dose"),
        (_plan((9, 20.0)), "no channel 9; this machine has 1, 2, 3"),
        (_plan((1, -5.0)), "at least 2 g, got -5 g"),
        (_plan((1, 0.0)), "at least 2 g"),
        (_plan((1, float("nan"))), "at least 2 g"),
        (_plan((1, 5000.0)), "more than the scale weighs"),
        (_plan((1, 60.0), (2, 60.0), holds=100.0), "the glass holds 100.0 g"),
        (_plan((1, 600.0), (2, 600.0)), "pour it in parts"),
    ],
)
def test_a_plan_that_cannot_be_poured_is_refused_with_the_cure(plan: PourPlan, says: str) -> None:
    with pytest.raises(PlanError, match=says):
        check_plan(plan, CHANNELS, 1000.0)


@given(st.lists(st.tuples(st.sampled_from([1, 2, 3]), st.floats(2, 80)), min_size=1, max_size=12))
def test_a_plan_weighs_what_its_doses_weigh(doses: list[tuple[int, float]]) -> None:
    plan = _plan(*doses, holds=1000.0)
    check_plan(plan, CHANNELS, 1000.0)
    assert plan.target_g == pytest.approx(sum(grams for _, grams in doses))


@pytest.mark.parametrize("name", ALARMS)
def test_every_alarm_has_a_message_and_a_cure(name: str) -> None:
    raised = alarm(name, "1 g")
    assert raised.message.endswith(".")
    assert raised.cure.endswith(".")
    assert raised.cure != raised.message
