"""The eccentricity test against the errors that OIML R 76-1 permits."""

import pytest

from tarewell.weighing.corners import CornerCheck


@pytest.mark.parametrize(
    ("reference_g", "initial_e"), [(50.0, 0.5), (50.1, 1.0), (200.0, 1.0), (200.1, 1.5), (1000.0, 1.5)]
)
def test_the_limit_is_twice_the_error_permitted_at_first(reference_g: float, initial_e: float) -> None:
    """Class III, e = 0.1 g (OIML R 76-1, Table 6 and 3.5.2, from memory)."""
    assert CornerCheck(reference_g, (reference_g,) * 4, 0.1).limit_e == 2 * initial_e


@pytest.mark.parametrize(
    ("readings_g", "within"),
    [((500.34, 499.66, 500.0, 500.1), True), ((500.0, 500.0, 499.6, 500.0), False), ((500.4,) * 4, False)],
)
def test_one_corner_too_far_off_is_enough(readings_g: tuple[float, ...], within: bool) -> None:
    assert CornerCheck(500.0, readings_g, 0.1).within is within
