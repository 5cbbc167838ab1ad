"""What a pour draws from the bottles, and what it keeps of purpose, recipe and rescaled targets."""

import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from records_samples import COMPLETE, LIQUIDS, dose_ended, new_pour, open_store, set_up, trace
from tarewell.dosing.events import DoseEnded, PourEnded
from tarewell.dosing.plan import Agent, Purpose
from tarewell.dosing.traces import TraceEntry
from tarewell.machine.pour_record import NewPour, RecipeNote
from tarewell.records.errors import UnknownRecordError
from tarewell.records.store import Store
from tarewell.records.values import PourQuery
from tarewell.records.verify import verify

WATER, BITTER = LIQUIDS
NOTE = RecipeNote("second-bell", "Second Bell", "foyer-tumbler", "0195-serving")


async def contents(store: Store) -> dict[str, float]:
    return {bottle.id: bottle.content_g for bottle in await store.bottles.all(emptied=True)}


async def test_each_dose_draws_its_bottle_by_what_it_delivered(store: Store) -> None:
    await set_up(store, 1, 3)
    pour = await store.pours.begin(new_pour())
    assert await contents(store) == {"on-1": 700.0, "on-3": 700.0}
    await store.pours.finish(pour.id, COMPLETE, [dose_ended(0, 40.2), dose_ended(1, 41.1)], 251.3)
    assert await contents(store) == {"on-1": 659.8, "on-3": 658.9}
    line = (await store.bottles.movements("on-3"))[0]
    assert (line.kind, line.change_g, line.pour_id, line.dose_index) == ("pour", -41.1, pour.id, 1)
    ended = (await store.journal.of_pour(pour.id))[-1]
    assert [drawn["bottle_id"] for drawn in ended.body["drawn"]] == ["on-1", "on-3"]
    assert (await store.journal.verify()).intact


@pytest.mark.parametrize(
    ("purpose", "agent", "kind"),
    [(Purpose.PRIME, None, "prime"), (Purpose.PURGE, None, "purge"), (Purpose.FLUSH, Agent.WATER, None)],
)
async def test_looking_after_a_channel_draws_what_came_out_of_the_bottle(
    store: Store, purpose: Purpose, agent: Agent | None, kind: str | None
) -> None:
    await set_up(store, 1)
    new = new_pour(channels=(1,), purpose=purpose)
    plan = replace(new.setup.plan, agent=agent)
    pour = await store.pours.begin(replace(new, setup=replace(new.setup, plan=plan)))
    ended = replace(dose_ended(0, 12.5), verdict=None)
    done = await store.pours.finish(pour.id, PourEnded("complete", "target", 12.5), [ended], None)
    assert done.purpose == purpose
    kinds = [line.kind for line in await store.bottles.movements("on-1")]
    assert kinds == (["opening"] if kind is None else [kind, "opening"])
    assert (await store.journal.verify()).intact


async def test_a_channel_without_a_bottle_or_with_another_liquid_is_left_alone(
    store: Store, path: Path
) -> None:
    await set_up(store, 3)
    await store.channels.assign(1, WATER.id, "left")
    with closing(sqlite3.connect(path)) as connection, connection:  # as no release of the program would
        connection.execute("UPDATE channel SET liquid_id = ? WHERE number = 3", (BITTER.id,))
    pour = await store.pours.begin(new_pour())  # channel 3 is to give bitter, its bottle holds elderflower
    await store.pours.finish(pour.id, COMPLETE, [dose_ended(0), dose_ended(1)], 251.3)
    assert await contents(store) == {"on-3": 700.0}


async def spare(store: Store, bottle_id: str, of: str = "on-1") -> str:
    """Another full bottle of the same liquid on the shelf."""
    await store.bottles.put(replace(await store.bottles.get(of), id=bottle_id, content_g=700.0, channel=None))
    return bottle_id


async def test_a_bottle_that_is_swapped_before_anything_ran_is_not_drawn(store: Store) -> None:
    await set_up(store, 1)
    pour = await store.pours.begin(new_pour(channels=(1,)))
    await store.bottles.swap(1, await spare(store, "next"))
    await store.pours.finish(pour.id, PourEnded("complete", "target", 40.2), [dose_ended(0)], 251.3)
    assert await contents(store) == {"next": 659.8, "on-1": 700.0}


async def test_a_dose_is_split_between_the_bottles_that_it_came_from(store: Store, path: Path) -> None:
    await set_up(store, 1)
    pour = await store.pours.begin(new_pour(channels=(1,)))
    await store.pours.append_trace(pour.id, trace(), 12.5)
    await store.bottles.swap(1, await spare(store, "second"))
    assert await contents(store) == {"on-1": 687.5, "second": 700.0}
    assert verify(path).intact, "while the pour has no outcome yet"
    await store.pours.append_trace(pour.id, trace(0.1, 108.0), 31.25)
    await store.bottles.swap(1, await spare(store, "third"))
    await store.pours.finish(pour.id, PourEnded("complete", "target", 40.25), [dose_ended(0, 40.25)], 251.3)
    assert await contents(store) == {"on-1": 687.5, "second": 681.25, "third": 691.0}
    (line, _opening) = await store.bottles.movements("on-1")
    assert (line.kind, line.change_g, line.pour_id, line.dose_index) == ("pour", -12.5, pour.id, 0)
    told = [event for event in await store.journal.of_pour(pour.id) if event.kind == "stock_moved"]
    assert [(event.body["bottle_id"], event.body["change_g"]) for event in told] == [
        ("on-1", -12.5),
        ("second", -18.75),
    ]
    assert verify(path).intact


