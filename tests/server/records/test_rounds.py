"""Rounds in the records: intent, outcomes, releases, and what a restart makes of them."""

import asyncio
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from menu_samples import GLASSES, LIQUIDS, SPIRIT, WATER
from records_samples import Clock, open_store
from round_steps import MENU, glasses
from tarewell.dosing.events import DoseEnded, PourEnded
from tarewell.dosing.plan import DosePlan, PourPlan
from tarewell.dosing.setup import PourSetup
from tarewell.dosing.tolerance import Verdict
from tarewell.machine.pour_record import Certainty, FoundLater, NewPour, RecipeNote
from tarewell.machine.round_record import NewRelease, NewRound, RoundRecord
from tarewell.records.errors import IdempotencyConflict, RoundOverError, UnknownRecordError
from tarewell.records.store import Store
from tarewell.rounds.attempt import held_by
from tarewell.rounds.events import Ending, GlassEnded
from tarewell.rounds.feasible import Wanted
from tarewell.rounds.plan import RoundPlan
from tarewell.rounds.serving import Serving, serving_of
from tarewell.weighing.calibration import Calibration

SEAT = "seat 14"
CHANNELS = {SPIRIT.id: 5, WATER.id: 6}


@pytest.fixture
async def bar(store: Store) -> Store:
    """The store with the menu of the rounds."""
    for liquid in LIQUIDS:
        await store.liquids.put(liquid)
    for liquid_id, number in CHANNELS.items():
        await store.channels.assign(number, liquid_id, "")
    for glass in GLASSES:
        await store.glasses.put(glass)
    for recipe in MENU.recipes.values():
        await store.recipes.put(recipe)
    return store


PLAN = RoundPlan(
    glasses(Wanted("strong", guest=SEAT), "still"),
    {liquid.id: liquid for liquid in LIQUIDS},
    {glass.id: glass for glass in GLASSES},
    auto_start=True,
)


async def begin(bar: Store, key: str | None = None, fingerprint: str | None = None) -> RoundRecord:
    return await bar.rounds.begin(NewRound(PLAN, "api", key, fingerprint))


def ended(index: int, ending: Ending = Ending.COMPLETE, *masses_g: float, attempt: int = 0) -> GlassEnded:
    outcome = held_by(PLAN.glasses[index], masses_g, (), PLAN.liquids)
    return GlassEnded(index, attempt, ending, (), outcome)


async def test_a_round_is_kept_as_it_was_planned_and_as_it_ended(bar: Store) -> None:
    record = await begin(bar)
    assert (record.state, record.auto_start) == ("open", True)
    assert [glass.plan for glass in record.glasses] == list(PLAN.glasses)
    assert record.liquids == {SPIRIT.id: SPIRIT, WATER.id: WATER}
    await bar.rounds.end_glass(record.id, ended(0, Ending.SPOILT, 10.0))
    await bar.rounds.end_glass(record.id, ended(0, Ending.COMPLETE, 23.7, 99.8, attempt=1))
    await bar.rounds.end_glass(record.id, ended(1, Ending.SKIPPED))
    done = await bar.rounds.finish(record.id, "complete")
    assert await bar.rounds.get(record.id) == done
    assert done.state == "complete"
    first, second = done.glasses
    assert [(attempt.number, attempt.ending) for attempt in first.attempts] == [
        (0, "spoilt"),
        (1, "complete"),
    ]
    # 23.7 g of spirit of 40 % vol, of which by OIML R 22 a third of the mass is ethanol (33.3 %)
    assert first.attempts[1].delivered.ethanol_g == pytest.approx(23.7 * 0.333, rel=0.002)
    assert second.attempts[0].delivered.mass_g == 0
    assert (await bar.journal.verify()).intact


async def test_a_key_begins_one_round(bar: Store) -> None:
    first = await begin(bar, "key-1", "print-1")
    again = await begin(bar, "key-1", "print-1")
    assert (again.id, again.replayed) == (first.id, True)
    found = await bar.rounds.find("key-1", "print-1")
    assert found is not None
    assert found.id == first.id
    assert await bar.rounds.find("key-2", "print-1") is None
    with pytest.raises(IdempotencyConflict, match=f"for round {first.id}"):
        await begin(bar, "key-1", "print-2")


