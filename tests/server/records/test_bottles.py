"""Bottles on shelf and channels: one to a channel, their content the sum of what moved."""

import asyncio
import sqlite3
from contextlib import closing
from dataclasses import replace
from math import fsum, nan
from pathlib import Path
from random import Random

import pytest

from records_samples import BOTTLE, LIQUIDS, Clock, dose_ended, new_pour, set_up
from tarewell.dosing.events import PourEnded
from tarewell.menu.errors import MenuError
from tarewell.menu.values import Bottle, Movement
from tarewell.records.errors import (
    ChangedMeanwhileError,
    ChannelTakenError,
    FaultyError,
    InUseError,
    RetiredLiquidError,
    StoreError,
    UnknownRecordError,
)
from tarewell.records.store import Store
from tarewell.records.values import Channel, StockMovement

WATER, BITTER = LIQUIDS
OTHER = replace(BOTTLE, id="bitter-1", liquid_id=BITTER.id)


async def test_a_new_bottle_opens_its_ledger(store: Store, clock: Clock) -> None:
    before = await store.journal.last_seq()
    assert await store.bottles.put(BOTTLE) == BOTTLE == await store.bottles.get(BOTTLE.id)
    (line,) = await store.bottles.movements(BOTTLE.id)
    assert line == StockMovement(1, BOTTLE.id, clock.at, Movement.OPENING, 700.0, None, None)
    assert [event.kind for event in await store.journal.since(before)] == ["bottle_put", "stock_moved"]
    assert (await store.journal.verify()).intact


async def test_mounting_opens_a_bottle_and_gives_its_liquid_to_the_channel(
    store: Store, clock: Clock
) -> None:
    await store.channels.assign(2, BITTER.id, "left")
    await store.bottles.put(BOTTLE)
    clock.advance(60)
    mounted = await store.bottles.mount(BOTTLE.id, 2)
    assert mounted == replace(BOTTLE, channel=2, opened_at="2026-11-25T19:31:00.000000Z")
    assert await store.channels.get(2) == Channel(2, WATER.id, "left")
    clock.advance(60)
    before = await store.journal.last_seq()
    assert await store.bottles.mount(BOTTLE.id, 2) == mounted
    assert await store.journal.last_seq() == before
    assert await store.bottles.unmount(BOTTLE.id) == replace(mounted, channel=None)
    assert (await store.channels.get(2)).liquid_id == WATER.id
    assert (await store.bottles.mount(BOTTLE.id, 2)).opened_at == mounted.opened_at


async def test_a_channel_takes_one_bottle(store: Store, path: Path) -> None:
    await set_up(store, 1)
    for attempt in (
        store.bottles.put(replace(BOTTLE, channel=1)),
        store.bottles.put(replace(OTHER, channel=1)),
    ):
        with pytest.raises(ChannelTakenError, match=r"on-1 is mounted on channel 1; swap it"):
            await attempt
    await store.bottles.put(BOTTLE)
    with pytest.raises(ChannelTakenError, match="on-1"):
        await store.bottles.mount(BOTTLE.id, 1)
    assert (await store.bottles.get(BOTTLE.id)).channel is None
    with closing(sqlite3.connect(path)) as connection, pytest.raises(sqlite3.IntegrityError):
        connection.execute("UPDATE bottle SET channel = 1")


async def test_a_swap_is_one_call(store: Store) -> None:
    await set_up(store, 1)
    await store.bottles.put(OTHER)
    before = await store.journal.last_seq()
    assert (await store.bottles.swap(1, OTHER.id)).channel == 1
    assert (await store.bottles.get("on-1")).channel is None
    assert (await store.channels.get(1)).liquid_id == BITTER.id
    kinds = [event.kind for event in await store.journal.since(before)]
    assert kinds == ["bottle_unmounted", "channel_assigned", "bottle_mounted", "bottle_swapped"]
    assert (await store.bottles.swap(1, OTHER.id)).channel == 1
    with pytest.raises(UnknownRecordError, match="channel 7"):
        await store.bottles.swap(7, "on-1")
    with pytest.raises(UnknownRecordError, match="greasepaint"):
        await store.bottles.swap(1, "greasepaint")
    assert (await store.bottles.get(OTHER.id)).channel == 1


