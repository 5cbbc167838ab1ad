from itertools import pairwise
from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tarewell.charts.thinning import Columns, Readings

RATE_HZ = 80
readings_of_a_pour = st.lists(
    st.tuples(st.floats(0.01, 0.6), st.floats(-5, 300)), min_size=2, max_size=200
).map(
    lambda steps: (
        [sum(step for step, _ in steps[: index + 1]) for index in range(len(steps))],
        [mass for _, mass in steps],
    )
)


@given(readings_of_a_pour, st.integers(1, 60))
def test_each_column_keeps_its_least_and_its_largest_reading_in_order(
    given_readings: tuple[list[float], list[float]], count: int
) -> None:
    t_s, mass_g = given_readings
    columns = Columns(count, t_s[0], t_s[-1])
    readings = Readings(t_s, mass_g)
    curve = readings.thinned(columns)
    shown = [(t, g) for t, g in zip(curve.t_s, curve.mass_g, strict=True) if g is not None]
    assert set(shown) <= set(zip(t_s, mass_g, strict=True))
    assert all(one < other for one, other in pairwise(curve.t_s))
    assert min(g for _, g in shown) == min(mass_g)
    assert max(g for _, g in shown) == max(mass_g)
    gaps = len(readings.gaps_s)
    assert curve.mass_g.count(None) == gaps
    assert len(shown) <= 2 * (count + 1 + gaps)


def test_where_readings_were_lost_nothing_is_joined() -> None:
    t_s = [index / RATE_HZ for index in range(400) if not 100 <= index < 180]
    readings = Readings(t_s, [20 * t for t in t_s])
    (gap,) = readings.gaps_s
    assert gap == pytest.approx((99 / RATE_HZ, 180 / RATE_HZ))
    for curve in (
        readings.thinned(Columns(50, t_s[0], t_s[-1])),
        readings.fitted(Columns(50, t_s[0], t_s[-1]), 0.8),
    ):
        (empty,) = [t for t, g in zip(curve.t_s, curve.mass_g, strict=True) if g is None]
        assert gap[0] < empty < gap[1]
        assert not [t for t in curve.t_s if gap[0] < t < gap[1] and t != empty]


def test_only_the_time_that_is_asked_for_is_shown() -> None:
    t_s = [index / RATE_HZ for index in range(800)]
    curve = Readings(t_s, t_s).thinned(Columns(100, 4.0, 6.0))
    assert 4.0 <= curve.t_s[0] < 4.02
    assert 5.98 < curve.t_s[-1] <= 6.0


def test_the_mass_under_the_readings_is_the_weighted_line_of_numpy() -> None:
    """numpy.polyfit of degree 1 with Hann weights, which it takes as square roots."""
    noise = Random(3)
    t_s = [index / RATE_HZ for index in range(240)]
    mass_g = [8 * t + noise.gauss(0, 0.3) for t in t_s]
    curve = Readings(t_s, mass_g).fitted(Columns(30, t_s[0], t_s[-1]), 0.8)
    for at_s, found_g in list(zip(curve.t_s, curve.mass_g, strict=True))[6:-6]:
        inside = [i for i, t in enumerate(t_s) if at_s - 0.4 <= t <= at_s + 0.4]
        weights = np.hanning(2 * len(inside) + 1)[1::2]
        slope, level = np.polyfit(
            [t_s[i] for i in inside], [mass_g[i] for i in inside], 1, w=np.sqrt(weights)
        )
        assert found_g == pytest.approx(level + slope * at_s, abs=1e-9)


def test_the_line_is_smoother_than_the_readings() -> None:
    noise = Random(5)
    t_s = [index / RATE_HZ for index in range(800)]
    readings = Readings(t_s, [5 * t + noise.gauss(0, 0.5) for t in t_s])
    curve = readings.fitted(Columns(200, t_s[0], t_s[-1]), 0.8)
    errors = [abs(g - 5 * t) for t, g in zip(curve.t_s, curve.mass_g, strict=True) if g is not None]
    assert len(errors) == 200
    assert sorted(errors)[100] < 0.1


def test_nothing_shows_nothing() -> None:
    assert Readings([], []).span_s is None
    assert Readings([], []).thinned(Columns(9, 0.0, 1.0)).t_s == ()


@pytest.mark.parametrize(("count", "until_s"), [(0, 1.0), (5, 0.0), (5, float("nan"))])
def test_columns_that_show_nothing_are_refused(count: int, until_s: float) -> None:
    with pytest.raises(ValueError, match="give at least one, and an end after the beginning"):
        Columns(count, 0.0, until_s)