async def test_a_swap_in_a_pour_that_is_cut_off_is_split_by_the_last_mass_written(
    store: Store, path: Path
) -> None:
    await set_up(store, 1)
    pour = await store.pours.begin(new_pour(channels=(1,)))
    await store.pours.append_trace(pour.id, trace(), 12.5)
    await store.bottles.swap(1, await spare(store, "next"))
    await store.pours.append_trace(pour.id, trace(0.1, 108.0), 20.0)
    await store.pours.close_interrupted()
    assert await contents(store) == {"on-1": 687.5, "next": 692.5}
    assert verify(path).intact


async def test_a_swap_draws_the_doses_of_its_own_channel_alone(store: Store, path: Path) -> None:
    await set_up(store, 1, 3)
    pour = await store.pours.begin(new_pour())
    await store.pours.append_trace(pour.id, [*trace(), TraceEntry(107.25, dose_ended(0, 40.25))], 52.75)
    await store.bottles.swap(1, await spare(store, "next"))
    assert await contents(store) == {"on-1": 659.75, "on-3": 700.0, "next": 700.0}
    await store.pours.finish(pour.id, COMPLETE, [dose_ended(0, 40.25), dose_ended(1, 41.0)], 251.3)
    assert await contents(store) == {"on-1": 659.75, "on-3": 659.0, "next": 700.0}
    assert verify(path).intact


async def test_a_swap_while_the_channel_is_flushed_draws_nothing(store: Store) -> None:
    await set_up(store, 1)
    new = new_pour(channels=(1,), purpose=Purpose.FLUSH)
    plan = replace(new.setup.plan, agent=Agent.WATER)
    pour = await store.pours.begin(replace(new, setup=replace(new.setup, plan=plan)))
    await store.pours.append_trace(pour.id, trace(), 30.0)
    await store.bottles.swap(1, await spare(store, "next"))
    assert await contents(store) == {"on-1": 700.0, "next": 700.0}


async def test_a_movement_of_a_pour_under_way_that_no_event_tells_is_found(store: Store, path: Path) -> None:
    await set_up(store, 1)
    pour = await store.pours.begin(new_pour(channels=(1,)))
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute(
            "INSERT INTO stock_movement (machine_id, at, bottle_id, kind, change_g, pour_id, dose_index) "
            "VALUES ('foyer-bar', '2026-11-25T19:30:00Z', 'on-1', 'pour', -300.0, ?, 0)",
            (pour.id,),
        )
    fault = verify(path).fault
    assert fault is not None
    assert "stock_movement" in fault.message


async def test_an_emptied_bottle_leaves_the_stock_whatever_the_ledger_had(store: Store, path: Path) -> None:
    await set_up(store, 1)
    pour = await store.pours.begin(new_pour(channels=(1,)))
    await store.pours.append_trace(pour.id, trace(), 12.5)
    await store.bottles.swap(1, await spare(store, "next"), emptied=True)
    assert [bottle.id for bottle in await store.bottles.all()] == ["next"]
    kinds = [(line.kind, line.change_g) for line in await store.bottles.movements("on-1")]
    assert kinds == [("correction", -687.5), ("pour", -12.5), ("opening", 700.0)]
    await store.pours.finish(pour.id, PourEnded("complete", "target", 40.25), [dose_ended(0, 40.25)], 251.3)
    assert await contents(store) == {"on-1": 0.0, "next": 672.25}
    assert verify(path).intact


@pytest.mark.parametrize(
    ("doses", "delivered_g", "drawn_g"),
    [
        ([dose_ended(0, -0.04)], -0.04, (0.0, 0.0)),
        ([dose_ended(0, 40.0)], 41.5, (40.0, 0.0)),
        ([dose_ended(0, 40.0)], 55.0, (40.0, 15.0)),
        ([], 25.5, (25.5, 0.0)),
        ([], 0.3, (0.0, 0.0)),
        ([dose_ended(0, 40.0), dose_ended(1, 41.0)], 90.0, (40.0, 41.0)),
    ],
    ids=[
        "below zero",
        "drips after a dose",
        "second dose cut off",
        "first dose cut off",
        "nothing",
        "too much",
    ],
)
async def test_what_no_dose_tells_came_from_the_dose_under_way(
    store: Store, doses: list[DoseEnded], delivered_g: float, drawn_g: tuple[float, float]
) -> None:
    await set_up(store, 1, 3)
    pour = await store.pours.begin(new_pour())
    await store.pours.finish(pour.id, PourEnded("aborted", "program_fault", delivered_g), doses, 251.3)
    assert await contents(store) == {"on-1": 700.0 - drawn_g[0], "on-3": 700.0 - drawn_g[1]}


