"""What a channel needs after a flush, and what its tube still holds."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tarewell.dosing.maintenance import (
    MIN_RINSE_G,
    NEW_TUBE,
    ChannelNeed,
    PumpRun,
    Remains,
    TubeState,
    need_after,
)
from tarewell.dosing.plan import Agent, Purpose


def _did(
    purpose: Purpose,
    agent: Agent | None = None,
    mass_g: float = 150.0,
    complete: bool = True,
    turned: bool = True,
    liquid_id: str = "house-water",
) -> PumpRun:
    return PumpRun(1, liquid_id, purpose, agent, turned, complete, mass_g)


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
        ([_did(Purpose.FLUSH, Agent.CLEANER, 0.0, complete=False, turned=False)], ChannelNeed.NONE),
    ],
)
def test_what_is_needed_next(steps: list[PumpRun], need: ChannelNeed) -> None:
    found = ChannelNeed.NONE
    for step in steps:
        found = need_after(found, step)
    assert found is need


def test_a_new_tube_is_rinsed_before_anything_else_counts() -> None:
    tube = NEW_TUBE
    for step in (PRIME, PURGE, _did(Purpose.FLUSH, Agent.WATER, MIN_RINSE_G - 1)):
        assert need_after(tube.need, step) is ChannelNeed.NEW_TUBE
    for step in (WATER, PURGE, PRIME):
        tube = tube.after(step)
    assert tube == TubeState().filled(PRIME.liquid_id)


@given(st.lists(st.sampled_from([CLEANER, WATER, PURGE, PRIME])))
def test_after_a_cleaner_no_drink_comes_without_water_and_prime(steps: list[PumpRun]) -> None:
    need = ChannelNeed.NONE
    for step in [CLEANER, *steps]:
        need = need_after(need, step)
    if need is ChannelNeed.NONE:
        since = steps[max((i for i, step in enumerate(steps) if step is CLEANER), default=-1) + 1 :]
        assert WATER in since
        assert PRIME in since[since.index(WATER) :]


SYRUP = TubeState().filled("dress-circle-syrup")
FILLED, TRACES = {"dress-circle-syrup": Remains.FILLED}, {"dress-circle-syrup": Remains.TRACES}
CLEANED = {"dress-circle-syrup": Remains.CLEANED}
WATER_TOO = {"house-water": Remains.FILLED}


@pytest.mark.parametrize(
    ("steps", "holds"),
    [
        ([], FILLED),
        ([PURGE], FILLED),
        ([PURGE, PRIME], FILLED | WATER_TOO),
        ([_did(Purpose.DRINK)], FILLED | WATER_TOO),
        ([WATER], TRACES),
        ([WATER, PURGE, WATER, PURGE], TRACES),
        ([WATER, PURGE, PRIME], TRACES | WATER_TOO),
        ([WATER, _did(Purpose.PRIME, liquid_id="dress-circle-syrup")], FILLED),
        ([CLEANER], CLEANED),
        ([WATER, CLEANER, WATER], CLEANED),
        ([CLEANER, WATER, PURGE, PRIME], CLEANED | WATER_TOO),
        ([_did(Purpose.FLUSH, Agent.WATER, MIN_RINSE_G - 1)], FILLED),
        ([_did(Purpose.FLUSH, Agent.WATER, MIN_RINSE_G)], TRACES),
        ([_did(Purpose.FLUSH, Agent.WATER, complete=False)], FILLED),
        ([_did(Purpose.FLUSH, Agent.CLEANER, MIN_RINSE_G - 1)], FILLED),
        ([_did(Purpose.FLUSH, Agent.CLEANER, complete=False)], FILLED),
        ([_did(Purpose.FLUSH, Agent.CLEANER, turned=False)], FILLED),
        ([_did(Purpose.PRIME, turned=False)], FILLED),
        ([_did(Purpose.PRIME, complete=False)], FILLED | WATER_TOO),
    ],
)
def test_what_a_tube_that_held_syrup_holds(steps: list[PumpRun], holds: dict[str, Remains]) -> None:
    tube = SYRUP
    for step in steps:
        tube = tube.after(step)
    assert tube.holds == holds


@given(st.lists(st.sampled_from([CLEANER, WATER, PURGE, PRIME, _did(Purpose.DRINK)])))
def test_only_a_cleaner_takes_traces_away(steps: list[PumpRun]) -> None:
    tube = SYRUP
    for step in steps:
        tube = tube.after(step)
    assert (tube.holds["dress-circle-syrup"] is Remains.CLEANED) == (CLEANER in steps)