async def test_a_bottle_moves_from_channel_to_channel(store: Store) -> None:
    await set_up(store, 1)
    await store.channels.assign(2, None, "right")
    assert (await store.bottles.mount("on-1", 2)).channel == 2
    assert (await store.bottles.put(replace(BOTTLE, channel=1))).channel == 1


async def test_a_channel_keeps_the_liquid_of_its_bottle(store: Store) -> None:
    await set_up(store, 1)
    for liquid_id in (BITTER.id, None):
        with pytest.raises(ChannelTakenError, match=r"on-1 with elderflower.*unmount it first"):
            await store.channels.assign(1, liquid_id, "place 1")
    await store.channels.assign(1, WATER.id, "near the door")
    await store.bottles.unmount("on-1")
    await store.channels.assign(1, BITTER.id, "near the door")


async def test_a_channel_that_somebody_else_changed_is_not_overwritten(bare: Store) -> None:
    seen = await bare.channels.assign(1, WATER.id, "left", expected=None)
    now = await bare.channels.assign(1, WATER.id, "middle", expected=seen)
    for expected in (seen, None):
        with pytest.raises(ChangedMeanwhileError, match="channel 1"):
            await bare.channels.assign(1, None, "right", expected=expected)
    assert await bare.channels.get(1) == now
    with pytest.raises(UnknownRecordError, match="channel 2"):
        await bare.channels.get(2)


async def test_changing_a_bottle_leaves_its_content_to_the_ledger(store: Store) -> None:
    await set_up(store, 1)
    seen = await store.bottles.get("on-1")
    pour = await store.pours.begin(new_pour(channels=(1,)))
    await store.pours.finish(pour.id, PourEnded("complete", "target", 40.0), [dose_ended(0, 40.0)], 251.3)
    changed = await store.bottles.put(replace(seen, low_g=100.0, opened_at=None), expected=seen)
    assert changed == replace(seen, low_g=100.0, content_g=660.0)
    with pytest.raises(ChangedMeanwhileError, match="on-1"):
        await store.bottles.put(replace(seen, low_g=50.0), expected=seen)
    with pytest.raises(ChangedMeanwhileError, match="on-1"):
        await store.bottles.put(seen, expected=None)
    assert await store.bottles.get("on-1") == changed


async def test_a_bottle_with_something_in_it_keeps_its_liquid(store: Store) -> None:
    await set_up(store, 1)
    bottle = await store.bottles.get("on-1")
    refilled = replace(bottle, liquid_id=BITTER.id)
    with pytest.raises(InUseError, match=r"still holds 700 g of elderflower.*id of its own"):
        await store.bottles.put(refilled)
    await store.bottles.correct("on-1", 0.0)
    await store.bottles.put(refilled)
    assert (await store.channels.get(1)).liquid_id == BITTER.id
    assert (await store.bottles.correct("on-1", 650.0)).content_g == 650.0


async def test_weighing_corrects_the_content(store: Store) -> None:
    await store.bottles.put(BOTTLE)
    assert (await store.bottles.weigh(BOTTLE.id, 480.0 + 432.5)).content_g == 432.5
    assert (await store.bottles.weigh(BOTTLE.id, 479.2)).content_g == 0.0
    assert [line.kind for line in await store.bottles.movements(BOTTLE.id)] == [
        "correction",
        "correction",
        "opening",
    ]
    for gross_g in (200.0, 2000.0, nan):
        with pytest.raises(MenuError, match="weigh"):
            await store.bottles.weigh(BOTTLE.id, gross_g)
    await store.bottles.put(replace(OTHER, tare_g=None))
    with pytest.raises(MenuError, match="tare_g"):
        await store.bottles.weigh(OTHER.id, 900.0)
    for content_g in (800.0, nan):
        with pytest.raises(FaultyError, match="at most"):
            await store.bottles.correct(BOTTLE.id, content_g)
    assert (await store.bottles.get(BOTTLE.id)).content_g == 0.0


