"""The history by pages, compared with all records filtered in Python."""

from datetime import datetime, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from records_samples import COMPLETE, LIQUIDS, Clock, new_pour
from tarewell.dosing.events import PourEnded
from tarewell.machine.pour_record import PourRecord
from tarewell.records.store import Store
from tarewell.records.values import MAX_PAGE, PourQuery

COUNT = 19
STATES = ["complete", "stopped", "aborted", "interrupted", "open"]
START = Clock().at


@pytest.fixture
async def evening(store: Store, clock: Clock) -> Store:
    """An evening of pours a minute apart, in every state and from four channels."""
    for number in (1, 2, 3):
        await store.channels.assign(number, LIQUIDS[0].id, "")
    await store.channels.assign(4, LIQUIDS[1].id, "")
    for number in range(COUNT):
        if number == 15:
            clock.advance(-400)  # somebody set the clock
        if number == 4:
            await store.pours.close_interrupted()
        pour = await store.pours.begin(new_pour(channels=(1 + number % 3, 4)[: 1 + number % 2]))
        if number >= 4 and number % 4:
            state = ("complete", "stopped", "aborted")[number % 3]
            await store.pours.finish(pour.id, PourEnded(state, "stop", 1.0), [], None)
        clock.advance(60)
    return store


async def everything(store: Store) -> list[PourRecord]:
    """All pours, newest first."""
    return list((await store.pours.list(PourQuery(limit=MAX_PAGE))).pours)


times = st.none() | st.integers(-1, COUNT + 1).map(lambda minute: START + timedelta(minutes=minute))


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    since=times,
    until=times,
    state=st.none() | st.sampled_from(STATES),
    channel=st.none() | st.integers(1, 5),
    limit=st.integers(1, COUNT + 1),
)
async def test_pages_hold_what_fits_once_and_in_order(
    evening: Store,
    since: datetime | None,
    until: datetime | None,
    state: str | None,
    channel: int | None,
    limit: int,
) -> None:
    expected = [
        pour
        for pour in await everything(evening)
        if (since is None or pour.created_at >= since)
        and (until is None or pour.created_at < until)
        and (state is None or pour.state == state)
        and (channel is None or channel in {dose.channel for dose in pour.doses})
    ]
    downward: list[PourRecord] = []
    before, pages = None, []
    while True:
        page = await evening.pours.list(PourQuery(since, until, state, channel, limit, before=before))
        downward += page.pours
        pages.append(page)
        assert (page.newer is None) == (before is None)
        if (before := page.older) is None:
            break
        assert len(page.pours) == limit
    assert downward == expected

    upward: list[PourRecord] = []
    after = pages[-1].newer
    upward = list(pages[-1].pours)
    while after is not None:
        page = await evening.pours.list(PourQuery(since, until, state, channel, limit, after=after))
        upward = [*page.pours, *upward]
        after = page.newer
    assert upward == expected


async def test_the_evening_has_every_state(evening: Store) -> None:
    pours = await everything(evening)
    assert len(pours) == COUNT
    assert {pour.state for pour in pours} == set(STATES)
    assert [pour.id for pour in pours] == sorted((pour.id for pour in pours), reverse=True)


async def test_pours_that_come_in_meanwhile_shift_nothing(evening: Store) -> None:
    before = await everything(evening)
    first = await evening.pours.list(PourQuery(limit=7))
    late = await evening.pours.begin(new_pour(channels=(1, 4)))
    second = await evening.pours.list(PourQuery(limit=7, before=first.older))
    third = await evening.pours.list(PourQuery(limit=7, before=second.older))
    assert [*first.pours, *second.pours, *third.pours] == before
    newer = await evening.pours.list(PourQuery(after=first.pours[0].id))
    assert (newer.pours, newer.newer) == ((late,), None)
    assert (await evening.pours.list(PourQuery(after=late.id))).pours == ()


async def test_an_outcome_that_comes_between_moves_the_pour_to_its_state(evening: Store) -> None:
    (pour, *_) = (await evening.pours.list(PourQuery(state="open"))).pours
    done = await evening.pours.finish(pour.id, COMPLETE, [], None)
    assert pour.id not in {other.id for other in (await evening.pours.list(PourQuery(state="open"))).pours}
    assert done in (await evening.pours.list(PourQuery(state="complete"))).pours


@pytest.mark.parametrize("limit", [0, -1, MAX_PAGE + 1])
def test_a_page_of_no_size_is_refused(limit: int) -> None:
    with pytest.raises(ValueError, match=f"1 to {MAX_PAGE}"):
        PourQuery(limit=limit)


def test_a_page_lies_on_one_side_only() -> None:
    with pytest.raises(ValueError, match="one cursor"):
        PourQuery(before="a", after="b")