async def test_what_is_over_stays_as_it_was(bar: Store) -> None:
    record = await begin(bar)
    await bar.rounds.finish(record.id, "stopped")
    with pytest.raises(RoundOverError, match="stopped"):
        await bar.rounds.finish(record.id, "complete")
    with pytest.raises(RoundOverError):
        await bar.rounds.end_glass(record.id, ended(0))
    with pytest.raises(UnknownRecordError, match="there is no round nothing"):
        await bar.rounds.get("nothing")


async def test_pages_newest_first(bar: Store, clock: Clock) -> None:
    made = []
    for _ in range(5):
        made.append((await begin(bar)).id)
        clock.advance(1)
    page = await bar.rounds.list(2)
    assert [record.id for record in page.rounds] == made[:2:-1]
    rest = await bar.rounds.list(10, page.older)
    assert [record.id for record in rest.rounds] == made[2::-1]
    assert rest.older is None
    with pytest.raises(ValueError, match="1 to 200"):
        await bar.rounds.list(0)


async def test_served_is_by_guest_and_time(bar: Store, clock: Clock) -> None:
    record = await begin(bar)
    start = clock.at
    clock.advance(60)
    await bar.rounds.end_glass(record.id, ended(0, Ending.COMPLETE, 23.7, 99.8))
    await bar.rounds.end_glass(record.id, ended(1, Ending.COMPLETE, 149.7))
    (served,) = await bar.rounds.served(start)
    assert (served.guest, served.at) == (SEAT, clock.at)
    assert served.ethanol_g == pytest.approx(7.9, abs=0.1)
    assert await bar.rounds.served(clock.at + timedelta(seconds=1)) == []


async def test_a_release_names_who_and_why(bar: Store) -> None:
    record = await begin(bar)
    told = await bar.rounds.release(NewRelease(SEAT, record.id, 0, "the host", "has eaten, goes by train"))
    assert await bar.rounds.releases(SEAT) == [told]
    assert await bar.rounds.releases("seat 15") == []
    (event,) = [event for event in await bar.journal.since(0, 1000) if event.kind == "guest_released"]
    assert event.body["reason"] == "has eaten, goes by train"
    assert (await bar.journal.verify()).intact


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ("UPDATE round_glass_outcome SET ethanol_g = 0", "round_glass_outcome"),
        ("UPDATE round_glass SET guest = 'seat 15'", "round_glass"),
        ("DELETE FROM round_outcome", "round_outcome"),
    ],
)
async def test_a_change_from_outside_shows(bar: Store, path: Path, change: str, where: str) -> None:
    record = await begin(bar)
    await bar.rounds.end_glass(record.id, ended(0, Ending.COMPLETE, 23.7, 99.8))
    await bar.rounds.finish(record.id, "stopped")
    table, action = change.split()[1 if change.startswith("UPDATE") else 2], change.split()[0].lower()
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(f"DROP TRIGGER {table}_no_{action}")
        connection.execute(change)
        connection.commit()
    fault = (await bar.journal.verify()).fault
    assert fault is not None
    assert where in fault.message