async def test_a_bottle_that_was_a_little_over_full_can_still_be_changed(store: Store) -> None:
    await store.bottles.put(BOTTLE)
    heavy = await store.bottles.weigh(BOTTLE.id, 480.0 + 730.0)
    assert (await store.bottles.put(replace(heavy, low_g=90.0))).low_g == 90.0


async def test_emptied_bottles_are_shown_only_if_asked_for(store: Store) -> None:
    await set_up(store, 1)
    await store.bottles.put(BOTTLE)
    await store.bottles.put(OTHER)
    await store.bottles.correct("on-1", 0.0)
    discarded = await store.bottles.discard(OTHER.id)
    assert (discarded.content_g, discarded.channel) == (0.0, None)
    assert [bottle.id for bottle in await store.bottles.all()] == [BOTTLE.id, "on-1"]
    assert [bottle.id for bottle in await store.bottles.all(emptied=True)] == [OTHER.id, BOTTLE.id, "on-1"]
    assert len(await store.bottles.movements(OTHER.id)) == 2
    gone = await store.bottles.discard("on-1")
    assert gone.channel is None
    assert [bottle.id for bottle in await store.bottles.all()] == [BOTTLE.id]


async def test_a_bottle_that_is_being_poured_from_stays_or_gives_way_to_one_of_its_liquid(
    store: Store,
) -> None:
    await set_up(store, 1, 3)
    await store.channels.assign(2, None, "spare")
    await store.bottles.put(OTHER)
    await store.bottles.put(BOTTLE)
    begun = await store.pours.begin(new_pour(channels=(1,)))
    for attempt in (
        store.bottles.unmount("on-1"),
        store.bottles.discard("on-1"),
        store.bottles.mount("on-1", 2),
        store.bottles.put(replace(await store.bottles.get("on-1"), channel=None)),
        store.bottles.swap(1, OTHER.id),
    ):
        with pytest.raises(InUseError, match=f"being poured from by pour {begun.id}"):
            await attempt
    assert (await store.bottles.get("on-1")).channel == 1
    assert (await store.bottles.unmount("on-3")).channel is None
    assert (await store.bottles.swap(1, BOTTLE.id)).channel == 1
    await store.pours.finish(begun.id, PourEnded("complete", "target", 40.2), [dose_ended(0)], 251.3)
    assert (await store.bottles.get(BOTTLE.id)).content_g == pytest.approx(700.0 - 40.2)
    assert (await store.bottles.unmount(BOTTLE.id)).channel is None


async def test_a_channel_without_a_bottle_keeps_the_liquid_that_is_being_poured(store: Store) -> None:
    await store.channels.assign(1, WATER.id, "left")
    await store.pours.begin(new_pour(channels=(1,)))
    for liquid_id in (None, BITTER.id):
        with pytest.raises(InUseError, match="being poured from"):
            await store.channels.assign(1, liquid_id, "left")
    await store.channels.assign(1, WATER.id, "left of the till")


@pytest.mark.parametrize(
    "change",
    [
        {"id": "Bottle 1"},
        {"content_g": 800.0},
        {"content_g": nan},
        {"full_g": 0.0},
        {"low_g": -1.0},
        {"tare_g": 0.0},
        {"opened_at": "yesterday"},
        {"opened_at": "2026-11-25T19:30:00"},
    ],
)
async def test_a_bottle_that_cannot_be_is_refused(store: Store, change: dict[str, object]) -> None:
    before = await store.journal.last_seq()
    with pytest.raises(ValueError, match=r"must be|an id is|holds at most"):
        await store.bottles.put(replace(BOTTLE, **change))  # type: ignore[arg-type]
    assert await store.bottles.all(emptied=True) == []
    assert await store.journal.last_seq() == before