async def test_an_interrupted_pour_draws_by_the_last_mass_known(store: Store) -> None:
    await set_up(store, 1, 3)
    pour = await store.pours.begin(new_pour())
    await store.pours.append_trace(pour.id, [*trace(), TraceEntry(107.25, dose_ended(0, 40.25))], 40.25)
    await store.pours.append_trace(pour.id, trace(0.1, 108.0), 52.75)
    untouched = await store.pours.begin(new_pour())
    await store.pours.close_interrupted()
    assert await contents(store) == {"on-1": 659.75, "on-3": 687.5}
    assert (await store.pours.get(untouched.id)).state == "interrupted"
    await store.pours.close_interrupted()
    assert await contents(store) == {"on-1": 659.75, "on-3": 687.5}
    assert (await store.journal.verify()).intact


async def test_an_outcome_that_is_refused_draws_nothing(store: Store) -> None:
    await set_up(store, 1, 3)
    pour = await store.pours.begin(new_pour())
    with pytest.raises(UnknownRecordError):
        await store.pours.finish(pour.id, COMPLETE, [dose_ended(0), dose_ended(2)], 251.3)
    with pytest.raises(ValueError, match="number"):
        await store.pours.finish(pour.id, COMPLETE, [dose_ended(0), dose_ended(1, float("inf"))], 251.3)
    assert await contents(store) == {"on-1": 700.0, "on-3": 700.0}


async def test_purpose_recipe_and_rescaled_target_come_back(path: Path) -> None:
    store = await open_store(path)
    pour = await store.pours.begin(new_pour(recipe=NOTE))
    assert (pour.purpose, pour.recipe) == ("drink", NOTE)
    doses = [dose_ended(0, 44.0), replace(dose_ended(1, 45.2), target_g=45.1)]
    await store.pours.finish(pour.id, COMPLETE, doses, 251.3)
    plain = await store.pours.begin(new_pour())
    await store.close()
    store = await open_store(path)
    newest, done = (await store.pours.list(PourQuery())).pours
    assert (newest.id, newest.purpose, newest.recipe) == (plain.id, "drink", None)
    assert done.recipe == NOTE
    assert [dose.outcome for dose in done.doses] == doses
    assert [(dose.target_g, dose.poured_to_g) for dose in done.doses] == [(40.0, 40.0), (41.0, 45.1)]
    begun = (await store.journal.of_pour(pour.id))[0]
    assert begun.body["recipe"]["name"] == "Second Bell"
    await store.close()


async def tell(path: Path, new: NewPour) -> None:
    """Four liquids and channels' worth of events, then a pour that rescaled its second dose and drew both."""
    store = await open_store(path)
    await set_up(store, 1, 3)
    pour = await store.pours.begin(new)
    doses = [dose_ended(0, 44.0), replace(dose_ended(1, 45.2), target_g=45.1)]
    await store.pours.finish(pour.id, COMPLETE, doses, 251.3)
    await store.pours.begin(new_pour())
    await store.close()


@pytest.mark.parametrize(
    ("statement", "kind"),
    [
        ("UPDATE pour SET purpose = 'prime' WHERE recipe IS NULL", "pour_begun"),
        ("UPDATE pour SET recipe = NULL WHERE recipe IS NOT NULL", "pour_begun"),
        ("UPDATE pour SET recipe = '{}' WHERE recipe IS NULL", "pour_begun"),
        ("UPDATE dose_outcome SET target_g = NULL WHERE dose_index = 1", "pour_ended"),
        ("UPDATE dose_outcome SET target_g = 41.0 WHERE dose_index = 0", "pour_ended"),
        ("UPDATE stock_movement SET change_g = -4.0 WHERE dose_index = 0", "pour_ended"),
        ("DELETE FROM stock_movement WHERE dose_index = 1", "pour_ended"),
        (
            "UPDATE stock_movement SET change_g = 600.0 WHERE kind = 'opening' AND bottle_id = 'on-3'",
            "stock_moved",
        ),
        ("DELETE FROM stock_movement WHERE kind = 'opening' AND bottle_id = 'on-1'", "stock_moved"),
        (
            "INSERT INTO stock_movement SELECT NULL, machine_id, at, bottle_id, kind, change_g, NULL, NULL "
            "FROM stock_movement WHERE kind = 'opening' LIMIT 1",
            None,
        ),
        (
            "INSERT INTO stock_movement SELECT NULL, machine_id, at, bottle_id, kind, change_g, "
            "(SELECT max(id) FROM pour), 0 FROM stock_movement WHERE kind = 'pour' LIMIT 1",
            None,
        ),
    ],
)
async def test_a_change_from_outside_is_found(path: Path, statement: str, kind: str | None) -> None:
    await tell(path, new_pour(recipe=NOTE))
    assert verify(path).intact
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            connection.execute(f"DROP TRIGGER {name}")
        assert connection.execute(statement).rowcount > 0
        fault = verify(path).fault
        assert fault is not None
        if kind is None:
            assert fault.seq is None
        else:
            told = connection.execute("SELECT kind FROM event WHERE seq = ?", (fault.seq,)).fetchone()
            assert told == (kind,)
