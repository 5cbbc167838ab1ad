"""Lines by sums that slide, held against the plain form: least squares and means over the whole window.

The plain form is that of numpy (`polyfit`, `average`), with the weights as F. J. Harris defines them.
"""

import json
from collections.abc import Iterator, Sequence
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.signal.windows import hann

from tarewell.state_json import dump_state, load_state
from tarewell.weighing.estimator import BATCHES, WHITE_SHARE, Estimate
from tarewell.weighing.recent import RecentReadings

SCALE_G = 1000.0
CLOSE = 1e-9
"""Of the scale: a hundred thousand times finer than the finest reading."""

Readings = list[tuple[float, float]]


def readings(random: Random, count: int, rate_hz: float, jump_g: float, noise_g: float) -> Readings:
    """A board that has run for days, with an uneven converter, lost lines, flows, stops and jumps."""
    t_s, mass_g, flow = random.uniform(0, 4e6), random.uniform(0, 700), 0.0
    found = []
    for _ in range(count):
        lost = random.choice((1, 1, 1, 1, 2, 5)) if random.random() < 0.05 else 1
        step_s = lost / rate_hz * random.uniform(0.9, 1.1)
        t_s, mass_g = t_s + step_s, mass_g + flow * step_s
        if random.random() < 0.02:
            flow = random.choice((0.0, 8.0, 20.0))
        if random.random() < 0.01:
            mass_g = max(0.0, mass_g + random.choice((-1, 1)) * jump_g)
        found.append((round(t_s, 3), mass_g + random.gauss(0, noise_g)))
    return found


many_readings = st.builds(
    readings,
    st.integers(0, 1 << 32).map(Random),
    st.integers(150, 450),
    st.sampled_from((10.0, 80.0, 92.0)),
    st.sampled_from((0.0, 5.0, 300.0)),
    st.sampled_from((0.0, 0.05, 1.0)),
)


def lines(recent: RecentReadings, given: Readings, window_s: float) -> Iterator[tuple[int, Estimate]]:
    for number, (t_s, mass_g) in enumerate(given):
        recent.add(t_s, mass_g)
        line = recent.line(window_s, t_s, least=8, slides=True)
        if line is not None:
            yield number, line


def window(given: Readings, end: int, window_s: float, least: int) -> Readings:
    """The readings up to number `end` that a window holds."""
    start = end
    while start and (given[start - 1][0] >= given[end][0] - window_s or end - start + 1 < least):
        start -= 1
    return given[start : end + 1]


def weights(count: int) -> "np.ndarray[tuple[int], np.dtype[np.float64]]":
    return np.asarray(hann(2 * count + 1)[1::2], dtype=np.float64)


