"""The queue against theory.

Mean wait of M/G/1, the Pollaczek-Khinchine formula: rho s / (2 (1 - rho)) (1 + variance / s²), given so in
an encyclopaedia that quotes R. B. Cooper, Introduction to Queueing Theory, 1981, p. 189 [D2]. For M/M/1 the
wait is longer than t with probability rho exp(-(1 - rho) t / s) [D2]. [D2]: read in a transcription.
"""

from itertools import pairwise
from math import log
from random import Random
from statistics import fmean

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tarewell.menu.evening_queue import Traffic, begins_s, simulate

SERVICE_S = 40.0
ORDERS = 200_000


def poisson(rate_per_s: float, random: Random) -> list[float]:
    now_s, arrivals = 0.0, []
    for _ in range(ORDERS):
        now_s += random.expovariate(rate_per_s)
        arrivals.append(now_s)
    return arrivals


def waits(arrivals: list[float], services: list[float]) -> list[float]:
    return [begin - came for came, begin in zip(arrivals, begins_s(arrivals, services), strict=True)]


@pytest.mark.parametrize("load", [0.3, 0.6, 0.8])
def test_drinks_that_take_equally_long_wait_as_m_d_1_says(load: float) -> None:
    found = waits(poisson(load / SERVICE_S, Random(41)), [SERVICE_S] * ORDERS)
    assert fmean(found) == pytest.approx(load * SERVICE_S / (2 * (1 - load)), rel=0.05)


@pytest.mark.parametrize("load", [0.3, 0.6, 0.8])
def test_exponential_times_wait_as_m_m_1_says(load: float) -> None:
    random = Random(42)
    services = [random.expovariate(1 / SERVICE_S) for _ in range(ORDERS)]
    found = sorted(waits(poisson(load / SERVICE_S, random), services))
    assert fmean(found) == pytest.approx(load * SERVICE_S / (1 - load), rel=0.05)
    assert sum(wait > 0 for wait in found) / ORDERS == pytest.approx(load, abs=0.01)
    exceeded_by_5_percent_s = log(load / 0.05) * SERVICE_S / (1 - load)
    assert found[int(0.95 * ORDERS)] == pytest.approx(exceeded_by_5_percent_s, rel=0.05)


def test_a_mix_of_short_and_long_drinks_waits_as_m_g_1_says() -> None:
    """The whole simulation; a long evening without a peak is as good as Poisson arrivals for ever."""
    services = [20.0, 70.0] * 10_000
    mean_s, variance = 45.0, 25.0**2
    load = 0.7
    queue = simulate(Traffic(services, len(services) * mean_s / load), Random(43).random, 10)
    expected_s = load * mean_s / (2 * (1 - load)) * (1 + variance / mean_s**2)
    assert queue.waiting.mean_s == pytest.approx(expected_s, rel=0.05)


def test_behind_at_the_peak_the_wait_grows_as_a_fluid_does() -> None:
    """3600 drinks are ordered in the first hour and 2400 can be made, so that 1200 guests stand there."""
    traffic = Traffic([1.5] * 6000, 10 * 3600.0, peak_share=0.6, peak_s=3600.0)
    queue = simulate(traffic, Random(44).random, 20)
    assert traffic.busiest_load == pytest.approx(1.5)
    assert traffic.load == pytest.approx(0.25)
    assert queue.peak_from_s <= 3600 < queue.peak_to_s or queue.peak_to_s == pytest.approx(3600)
    most = queue.max_at_the_bar
    assert most.at_s == pytest.approx(3600, abs=600)
    assert most.median == pytest.approx(1200, rel=0.08)
    assert queue.overtime_s == 0


def test_a_machine_that_is_too_slow_ends_after_closing() -> None:
    traffic = Traffic([60.0] * 90, 3600.0)
    queue = simulate(traffic, Random(45).random)
    assert traffic.load == pytest.approx(1.5)
    assert (
        1800 <= queue.overtime_s < 2100
    )  # 90 minutes of work in 60, and what was idle before the first came
    assert queue.moments[-1].at_s == pytest.approx(3600 + queue.overtime_s)
    assert queue.moments[-1].p95 <= 1


def test_the_same_chances_give_the_same_queue_and_others_another() -> None:
    traffic = Traffic([30.0, 50.0] * 20, 1800.0, 0.7, 600.0)
    first = simulate(traffic, Random(46).random, 50)
    assert simulate(traffic, Random(46).random, 50) == first
    assert simulate(traffic, Random(47).random, 50) != first


def test_a_single_guest_waits_for_nobody() -> None:
    queue = simulate(Traffic([30.0], 600.0), Random(48).random)
    assert queue.waiting.p95_s == queue.peak.p95_s == 0
    assert max(moment.p95 for moment in queue.moments) <= 1


@pytest.mark.parametrize(
    "traffic", [Traffic([], 600.0), Traffic([30.0], 0.0), Traffic([30.0], 600.0, 0.5, 600.0)]
)
def test_what_is_no_queue_is_refused(traffic: Traffic) -> None:
    with pytest.raises(ValueError, match="correct it"):
        simulate(traffic, Random(49).random)


@given(st.lists(st.tuples(st.floats(0, 1e4), st.floats(0, 600)), min_size=1, max_size=60))
def test_nobody_is_served_early_or_two_at_a_time(orders: list[tuple[float, float]]) -> None:
    orders.sort()
    begins = list(begins_s([came for came, _ in orders], [takes for _, takes in orders]))
    assert all(begin >= came for begin, (came, _) in zip(begins, orders, strict=True))
    ends = [begin + takes for begin, (_, takes) in zip(begins, orders, strict=True)]
    assert all(end <= begin for end, (_, begin) in zip(ends, pairwise(begins), strict=False))


@given(st.floats(0, 1), st.floats(1, 3599), st.lists(st.floats(0, 0.999), min_size=2))
def test_arrivals_keep_their_order_and_lie_within_opening_time(
    peak_share: float, peak_s: float, shares: list[float]
) -> None:
    traffic = Traffic([30.0], 3600.0, peak_share, peak_s)
    times = [traffic.arrives_s(share) for share in sorted(shares)]
    assert times == sorted(times)
    assert 0 <= times[0] <= times[-1] <= 3600 + 1e-6