async def test_when_it_was_opened_is_kept_in_one_spelling(store: Store) -> None:
    opened = replace(BOTTLE, opened_at="2026-11-24T20:15:00+01:00")
    assert (await store.bottles.put(opened)).opened_at == "2026-11-24T19:15:00.000000Z"
    before = await store.journal.last_seq()
    await store.bottles.put(opened)
    assert await store.journal.last_seq() == before


async def test_bottles_name_what_is_there(bare: Store) -> None:
    for attempt in (
        bare.bottles.get("none"),
        bare.bottles.unmount("none"),
        bare.bottles.mount("none", 1),
        bare.bottles.weigh("none", 900.0),
        bare.bottles.correct("none", 100.0),
        bare.bottles.discard("none"),
        bare.bottles.movements("none"),
    ):
        with pytest.raises(UnknownRecordError, match="no bottle 'none'"):
            await attempt
    with pytest.raises(UnknownRecordError, match="greasepaint"):
        await bare.bottles.put(replace(BOTTLE, liquid_id="greasepaint"))
    with pytest.raises(UnknownRecordError, match="channel 4"):
        await bare.bottles.put(replace(BOTTLE, channel=4))
    await bare.liquids.retire(WATER.id)
    with pytest.raises(RetiredLiquidError, match="restore it first"):
        await bare.bottles.put(BOTTLE)
    assert await bare.bottles.all(emptied=True) == []


async def test_a_mount_that_fails_leaves_everything_where_it_was(store: Store, path: Path) -> None:
    await set_up(store, 1)
    await store.bottles.put(OTHER)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(
            "CREATE TRIGGER stuck BEFORE UPDATE ON bottle WHEN NEW.channel = 1 "
            "BEGIN SELECT RAISE(ABORT, 'stuck'); END"
        )
    before = await store.journal.last_seq()
    with pytest.raises(StoreError, match="stuck"):
        await store.bottles.swap(1, OTHER.id)
    assert (await store.bottles.get("on-1")).channel == 1
    assert (await store.channels.get(1)).liquid_id == WATER.id
    assert await store.journal.last_seq() == before


@pytest.mark.parametrize("seed", range(3))
async def test_the_content_is_the_sum_of_the_movements(store: Store, seed: int) -> None:
    await set_up(store, 1)
    dice = Random(seed)
    for _ in range(25):
        match dice.randrange(4):
            case 0:
                await store.bottles.weigh("on-1", 480.0 + dice.uniform(0, 700))
            case 1:
                await store.bottles.correct("on-1", dice.uniform(0, 700))
            case _:
                pour = await store.pours.begin(new_pour(channels=(1,)))
                mass_g = dice.uniform(-0.5, 60)
                ended = PourEnded("complete", "target", mass_g)
                await store.pours.finish(pour.id, ended, [dose_ended(0, mass_g)], 251.3)
        lines = await store.bottles.movements("on-1")
        content_g = (await store.bottles.get("on-1")).content_g
        assert content_g == pytest.approx(fsum(line.change_g for line in lines), abs=1e-6)
    assert [line.id for line in lines] == sorted((line.id for line in lines), reverse=True)
    assert (await store.journal.verify()).intact


async def test_movements_at_the_same_moment_all_count(store: Store) -> None:
    await set_up(store, 1, 3)
    pours = [await store.pours.begin(new_pour(channels=(1,))) for _ in range(6)]
    ended = PourEnded("complete", "target", 40.2)
    await asyncio.gather(*(store.pours.finish(pour.id, ended, [dose_ended(0)], 251.3) for pour in pours))
    bottle: Bottle = await store.bottles.get("on-1")
    assert bottle.content_g == pytest.approx(700.0 - 6 * 40.2)
