"""Liquids, channels, calibrations and in-flight times."""

import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from records_samples import CALIBRATION, COMPLETE, LIQUIDS, Clock, new_pour, open_store
from tarewell.dosing.inflight import InFlight
from tarewell.menu.allergens import Allergen
from tarewell.records.errors import FaultyError, RetiredLiquidError, StoreError, UnknownRecordError
from tarewell.records.store import Store
from tarewell.records.values import CalibrationRecord, Channel
from tarewell.weighing.calibration import Calibration

WATER, BITTER = LIQUIDS


async def test_liquids_come_by_name(store: Store) -> None:
    assert await store.liquids.all() == [BITTER, WATER]
    assert await store.liquids.get(BITTER.id) == BITTER


async def test_a_liquid_can_be_changed_and_the_journal_says_so(store: Store) -> None:
    before = await store.journal.last_seq()
    changed = replace(WATER, allergens=frozenset({Allergen.SULPHITES, Allergen.NUTS}))
    await store.liquids.put(changed)
    await store.liquids.put(changed)
    assert await store.liquids.get(WATER.id) == changed
    (event,) = await store.journal.since(before)
    assert (event.kind, event.body["allergens"]) == ("liquid_put", ["nuts", "sulphites"])


async def test_a_retired_liquid_stays_for_history(store: Store) -> None:
    pour = await store.pours.begin(new_pour())
    await store.pours.finish(pour.id, COMPLETE, [], 251.3)
    await store.channels.assign(1, None, "left")
    before = await store.journal.last_seq()
    for _ in range(2):
        await store.liquids.retire(WATER.id)
    retired = replace(WATER, active=False)
    assert await store.liquids.all() == [BITTER]
    assert await store.liquids.all(retired=True) == [BITTER, retired]
    assert await store.liquids.get(WATER.id) == retired
    assert (await store.pours.get(pour.id)).doses[0].liquid_name == WATER.name
    assert [event.kind for event in await store.journal.since(before)] == ["liquid_retired"]
    await store.liquids.put(WATER)
    assert await store.liquids.all() == [BITTER, WATER]


async def test_a_liquid_on_a_channel_is_not_retired(bare: Store) -> None:
    await bare.channels.assign(3, WATER.id, "third")
    for attempt in (bare.liquids.retire(WATER.id), bare.liquids.put(replace(WATER, active=False))):
        with pytest.raises(RetiredLiquidError, match="channel 3"):
            await attempt
    assert await bare.liquids.get(WATER.id) == WATER
    await bare.channels.assign(3, None, "third")
    await bare.liquids.retire(WATER.id)
    assert not (await bare.liquids.get(WATER.id)).active


@pytest.mark.parametrize(
    "change",
    [
        {"id": ""},
        {"id": "Elder Flower"},
        {"id": "-a"},
        {"id": "a--b"},
        {"id": "a" * 61},
        {"name": "  "},
        {"sugar_g_per_l": -1.0},
        {"sugar_g_per_l": float("nan")},
        {"cost_per_l": -0.5},
        {"serving_c": 90.0},
        {"serving_c": float("nan")},
        {"abv_percent": -1.0},
        {"abv_percent": 100.5},
        {"abv_percent": float("nan")},
    ],
)
async def test_a_liquid_that_cannot_be_is_refused(store: Store, change: dict[str, object]) -> None:
    with pytest.raises(FaultyError, match=r"must be|an id is|needs 1 to|too much|is more than") as caught:
        await store.liquids.put(replace(WATER, **change))  # type: ignore[arg-type]
    assert caught.value.faults
    assert await store.liquids.all(retired=True) == [BITTER, WATER]


async def test_unknown_liquids_are_named(bare: Store) -> None:
    for attempt in (
        bare.liquids.get("greasepaint"),
        bare.liquids.retire("greasepaint"),
        bare.channels.assign(1, "greasepaint", "first"),
    ):
        with pytest.raises(UnknownRecordError, match="greasepaint"):
            await attempt
    assert await bare.channels.all() == []


async def test_channels_keep_what_hangs_on_them(bare: Store) -> None:
    assert await bare.channels.all() == []
    await bare.channels.assign(2, BITTER.id, "second")
    before = await bare.journal.last_seq()
    await bare.channels.assign(2, BITTER.id, "second")
    assert await bare.journal.last_seq() == before
    await bare.channels.assign(1, None, "first")
    await bare.channels.assign(2, WATER.id, "left")
    assert await bare.channels.all() == [Channel(1, None, "first"), Channel(2, WATER.id, "left")]
    assert [event.kind for event in await bare.journal.since(before)] == ["channel_assigned"] * 2


async def test_a_channel_takes_no_retired_liquid_and_no_impossible_number(bare: Store) -> None:
    await bare.liquids.retire(WATER.id)
    with pytest.raises(RetiredLiquidError, match="restore it first"):
        await bare.channels.assign(1, WATER.id, "first")
    for number in (0, 9):
        with pytest.raises(ValueError, match="1 to 8"):
            await bare.channels.assign(number, None, "none")
    assert await bare.channels.all() == []


async def test_the_newest_calibration_holds_and_the_others_stay(store: Store, clock: Clock) -> None:
    assert await store.calibrations.current() is None
    first = await store.calibrations.add(CALIBRATION, "two_point")
    clock.advance(60)
    zeroed = CALIBRATION.with_zero(-84000.1)
    second = await store.calibrations.add(zeroed, "zero")
    assert await store.calibrations.current() == zeroed
    assert await store.calibrations.history() == [second, first]
    assert second == CalibrationRecord(zeroed, clock.at, "zero")
    assert await store.calibrations.history(1) == [second]


@pytest.mark.parametrize(
    ("calibration", "how"), [(Calibration(1.0, 0.0), "zero"), (CALIBRATION, "by eye")], ids=["span", "how"]
)
async def test_a_calibration_that_cannot_be_is_refused(
    store: Store, calibration: Calibration, how: str
) -> None:
    before = await store.journal.last_seq()
    with pytest.raises(StoreError):
        await store.calibrations.add(calibration, how)
    assert await store.calibrations.current() is None
    assert await store.journal.last_seq() == before


async def test_the_newest_inflight_time_holds_for_each_channel_and_liquid(path: Path) -> None:
    store = await open_store(path)
    assert await store.inflight.current() == {}
    pour = await store.pours.begin(new_pour())
    guess, learned = InFlight(), InFlight(0.3, 0.02, 8.25, 1)
    await store.inflight.add(1, WATER.id, guess, None)
    await store.inflight.add(1, BITTER.id, learned, pour.id)
    await store.inflight.add(2, WATER.id, guess, None)
    again = learned.learn(2.6, 8.2).with_share(130, 0.4).with_share(88, 0.0)
    await store.inflight.add(1, WATER.id, learned, pour.id)
    await store.inflight.add(1, WATER.id, again, pour.id)
    await store.close()
    store = await open_store(path)
    assert await store.inflight.current() == {
        (1, WATER.id): again,
        (1, BITTER.id): learned,
        (2, WATER.id): guess,
    }
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("SELECT count(*) FROM inflight").fetchone() == (5,)
    await store.close()


async def test_an_inflight_time_of_nothing_known_is_refused(store: Store) -> None:
    for liquid_id, pour_id in (("greasepaint", None), (WATER.id, "none")):
        with pytest.raises(StoreError):
            await store.inflight.add(1, liquid_id, InFlight(), pour_id)
    assert await store.inflight.current() == {}
