"""The rule by which the doses to come follow one that missed."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tarewell.dosing.plan import SMALLEST_DOSE_G
from tarewell.dosing.proportions import MAX_RESCALE, Limit, is_followed, rescale

PLENTY_G = 10_000.0

masses = st.floats(SMALLEST_DOSE_G, 300.0)
plans = st.lists(masses, min_size=2, max_size=12)
misses = st.floats(0.3, 2.0)


@st.composite
def under_way(draw: st.DrawFn) -> tuple[list[float], list[float]]:
    """A plan, and what its first doses delivered; at least one is to come."""
    planned_g = draw(plans)
    done = draw(st.integers(1, len(planned_g) - 1))
    return planned_g, [mass_g * draw(misses) for mass_g in planned_g[:done]]


@st.composite
def unhindered(draw: st.DrawFn) -> tuple[list[float], list[float]]:
    """The same with misses that nothing keeps the doses to come, two at least, from following."""
    planned_g = draw(st.lists(st.floats(MAX_RESCALE * SMALLEST_DOSE_G, 300.0), min_size=3, max_size=12))
    done = draw(st.integers(1, len(planned_g) - 2))
    within = st.floats(1.001 / MAX_RESCALE, 0.999 * MAX_RESCALE)
    return planned_g, [mass_g * draw(within) for mass_g in planned_g[:done]]


def test_one_dose_that_ran_over_makes_the_others_follow() -> None:
    found = rescale([40.0, 80.0, 20.0], [44.0], PLENTY_G)
    assert found.targets_g == pytest.approx((88.0, 22.0))
    assert found.limit is None


def test_a_small_dose_that_missed_moves_the_drink_by_its_share_only() -> None:
    found = rescale([100.0, 5.0, 45.0], [100.0, 6.0], PLENTY_G)
    assert found.targets_g == pytest.approx((45.0 * 106 / 105,))


def test_a_drink_does_not_grow_with_a_dash() -> None:
    assert not is_followed([4.0, 20.0, 60.0], 1)
    assert is_followed([4.0, 20.0, 60.0], 2)
    assert is_followed([20.0, 60.0], 1)
    assert not is_followed([20.0, 60.0], 2), "nothing is left to follow"


@given(unhindered())
def test_with_nothing_in_the_way_each_dose_to_come_keeps_its_share_of_the_drink(
    case: tuple[list[float], list[float]],
) -> None:
    planned_g, delivered_g = case
    found = rescale(planned_g, delivered_g, PLENTY_G)
    assert found.limit is None
    whole_g = sum(delivered_g) + sum(found.targets_g)
    for target_g, plan_g in zip(found.targets_g, planned_g[len(delivered_g) :], strict=True):
        assert target_g / whole_g == pytest.approx(plan_g / sum(planned_g))


@given(unhindered())
def test_doses_that_then_meet_their_targets_change_nothing_any_more(
    case: tuple[list[float], list[float]],
) -> None:
    planned_g, delivered_g = case
    found = rescale(planned_g, delivered_g, PLENTY_G)
    again = rescale(planned_g, [*delivered_g, found.targets_g[0]], PLENTY_G)
    assert again.targets_g == pytest.approx(found.targets_g[1:])


@given(under_way(), st.floats(-50.0, 3000.0))
def test_bounds_and_the_smallest_dose_hold_whatever_happened(
    case: tuple[list[float], list[float]], room_g: float
) -> None:
    planned_g, delivered_g = case
    found = rescale(planned_g, delivered_g, room_g)
    for target_g, plan_g in zip(found.targets_g, planned_g[len(delivered_g) :], strict=True):
        assert target_g >= SMALLEST_DOSE_G
        assert target_g <= plan_g * MAX_RESCALE + 1e-9
        assert target_g >= plan_g / MAX_RESCALE - 1e-9


@given(under_way(), st.floats(0.0, 3000.0))
def test_nothing_grows_beyond_the_room(case: tuple[list[float], list[float]], room_g: float) -> None:
    planned_g, delivered_g = case
    to_come_g = sum(planned_g[len(delivered_g) :])
    assume(to_come_g <= room_g)
    assert sum(rescale(planned_g, delivered_g, room_g).targets_g) <= room_g + 1e-9


@pytest.mark.parametrize(
    ("planned_g", "delivered_g", "room_g", "limit"),
    [
        ([40.0, 80.0], [60.0], PLENTY_G, Limit.BOUND),
        ([40.0, 80.0], [10.0], PLENTY_G, Limit.BOUND),
        ([40.0, 80.0], [44.0], 80.0, Limit.ROOM),
        ([40.0, 80.0], [44.0], 10.0, Limit.ROOM),
        ([40.0, 80.0, 2.1], [36.0], PLENTY_G, Limit.SMALLEST_DOSE),
    ],
)
def test_what_stands_in_the_way_is_told(
    planned_g: list[float], delivered_g: list[float], room_g: float, limit: Limit
) -> None:
    assert rescale(planned_g, delivered_g, room_g).limit is limit


def test_as_far_as_the_room_goes() -> None:
    found = rescale([40.0, 80.0, 20.0], [46.0], 105.0)
    assert sum(found.targets_g) == pytest.approx(105.0)
    assert found.targets_g[0] / found.targets_g[1] == pytest.approx(4.0)