def plain(of: Readings) -> tuple[float, float, float, float]:
    """Mass at the last reading, flow, scatter and the uncertainty of the mean."""
    times_s = np.array([t_s for t_s, _ in of]) - of[-1][0]
    masses_g = np.array([mass_g for _, mass_g in of])
    flow, mass_g = np.polyfit(times_s, masses_g, 1, w=np.sqrt(weights(len(of))))
    away_g = masses_g - mass_g - flow * times_s
    scatter_g = np.sqrt((away_g**2).sum() / (len(of) - 2))
    half = len(of) // 2
    begins = [(len(of) - half) * batch // (BATCHES - 1) for batch in range(BATCHES)]
    batches_g = [np.average(away_g[begin : begin + half], weights=weights(half)) for begin in begins]
    sigma_g = WHITE_SHARE * np.sqrt(np.mean(np.square(batches_g)))
    return float(mass_g), float(flow), float(scatter_g), float(sigma_g)


@settings(max_examples=25)
@given(given_readings=many_readings, window_s=st.sampled_from((0.3, 0.5, 0.8, 2.0)))
def test_a_line_that_slides_is_the_line_through_its_window(given_readings: Readings, window_s: float) -> None:
    for number, line in lines(RecentReadings(), given_readings, window_s):
        if number % 7 and number < len(given_readings) - 3:
            continue
        of = window(given_readings, number, window_s, 8)
        mass_g, flow, scatter_g, _ = plain(of)
        span_s = of[-1][0] - of[0][0]
        assert line.span_s == pytest.approx(span_s)
        assert line.mass_g == pytest.approx(mass_g, rel=0, abs=CLOSE * SCALE_G)
        assert line.flow_g_per_s * span_s == pytest.approx(flow * span_s, rel=0, abs=CLOSE * SCALE_G)
        assert line.scatter_g == pytest.approx(scatter_g, rel=0, abs=CLOSE * SCALE_G)


@settings(max_examples=25)
@given(given_readings=many_readings)
def test_its_uncertainty_is_that_of_the_window_too(given_readings: Readings) -> None:
    for number, line in lines(RecentReadings(), given_readings, 0.8):
        of = window(given_readings, number, 0.8, 8)
        if number % 5 or len(of) < 2 * BATCHES:
            continue
        *_, sigma_g = plain(of)
        times_s = np.array([t_s for t_s, _ in of])
        variance = np.cov(times_s, aweights=weights(len(of)), ddof=0)
        stated_g = line.flow_sigma_g_per_s * float(np.sqrt(variance)) / 1.4
        assert stated_g == pytest.approx(sigma_g, rel=0, abs=4 * CLOSE * SCALE_G)  # each batch is rounded


def test_rounding_does_not_add_up() -> None:
    """Each second a glass of 700 g comes or goes; sums that slide carry on what they have rounded."""
    random, seconds = Random(5), 300
    given_readings = [
        (3e6 + step / 80, 700.0 * (step // 80 % 2) + random.gauss(0, 0.05)) for step in range(80 * seconds)
    ]
    for number, line in lines(RecentReadings(), given_readings, 0.8):
        if number % 80 in (20, 77) and number > 80 * (seconds - 20):
            mass_g, flow, scatter_g, _ = plain(window(given_readings, number, 0.8, 8))
            found = line.mass_g, line.flow_g_per_s, line.scatter_g
            assert found == pytest.approx((mass_g, flow, scatter_g), rel=0, abs=CLOSE * SCALE_G)


def through_json(recent: RecentReadings) -> RecentReadings:
    again: RecentReadings = load_state(json.loads(json.dumps(dump_state(recent))))
    return again


def values(recent: RecentReadings, t_s: float) -> Sequence[object]:
    line, rest = recent.line(0.8, t_s, slides=True), recent.rest(1.0, 5.0, t_s)
    said = None if line is None else (line.mass_g, line.flow_g_per_s, line.flow_sigma_g_per_s, line.scatter_g)
    return said, rest


@settings(max_examples=25)
@given(given_readings=many_readings, at=st.integers(100, 149))
def test_a_store_that_went_through_json_says_the_same_to_the_last_digit(
    given_readings: Readings, at: int
) -> None:
    """Though the one was asked at every reading, and the other never before."""
    recent = RecentReadings()
    for t_s, mass_g in given_readings[:at]:
        recent.add(t_s, mass_g)
        values(recent, t_s)
    again = through_json(recent)
    for t_s, mass_g in given_readings[at:]:
        recent.add(t_s, mass_g)
        again.add(t_s, mass_g)
        assert values(again, t_s) == values(recent, t_s)


@settings(max_examples=25)
@given(given_readings=many_readings, at=st.integers(0, 100))
def test_what_lay_there_before_a_line_begins_does_not_show_in_its_last_digit(
    given_readings: Readings, at: int
) -> None:
    whole, fresh = RecentReadings(), RecentReadings()
    since_s = given_readings[at][0]
    for number, (t_s, mass_g) in enumerate(given_readings):
        whole.add(t_s, mass_g)
        if number >= at:
            fresh.add(t_s, mass_g)
            pair = [store.line(0.8, t_s, since_s, least=8, slides=True) for store in (whole, fresh)]
            said = [line and (line.mass_g, line.flow_sigma_g_per_s, line.scatter_g) for line in pair]
            assert said[0] == said[1]


def test_a_store_that_forgets_says_the_same_as_one_that_was_never_asked() -> None:
    random, asked, silent = Random(8), RecentReadings(), RecentReadings()
    for step in range(2500):
        t_s, mass_g = step / 80, 250 + 8 * step / 80 + random.gauss(0, 0.1)
        asked.add(t_s, mass_g)
        silent.add(t_s, mass_g)
        said = values(asked, t_s)
        if step % 250 == 249:
            assert values(silent, t_s) == said