async def test_a_row_that_nobody_told_of_shows(bar: Store, path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(
            "INSERT INTO round VALUES ('ghost', 'bar', '2026', NULL, NULL, 'api', '0.1.0', 0, '{}')"
        )
        connection.commit()
    fault = (await bar.journal.verify()).fault
    assert fault is not None
    assert "no event covers ghost in round" in fault.message


async def begin_pour(bar: Store, record: RoundRecord, *doses: tuple[str, float]) -> str:
    """The first pour of the first glass; the id."""
    plan = PourPlan(tuple(DosePlan(CHANNELS[liquid_id], liquid_id, mass_g) for liquid_id, mass_g in doses))
    new = NewPour(
        PourSetup(plan, Calibration(0.0, 2000.0)),
        "round",
        recipe=RecipeNote("strong", "strong", None, str(Serving(record.id, 0, 0, 0))),
    )
    return (await bar.pours.begin(new)).id


async def test_a_round_that_the_program_left_open_is_closed_with_what_its_pours_delivered(
    bar: Store, path: Path, clock: Clock
) -> None:
    record = await begin(bar)
    pour_id = await begin_pour(bar, record, (SPIRIT.id, 23.7), (WATER.id, 99.8))
    spirit = DoseEnded(0, 23.5, 2.4, 8.3, 0, 100.0, 105.5, 107.25, Verdict.WITHIN, "target")
    await bar.pours.finish(pour_id, PourEnded("aborted", "link_lost", 60.0), [spirit], 300.0)
    await bar.close()
    again = await open_store(path, clock)
    (closed,) = await again.rounds.close_interrupted()
    assert closed.state == "interrupted"
    (attempt,) = closed.glasses[0].attempts
    assert (attempt.ending, attempt.pour_ids) == ("interrupted", (pour_id,))
    assert attempt.delivered.mass_g == pytest.approx(60.0)
    assert attempt.delivered.ethanol_g == pytest.approx(23.5 * 0.333, rel=0.002)
    assert closed.glasses[1].attempts == ()
    assert await again.rounds.close_interrupted() == []
    assert (await again.journal.verify()).intact
    await again.close()


async def test_what_is_found_later_counts_for_the_glass_and_its_guest(bar: Store, clock: Clock) -> None:
    record, start = await begin(bar), clock.at
    clock.advance(1)
    pour_id = await begin_pour(bar, record, (SPIRIT.id, 23.7), (WATER.id, 99.8))
    await bar.pours.finish(pour_id, PourEnded("aborted", "link_lost", 20.0), [], 300.0)
    spoilt = replace(ended(0, Ending.SPOILT, 20.0), pour_ids=(pour_id,))
    await bar.rounds.end_glass(record.id, spoilt)
    (before,) = await bar.rounds.served(start)
    await bar.pours.add_found_later(FoundLater(pour_id, Certainty.WEIGHED, 3.5, 0))
    (after,) = await bar.rounds.served(start)
    assert after.ethanol_g - before.ethanol_g == pytest.approx(3.5 * 0.333, rel=0.002)
    (attempt,) = (await bar.rounds.get(record.id)).glasses[0].attempts
    assert attempt.delivered == spoilt.outcome.delivered, "what was known then stays"
    assert attempt.found_later is not None
    assert attempt.found_later.mass_g == pytest.approx(3.5)


async def test_what_is_doubtful_counts_for_nobody(bar: Store, clock: Clock) -> None:
    record, start = await begin(bar), clock.at
    clock.advance(1)
    pour_id = await begin_pour(bar, record, (SPIRIT.id, 23.7))
    await bar.pours.finish(pour_id, PourEnded("aborted", "link_lost", 20.0), [], 300.0)
    await bar.rounds.end_glass(record.id, replace(ended(0, Ending.SPOILT, 20.0), pour_ids=(pour_id,)))
    before = await bar.rounds.served(start)
    await bar.pours.add_found_later(FoundLater(pour_id, Certainty.DOUBTFUL, 3.5, 0, "touched"))
    assert await bar.rounds.served(start) == before


async def test_a_glass_that_had_ended_is_not_counted_twice(bar: Store) -> None:
    record = await begin(bar)
    await begin_pour(bar, record, (SPIRIT.id, 23.7))
    await bar.rounds.end_glass(record.id, ended(0, Ending.COMPLETE, 23.7, 99.8))
    (closed,) = await bar.rounds.close_interrupted()
    assert [attempt.ending for attempt in closed.glasses[0].attempts] == ["complete"]


def test_a_serving_is_read_as_it_is_written() -> None:
    serving = Serving("01959c44-7f7a-7000-8a52-0d7c4a1e93b1", 3, 1, 2)
    assert serving_of(str(serving)) == serving
    assert serving_of(None) is None
    assert serving_of("something else") is None


async def test_beginnings_at_the_same_moment_are_one_round(bar: Store) -> None:
    made = await asyncio.gather(*(begin(bar, "key-1", "print-1") for _ in range(5)))
    assert len({record.id for record in made}) == 1
