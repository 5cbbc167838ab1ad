from math import pi, sqrt
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tarewell.charts.control_chart import LIMIT_FACTOR, ValueRun, control_chart

FLOW_RATES = (49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1)
"""The worked example of individuals charts in the NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2:
ten batches, centre 50.81, mean moving range 1.8778, limits 45.8159 and 55.8041 with 3 / 1.128 (from memory;
the mean and the range follow from the data)."""


def test_the_worked_example_of_the_nist_handbook() -> None:
    chart = control_chart(FLOW_RATES)
    assert chart.limits is not None
    assert chart.limits.mean_g == pytest.approx(50.81)
    assert chart.limits.lower_g == pytest.approx(45.8159, abs=0.002)
    assert chart.limits.upper_g == pytest.approx(55.8041, abs=0.002)
    assert chart.beyond == ()
    assert chart.runs == ()


def test_the_factor_is_three_over_the_mean_range_of_two() -> None:
    """d2 of two normal values is 2 / sqrt(pi), 1.128 in tables of control charts (ISO 7870-2; NIST
    e-Handbook 6.3.2.1; both from memory); it is measured here too."""
    d2 = 2 / sqrt(pi)
    assert d2 == pytest.approx(1.128, abs=0.0005)
    assert pytest.approx(3 / d2, abs=0.005) == LIMIT_FACTOR
    noise = Random(20)
    ranges = [abs(noise.gauss(0, 1) - noise.gauss(0, 1)) for _ in range(100_000)]
    assert sum(ranges) / len(ranges) == pytest.approx(d2, rel=0.01)


def test_about_three_in_a_thousand_of_a_steady_process_lie_beyond() -> None:
    """0.27 % of a normal distribution lies beyond three standard deviations (any table of it)."""
    noise = Random(7)
    chart = control_chart([noise.gauss(0.4, 0.25) for _ in range(20_000)])
    assert len(chart.beyond) / 20_000 == pytest.approx(0.0027, abs=0.0012)


def test_seven_values_have_no_limits_and_eight_have() -> None:
    assert control_chart([0.1, 0.2] * 3 + [0.1]).limits is None
    assert control_chart([0.1, 0.2] * 4).limits is not None
    assert control_chart([]).limits is None


def test_a_value_far_out_is_named() -> None:
    chart = control_chart([0.1, 0.2, 0.0, 0.1, 0.2, 0.1, 0.0, 0.1, 0.2, 0.1, 0.0, 0.1, 0.1, 3.0, 0.1, 0.2])
    assert chart.beyond == (13,)


def test_eight_in_a_row_on_one_side_are_a_run_and_seven_are_not() -> None:
    low, high = [-1.0, -0.8] * 4, [1.0, 0.8] * 4
    assert control_chart([*low, *high]).runs == (ValueRun(0, 7, above=False), ValueRun(8, 15, above=True))
    assert control_chart([*low[:7], *high[:7]]).runs == ()


def test_a_value_at_the_mean_ends_a_run() -> None:
    side = [1.0] * 5
    chart = control_chart([*side, 0.0, *side, *[-1.0] * 10])
    assert chart.runs == (ValueRun(11, 20, above=False),)


@given(st.lists(st.floats(-50, 50), min_size=8, max_size=60), st.floats(-20, 20))
def test_shifted_values_have_shifted_limits(values: list[float], by: float) -> None:
    before, after = control_chart(values).limits, control_chart([value + by for value in values]).limits
    assert before is not None
    assert after is not None
    assert after.mean_g == pytest.approx(before.mean_g + by, abs=1e-9)
    assert after.upper_g - after.lower_g == pytest.approx(before.upper_g - before.lower_g, abs=1e-9)
    assert before.lower_g <= before.mean_g <= before.upper_g
