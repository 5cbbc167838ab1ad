from dataclasses import replace
from math import fsum

import pytest
from hypothesis import given
from hypothesis import strategies as st

from menu_samples import WATER, bottle
from tarewell.menu.errors import MenuError
from tarewell.menu.ledger import Level, Moved, content_g, correction, drawn, level_of
from tarewell.menu.values import Movement

movements = st.lists(st.builds(Moved, st.sampled_from(Movement), st.floats(-1000, 1000)))


@given(movements)
def test_a_bottle_holds_the_sum_of_its_movements(moved: list[Moved]) -> None:
    assert content_g(moved) == fsum(movement.change_g for movement in moved)


@given(movements, st.floats(0, 700), st.floats(1, 600))
def test_after_a_weighing_the_ledger_says_what_the_scale_said(
    moved: list[Moved], net_g: float, tare_g: float
) -> None:
    weighed = bottle(WATER, content_g(moved), tare_g=tare_g)
    movement = correction(weighed, tare_g + net_g)
    assert movement.kind is Movement.CORRECTION
    assert content_g([*moved, movement]) == pytest.approx(net_g, abs=1e-9)


def test_a_pour_draws_what_was_delivered() -> None:
    moved = [Moved(Movement.OPENING, 700.0), drawn(Movement.POUR, 42.5), drawn(Movement.PRIME, 8.0)]
    assert content_g(moved) == 649.5


def test_a_scale_a_little_below_zero_gives_nothing_back() -> None:
    assert drawn(Movement.POUR, -0.04).change_g == 0


@pytest.mark.parametrize("delivered_g", [float("nan"), float("inf")])
def test_a_mass_that_is_none(delivered_g: float) -> None:
    with pytest.raises(MenuError, match="a number in g"):
        drawn(Movement.POUR, delivered_g)


def test_more_than_the_label_said_leaves_the_ledger_below_zero() -> None:
    assert content_g([Moved(Movement.OPENING, 700.0), drawn(Movement.POUR, 705.0)]) == -5


@pytest.mark.parametrize(
    ("left_g", "level"),
    [(700, Level.ENOUGH), (70.1, Level.ENOUGH), (70, Level.LOW), (2, Level.LOW), (1.9, Level.EMPTY),
     (0, Level.EMPTY), (-5, Level.EMPTY)],
)  # fmt: skip
def test_levels(left_g: float, level: Level) -> None:
    assert level_of(bottle(WATER, left_g)) is level


def test_a_bottle_weighed_empty_within_what_the_scale_shows() -> None:
    assert correction(bottle(WATER, 30.0, tare_g=500.0), 499.5).change_g == -30


@pytest.mark.parametrize("gross_g", [300.0, 1300.0, float("nan")])
def test_weighings_of_something_else(gross_g: float) -> None:
    with pytest.raises(MenuError, match=r"from 500 g empty to 1200 g full, got .*; weigh it alone"):
        correction(bottle(WATER, 30.0, tare_g=500.0), gross_g)


def test_a_weighing_needs_the_empty_mass() -> None:
    with pytest.raises(MenuError, match=r"empty mass of bottle water-1 .*; set tare_g"):
        correction(replace(bottle(WATER, 30.0), tare_g=None), 600.0)
