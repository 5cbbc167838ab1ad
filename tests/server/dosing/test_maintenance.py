"""What a channel needs after a flush, and what is refused until then."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tarewell.dosing.maintenance import MIN_RINSE_G, ChannelNeed, Maintenance, check_needs, need_after
from tarewell.dosing.plan import Agent, DosePlan, PlanError, PourPlan, Purpose


def _did(
    purpose: Purpose,
    agent: Agent | None = None,
    mass_g: float = 150.0,
    complete: bool = True,
    ran: bool = True,
) -> Maintenance:
    return Maintenance(1, purpose, agent, ran, complete, mass_g)


CLEANER = _did(Purpose.FLUSH, Agent.CLEANER)
WATER = _did(Purpose.FLUSH, Agent.WATER)
PURGE = _did(Purpose.PURGE, mass_g=20.0)
PRIME = _did(Purpose.PRIME, mass_g=10.0)


@pytest.mark.parametrize(
    ("steps", "need"),
    [
        ([], ChannelNeed.NONE),
        ([PRIME], ChannelNeed.NONE),
        ([PURGE], ChannelNeed.NONE),
        ([CLEANER], ChannelNeed.RINSE),
        ([CLEANER, PRIME], ChannelNeed.RINSE),
        ([CLEANER, PURGE, PRIME], ChannelNeed.RINSE),
        ([CLEANER, WATER], ChannelNeed.PURGE),
        ([CLEANER, WATER, PRIME], ChannelNeed.PURGE),
        ([CLEANER, WATER, PURGE], ChannelNeed.PRIME),
        ([CLEANER, WATER, PURGE, PRIME], ChannelNeed.NONE),
        ([CLEANER, PURGE, WATER, PURGE, PRIME], ChannelNeed.NONE),
        ([CLEANER, WATER, CLEANER, PURGE, PRIME], ChannelNeed.RINSE),
        ([WATER, PURGE, PRIME], ChannelNeed.NONE),
        ([CLEANER, _did(Purpose.FLUSH, Agent.WATER, MIN_RINSE_G - 1)], ChannelNeed.RINSE),
        ([CLEANER, _did(Purpose.FLUSH, Agent.WATER, complete=False)], ChannelNeed.RINSE),
        ([_did(Purpose.FLUSH, Agent.CLEANER, 1.0, complete=False)], ChannelNeed.RINSE),
        ([_did(Purpose.FLUSH, Agent.WATER, 1.0, complete=False)], ChannelNeed.PURGE),
        ([CLEANER, WATER, PURGE, _did(Purpose.PRIME, complete=False)], ChannelNeed.PRIME),
        ([CLEANER, WATER, _did(Purpose.PURGE, complete=False)], ChannelNeed.PURGE),
        ([_did(Purpose.FLUSH, Agent.CLEANER, 0.0, complete=False, ran=False)], ChannelNeed.NONE),
    ],
)
def test_what_is_needed_next(steps: list[Maintenance], need: ChannelNeed) -> None:
    found = ChannelNeed.NONE
    for step in steps:
        found = need_after(found, step)
    assert found is need


@given(st.lists(st.sampled_from([CLEANER, WATER, PURGE, PRIME])))
def test_after_a_cleaner_no_drink_comes_without_water_and_prime(steps: list[Maintenance]) -> None:
    need = ChannelNeed.NONE
    for step in [CLEANER, *steps]:
        need = need_after(need, step)
    if need is ChannelNeed.NONE:
        since = steps[max((i for i, step in enumerate(steps) if step is CLEANER), default=-1) + 1 :]
        assert WATER in since
        assert PRIME in since[since.index(WATER) :]


def _plan(purpose: Purpose, agent: Agent | None = None) -> PourPlan:
    return PourPlan((DosePlan(2, "x", 20.0),), purpose=purpose, agent=agent)


@pytest.mark.parametrize("need", [ChannelNeed.RINSE, ChannelNeed.PURGE, ChannelNeed.PRIME])
def test_a_drink_is_refused_with_the_next_step(need: ChannelNeed) -> None:
    with pytest.raises(
        PlanError, match=f"channel 2 .*{'flush it with water' if need is ChannelNeed.RINSE else need}"
    ):
        check_needs(_plan(Purpose.DRINK), {2: need})


@pytest.mark.parametrize("need", [ChannelNeed.RINSE, ChannelNeed.PURGE])
def test_a_prime_over_a_cleaner_or_water_is_refused(need: ChannelNeed) -> None:
    with pytest.raises(PlanError, match="purge"):
        check_needs(_plan(Purpose.PRIME), {2: need})


def test_the_next_steps_and_other_channels_are_open() -> None:
    for need in ChannelNeed:
        check_needs(_plan(Purpose.FLUSH, Agent.WATER), {2: need})
        check_needs(_plan(Purpose.PURGE), {2: need})
        check_needs(_plan(Purpose.DRINK), {1: need})
    check_needs(_plan(Purpose.PRIME), {2: ChannelNeed.PRIME})
    check_needs(_plan(Purpose.DRINK), {2: ChannelNeed.NONE})
