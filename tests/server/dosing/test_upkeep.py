"""What a channel needs after a flush, and what is refused until then."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tarewell.dosing.plan import Agent, DosePlan, PlanError, PourPlan, Purpose
from tarewell.dosing.upkeep import RINSE_LEAST_G, Need, Upkeep, check_needs, need_after


def _did(
    purpose: Purpose,
    agent: Agent | None = None,
    mass_g: float = 150.0,
    complete: bool = True,
    ran: bool = True,
) -> Upkeep:
    return Upkeep(1, purpose, agent, ran, complete, mass_g)


CLEANER = _did(Purpose.FLUSH, Agent.CLEANER)
WATER = _did(Purpose.FLUSH, Agent.WATER)
PURGE = _did(Purpose.PURGE, mass_g=20.0)
PRIME = _did(Purpose.PRIME, mass_g=10.0)


@pytest.mark.parametrize(
    ("steps", "need"),
    [
        ([], Need.NONE),
        ([PRIME], Need.NONE),
        ([PURGE], Need.NONE),
        ([CLEANER], Need.RINSE),
        ([CLEANER, PRIME], Need.RINSE),
        ([CLEANER, PURGE, PRIME], Need.RINSE),
        ([CLEANER, WATER], Need.PURGE),
        ([CLEANER, WATER, PRIME], Need.PURGE),
        ([CLEANER, WATER, PURGE], Need.PRIME),
        ([CLEANER, WATER, PURGE, PRIME], Need.NONE),
        ([CLEANER, PURGE, WATER, PURGE, PRIME], Need.NONE),
        ([CLEANER, WATER, CLEANER, PURGE, PRIME], Need.RINSE),
        ([WATER, PURGE, PRIME], Need.NONE),
        ([CLEANER, _did(Purpose.FLUSH, Agent.WATER, RINSE_LEAST_G - 1)], Need.RINSE),
        ([CLEANER, _did(Purpose.FLUSH, Agent.WATER, complete=False)], Need.RINSE),
        ([_did(Purpose.FLUSH, Agent.CLEANER, 1.0, complete=False)], Need.RINSE),
        ([_did(Purpose.FLUSH, Agent.WATER, 1.0, complete=False)], Need.PURGE),
        ([CLEANER, WATER, PURGE, _did(Purpose.PRIME, complete=False)], Need.PRIME),
        ([CLEANER, WATER, _did(Purpose.PURGE, complete=False)], Need.PURGE),
        ([_did(Purpose.FLUSH, Agent.CLEANER, 0.0, complete=False, ran=False)], Need.NONE),
    ],
)
def test_what_is_needed_next(steps: list[Upkeep], need: Need) -> None:
    found = Need.NONE
    for step in steps:
        found = need_after(found, step)
    assert found is need


@given(st.lists(st.sampled_from([CLEANER, WATER, PURGE, PRIME])))
def test_after_a_cleaner_no_drink_comes_without_water_and_prime(steps: list[Upkeep]) -> None:
    need = Need.NONE
    for step in [CLEANER, *steps]:
        need = need_after(need, step)
    if need is Need.NONE:
        since = steps[max((i for i, step in enumerate(steps) if step is CLEANER), default=-1) + 1 :]
        assert WATER in since
        assert PRIME in since[since.index(WATER) :]


def _plan(purpose: Purpose, agent: Agent | None = None) -> PourPlan:
    return PourPlan((DosePlan(2, "x", 20.0),), purpose=purpose, agent=agent)


@pytest.mark.parametrize("need", [Need.RINSE, Need.PURGE, Need.PRIME])
def test_a_drink_is_refused_with_the_next_step(need: Need) -> None:
    with pytest.raises(
        PlanError, match=f"channel 2 .*{'flush it with water' if need is Need.RINSE else need}"
    ):
        check_needs(_plan(Purpose.DRINK), {2: need})


@pytest.mark.parametrize("need", [Need.RINSE, Need.PURGE])
def test_a_prime_over_a_cleaner_or_water_is_refused(need: Need) -> None:
    with pytest.raises(PlanError, match="purge"):
        check_needs(_plan(Purpose.PRIME), {2: need})


def test_the_next_steps_and_other_channels_are_open() -> None:
    for need in Need:
        check_needs(_plan(Purpose.FLUSH, Agent.WATER), {2: need})
        check_needs(_plan(Purpose.PURGE), {2: need})
        check_needs(_plan(Purpose.DRINK), {1: need})
    check_needs(_plan(Purpose.PRIME), {2: Need.PRIME})
    check_needs(_plan(Purpose.DRINK), {2: Need.NONE})
