import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tarewell.quantities.roots import root


@given(st.floats(0.01, 7.9))
def test_finds_where_the_function_crosses_zero(cube: float) -> None:
    assert root(lambda x: x**3 - cube, 0.0, 2.0) == pytest.approx(math.cbrt(cube), abs=1e-11)


@given(st.floats(0.001, 0.999))
def test_finds_it_in_a_falling_and_bent_function(value: float) -> None:
    assert root(lambda x: value - math.exp(-5 * x), 0.0, 10.0) == pytest.approx(
        -math.log(value) / 5, abs=1e-11
    )


def test_a_bound_may_be_the_root() -> None:
    assert root(lambda x: x, 0.0, 1.0) == 0.0
    assert root(lambda x: x - 1, 0.0, 1.0) == 1.0


def test_no_change_of_sign() -> None:
    with pytest.raises(ValueError, match="change of sign"):
        root(lambda x: x + 1, 0.0, 1.0)
