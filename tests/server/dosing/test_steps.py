"""How much of a step in the readings came onto the platform or left it."""

import pytest

from tarewell.dosing.steps import StepTest


def test_a_step_down_that_a_flow_can_leave_out_moves_no_mass_until_a_step_up_undoes_it() -> None:
    steps = StepTest()
    assert steps.mass_g(-2.0, 0.0, 8.0) == 0.0
    assert steps.mass_g(1.5, 0.0, 8.0) == 0.0
    assert steps.mass_g(8.5, 0.0, 8.0) == pytest.approx(8.0)
    assert steps.mass_g(3.0, 8.0, 8.0) == 3.0


def test_a_step_down_first_takes_away_what_was_added() -> None:
    steps = StepTest()
    assert steps.mass_g(-3.0, 2.0, 8.0) == pytest.approx(-2.0)
    assert steps.mass_g(1.0, 0.0, 8.0) == 0.0


def test_more_than_a_flow_can_leave_out_was_taken_away_and_so_is_anything_without_a_flow() -> None:
    assert StepTest().mass_g(-8.0, 0.0, 8.0) == -8.0
    assert StepTest().mass_g(-1.5, 0.0, 0.0) == -1.5


def test_another_glass_has_missed_nothing() -> None:
    steps = StepTest()
    steps.mass_g(-2.0, 0.0, 8.0)
    steps.forget()
    assert steps.mass_g(2.0, 0.0, 8.0) == 2.0
