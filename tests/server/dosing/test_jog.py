"""Jogs against pumps of known dead time and flow."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tarewell.dosing.jog import MAX_GROWTH, MAX_JOG_S, MIN_JOG_S, JogModel


def _given_g(ran_s: float, dead_s: float, flow_g_per_s: float) -> float:
    return max(0.0, ran_s - dead_s) * flow_g_per_s


@given(
    first_s=st.floats(0.03, 0.3),
    dead_s=st.floats(0.0, 0.3),
    flow_g_per_s=st.floats(1.0, 25.0),
    missing_g=st.floats(0.3, 20.0),
    known=st.booleans(),
)
def test_a_second_jog_is_bounded_and_never_runs_over(
    first_s: float, dead_s: float, flow_g_per_s: float, missing_g: float, known: bool
) -> None:
    model = JogModel()
    model.learn(first_s, _given_g(first_s, dead_s, flow_g_per_s))
    second_s = model.next_s(missing_g, flow_g_per_s if known else 0.0)
    assert MIN_JOG_S <= second_s <= min(MAX_JOG_S, MAX_GROWTH * first_s)
    shortest_g = _given_g(MIN_JOG_S, dead_s, flow_g_per_s)
    assert _given_g(second_s, dead_s, flow_g_per_s) <= max(missing_g, shortest_g) + 1e-9


def test_with_a_known_flow_one_jog_tells_the_dead_time() -> None:
    model = JogModel()
    model.learn(0.2, 0.8)  # 8 g/s after 0.1 s of nothing
    assert _given_g(model.next_s(2.0, 8.0), 0.1, 8.0) == pytest.approx(0.85 * 2.0)


def test_two_jogs_tell_a_flow_that_nobody_knew() -> None:
    model = JogModel()
    model.learn(0.11, 0.08)
    assert model.flow_g_per_s == 0.0  # mostly dead time
    model.learn(0.25, 1.2)
    assert model.flow_g_per_s == pytest.approx(8.0)
