"""The undoing of a swap: contents as before, by counter-entries."""

from dataclasses import replace

import pytest

from records_samples import BOTTLE, COMPLETE, LIQUIDS, Clock, dose_ended, new_pour
from tarewell.menu.values import Movement
from tarewell.records.errors import ChangedMeanwhileError, InUseError, UnknownRecordError
from tarewell.records.store import Store

WATER, BITTER = LIQUIDS
ANOTHER = replace(BOTTLE, id="water-2")


@pytest.fixture
async def swapped(store: Store, clock: Clock) -> Store:
    """A channel of water, whose bottle counted as empty and was swapped for another."""
    await store.channels.assign(1, WATER.id, "left")
    await store.bottles.put(BOTTLE)
    await store.bottles.put(ANOTHER)
    await store.bottles.mount(BOTTLE.id, 1)
    await store.bottles.correct(BOTTLE.id, 123.25)
    clock.advance(60)
    await store.bottles.swap(1, ANOTHER.id, emptied=True)
    return store


async def test_an_undone_swap_leaves_every_entry_and_adds_its_counter_entry(
    swapped: Store, clock: Clock
) -> None:
    assert (await swapped.bottles.get(BOTTLE.id)).content_g == 0
    ledger = await swapped.bottles.movements(BOTTLE.id)
    clock.advance(15)
    back = await swapped.bottles.undo_swap(1)
    assert back is not None
    assert (back.id, back.channel, back.content_g) == (BOTTLE.id, 1, 123.25)
    newest, *rest = await swapped.bottles.movements(BOTTLE.id)
    assert (newest.kind, newest.change_g, rest) == (Movement.CORRECTION, 123.25, ledger)
    other = await swapped.bottles.get(ANOTHER.id)
    assert (other.channel, other.content_g) == (None, ANOTHER.content_g)
    assert (await swapped.journal.verify()).intact


async def test_a_swap_is_undone_once(swapped: Store) -> None:
    await swapped.bottles.undo_swap(1)
    with pytest.raises(UnknownRecordError, match="no swap on channel 1 to undo"):
        await swapped.bottles.undo_swap(1)


async def poured(store: Store, clock: Clock) -> None:
    record = await store.pours.begin(new_pour())
    clock.advance(5)
    await store.pours.finish(record.id, COMPLETE, [dose_ended(0, 30.0)], 250.0)


async def test_it_can_be_undone_until_the_next_pour(swapped: Store, clock: Clock) -> None:
    clock.advance(600)
    await swapped.bottles.undo_swap(1)
    await swapped.bottles.swap(1, ANOTHER.id, emptied=True)
    clock.advance(1)
    await poured(swapped, clock)
    clock.advance(15)
    with pytest.raises(InUseError, match="a pour from the channel has begun since"):
        await swapped.bottles.undo_swap(1)
    assert (await swapped.bottles.get(ANOTHER.id)).channel == 1


async def test_within_20_s_what_was_poured_meanwhile_stays_drawn_from_the_bottle_that_gave_it(
    swapped: Store, clock: Clock
) -> None:
    clock.advance(1)
    await poured(swapped, clock)
    await swapped.bottles.undo_swap(1)
    assert (await swapped.bottles.get(ANOTHER.id)).content_g == pytest.approx(ANOTHER.content_g - 30.0)
    assert (await swapped.bottles.get(BOTTLE.id)).content_g == 123.25


async def test_a_bottle_that_was_weighed_since_keeps_what_it_weighed(swapped: Store) -> None:
    await swapped.bottles.correct(BOTTLE.id, 80.0)
    with pytest.raises(InUseError, match="weighed or discarded since"):
        await swapped.bottles.undo_swap(1)
    assert (await swapped.bottles.get(BOTTLE.id)).content_g == 80.0


async def test_a_new_bottle_is_added_and_mounted_at_once_or_not_at_all(store: Store) -> None:
    await store.channels.assign(1, BITTER.id, "left")
    mounted = await store.bottles.swap(1, BOTTLE.id, new=BOTTLE)
    assert (mounted.channel, mounted.content_g) == (1, BOTTLE.content_g)
    with pytest.raises(ChangedMeanwhileError):
        await store.bottles.swap(1, BOTTLE.id, new=BOTTLE)
    assert await store.bottles.undo_swap(1) is None
    assert (await store.bottles.get(BOTTLE.id)).channel is None
    assert (await store.channels.get(1)).liquid_id == BITTER.id
