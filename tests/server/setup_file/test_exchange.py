from collections.abc import AsyncIterator
from dataclasses import replace
from pathlib import Path

import pytest

from empty_database import copy_empty
from tarewell.quantities.units import SmallMeasures
from tarewell.records.errors import ChangedMeanwhileError
from tarewell.records.store import Store
from tarewell.setup_file.example import INTERVAL_BAR
from tarewell.setup_file.exchange import apply_import, export_setup, plan_import
from tarewell.setup_file.reading import SetupFaultsError

BAR = INTERVAL_BAR.read_text("utf-8")
SMALL = SmallMeasures()


@pytest.fixture
async def store(tmp_path: Path) -> AsyncIterator[Store]:
    store = await Store.open(copy_empty(tmp_path / "bar.db"), "interval-bar", "0.1.0")
    yield store
    await store.close()


async def test_a_set_up_moves_to_another_machine_as_it_is(store: Store, tmp_path: Path) -> None:
    await apply_import(store, await plan_import(store, BAR, SMALL))
    text = await export_setup(store)
    other = await Store.open(copy_empty(tmp_path / "other.db"), "foyer-bar", "0.1.0")
    try:
        await apply_import(other, await plan_import(other, text, SMALL))
        assert await export_setup(other) == text
    finally:
        await other.close()


async def test_an_export_of_nothing_is_a_set_up(store: Store) -> None:
    plan = await plan_import(store, await export_setup(store), SMALL)
    assert (plan.changes, plan.unchanged, plan.notes) == ((), 0, ())


async def test_a_change_between_look_and_import_stops_all_of_it(store: Store) -> None:
    await apply_import(store, await plan_import(store, BAR, SMALL))
    before = await export_setup(store)
    text = BAR.replace('name = "House Water"', 'name = "Tap Water"').replace("brim_ml = 210", "brim_ml = 220")
    plan = await plan_import(store, text, SMALL)
    assert [(change.key, change.fields) for change in plan.changes] == [
        ("house-water", ("name",)),
        ("short-glass", ("brim_ml",)),
    ]
    glass = await store.glasses.get("short-glass")
    await store.glasses.put(replace(glass, name="Shortest glass"))
    with pytest.raises(ChangedMeanwhileError):
        await apply_import(store, plan)
    assert (await store.liquids.get("house-water")).name == "House Water"
    assert await export_setup(store) == before.replace("Short glass", "Shortest glass")


async def test_what_a_file_says_of_a_mounted_bottle_is_checked_against_what_is_there(store: Store) -> None:
    await apply_import(store, await plan_import(store, BAR, SMALL))
    text = 'format = 1\n[channels.2]\nname = "second"\nliquid_id = "house-water"\n'
    with pytest.raises(SetupFaultsError) as refused:
        await plan_import(store, text, SMALL)
    assert [(fault.line, fault.pointer) for fault in refused.value.faults] == [
        (None, "/bottles/footlight-1/liquid_id")
    ]
