"""What is found after a pour: beside its outcome, once, sealed, and charged to a bottle where it is sure."""

import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from records_samples import dose_ended, new_pour, set_up, trace
from tarewell.dosing.events import PourEnded
from tarewell.dosing.plan import Agent, Purpose
from tarewell.machine.pour_record import Certainty, FoundLater, PourRecord
from tarewell.records.errors import PourOverError, UnknownRecordError
from tarewell.records.store import Store
from tarewell.records.verify import verify

ABORTED = PourEnded("aborted", "link_lost", 26.25)


async def aborted(store: Store, purpose: Purpose = Purpose.DRINK) -> PourRecord:
    """A pour that lost its link in its only dose."""
    new = new_pour(channels=(1,), purpose=purpose)
    agent = Agent.WATER if purpose is Purpose.FLUSH else None
    setup = replace(new.setup, plan=replace(new.setup.plan, agent=agent))
    pour = await store.pours.begin(replace(new, setup=setup))
    dose = replace(dose_ended(0, 26.25), verdict=None, cause="link_lost")
    return await store.pours.finish(pour.id, ABORTED, [dose], 251.3, trace(0.1))


async def contents(store: Store) -> dict[str, float]:
    return {bottle.id: bottle.content_g for bottle in await store.bottles.all(emptied=True)}


async def test_it_is_kept_beside_what_was_known_and_drawn_from_the_bottle(store: Store, path: Path) -> None:
    await set_up(store, 1)
    before = await aborted(store)
    await store.pours.add_found_later(FoundLater(before.id, Certainty.WEIGHED, 2.75, 0))
    after = await store.pours.get(before.id)
    assert after.found_later is not None
    assert (after.found_later.found_g, after.found_later.reason) == (2.75, None)
    assert replace(after, found_later=None) == before
    assert await contents(store) == {"on-1": 671.0}
    (found, poured, _opening) = await store.bottles.movements("on-1")
    assert (found.kind, found.change_g, found.pour_id, found.dose_index) == ("found", -2.75, before.id, 0)
    assert poured.change_g == -26.25
    told = (await store.journal.of_pour(before.id))[-1]
    assert (told.kind, told.body["found_g"], told.body["drawn"][0]["bottle_id"]) == (
        "found_later",
        2.75,
        "on-1",
    )
    assert verify(path).intact


async def test_a_mass_that_the_jet_had_feigned_goes_back_to_the_bottle(store: Store, path: Path) -> None:
    await set_up(store, 1)
    pour = await aborted(store)
    await store.pours.add_found_later(FoundLater(pour.id, Certainty.WEIGHED, -0.5, 0))
    assert await contents(store) == {"on-1": 674.25}
    assert verify(path).intact


async def test_a_bottle_that_was_swapped_meanwhile_is_not_charged(store: Store, path: Path) -> None:
    await set_up(store, 1)
    pour = await aborted(store)
    await store.bottles.put(
        replace(await store.bottles.get("on-1"), id="next", content_g=700.0, channel=None)
    )
    await store.bottles.swap(1, "next")
    await store.pours.add_found_later(FoundLater(pour.id, Certainty.WEIGHED, 2.75, 0))
    assert await contents(store) == {"on-1": 671.0, "next": 700.0}
    assert verify(path).intact


@pytest.mark.parametrize(
    "found",
    [
        FoundLater("", Certainty.DOUBTFUL, 8.0, 0, "touched"),
        FoundLater("", Certainty.UNKNOWN, None, 0, "lifted"),
        FoundLater("", Certainty.WEIGHED, 13.25, None),
    ],
    ids=["doubtful", "unknown", "of no dose"],
)
async def test_what_is_not_sure_to_be_of_a_bottle_is_told_and_charged_to_none(
    store: Store, path: Path, found: FoundLater
) -> None:
    await set_up(store, 1)
    pour = await aborted(store)
    await store.pours.add_found_later(replace(found, pour_id=pour.id))
    kept = (await store.pours.get(pour.id)).found_later
    assert kept is not None
    assert (kept.certainty, kept.found_g, kept.reason) == (found.certainty, found.found_g, found.reason)
    assert await contents(store) == {"on-1": 673.75}
    assert verify(path).intact


async def test_a_flush_draws_nothing_afterwards_either(store: Store) -> None:
    await set_up(store, 1)
    pour = await aborted(store, Purpose.FLUSH)
    await store.pours.add_found_later(FoundLater(pour.id, Certainty.WEIGHED, 2.75, 0))
    assert await contents(store) == {"on-1": 700.0}


async def test_a_pour_is_weighed_once(store: Store) -> None:
    pour = await aborted(store)
    found = FoundLater(pour.id, Certainty.WEIGHED, 2.75, 0)
    await store.pours.add_found_later(found)
    with pytest.raises(PourOverError):
        await store.pours.add_found_later(found)
    with pytest.raises(UnknownRecordError):
        await store.pours.add_found_later(replace(found, pour_id="none"))


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE found_later SET found_g = 0.5",
        "UPDATE stock_movement SET change_g = -0.5 WHERE kind = 'found'",
        "DELETE FROM found_later",
    ],
)
async def test_a_change_from_outside_is_found(store: Store, path: Path, change: str) -> None:
    await set_up(store, 1)
    pour = await aborted(store)
    await store.pours.add_found_later(FoundLater(pour.id, Certainty.WEIGHED, 2.75, 0))
    with closing(sqlite3.connect(path)) as connection, connection:
        for table in ("found_later", "stock_movement"):
            for action in ("update", "delete"):
                connection.execute(f"DROP TRIGGER {table}_no_{action}")
        connection.execute(change)
    fault = verify(path).fault
    assert fault is not None
    assert "found_later" in fault.message


async def test_a_row_that_no_event_tells_is_found(store: Store, path: Path) -> None:
    pour = await aborted(store)
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute(
            "INSERT INTO found_later VALUES (?, 'bar', '2026-11-25T19:30:00Z', 'weighed', 9.0, 0, NULL)",
            (pour.id,),
        )
    fault = verify(path).fault
    assert fault is not None
    assert f"no event covers {pour.id} in found_later" in fault.message
