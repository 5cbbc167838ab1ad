"""The journal and its chain: what it tells, and that no change from outside goes unseen."""

import asyncio
import shutil
import sqlite3
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path

import pytest

from records_samples import (
    CALIBRATION,
    COMPLETE,
    LIQUIDS,
    MACHINE,
    Clock,
    dose_ended,
    new_pour,
    open_store,
    trace,
)
from tarewell.records import journal
from tarewell.records.chain import GENESIS, SEALED
from tarewell.records.errors import StoreError
from tarewell.records.store import Store
from tarewell.records.values import StoredEvent
from tarewell.records.verify import verify


async def test_events_are_numbered_without_gaps(store: Store, clock: Clock) -> None:
    start = await store.journal.last_seq()
    clock.advance(5)
    told = [await store.journal.append("lamp", {"number": number}) for number in range(5)]
    assert [event.seq for event in told] == list(range(start + 1, start + 6))
    assert await store.journal.since(start) == told
    assert await store.journal.since(start + 1, limit=2) == told[1:3]
    assert await store.journal.since(start + 5) == []
    assert await store.journal.last_seq() == start + 5
    assert (told[0].machine_id, told[0].at, told[0].body) == (MACHINE, clock.at, {"number": 0})


async def test_events_from_many_tasks_make_one_chain(store: Store) -> None:
    await asyncio.gather(*(store.journal.append("lamp", {"number": number}) for number in range(20)))
    report = await store.journal.verify()
    assert report.intact
    assert report.last_seq == await store.journal.last_seq() == len(LIQUIDS) + 20


async def test_two_processes_write_one_chain(store: Store, path: Path) -> None:
    other = await Store.open(path, MACHINE, "0.1.0")
    for _ in range(5):
        await asyncio.gather(
            *(
                writer.journal.append("lamp", {"number": number})
                for number in range(4)
                for writer in (store, other)
            )
        )
    report = await other.journal.verify()
    assert (report.fault, report.last_seq) == (None, len(LIQUIDS) + 40)
    await other.close()


async def test_a_pour_is_told_from_intent_to_outcome(store: Store) -> None:
    pour = await store.pours.begin(new_pour())
    await store.journal.append("alarm", {"name": "no_flow"}, pour.id)
    await store.journal.append("lamp", {})
    await store.pours.finish(pour.id, COMPLETE, [dose_ended(0), dose_ended(1)], 251.3)
    begun, alarm, ended = await store.journal.of_pour(pour.id)
    assert [event.kind for event in (begun, alarm, ended)] == ["pour_begun", "alarm", "pour_ended"]
    assert [dose["target_g"] for dose in begun.body["doses"]] == [40.0, 41.0]
    assert [dose["verdict"] for dose in ended.body["doses"]] == ["within", "within"]
    figures = {name: ended.body[name] for name in ("state", "cause", "delivered_g", "glass_g")}
    assert figures == {"state": "complete", "cause": "target", "delivered_g": 81.3, "glass_g": 251.3}


async def test_the_newest_of_some_kinds_are_found_within_a_limited_search(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(journal, "MAX_SCANNED", 10)
    told = [await store.journal.append("lamp" if number % 5 else "bell", {}) for number in range(40)]
    bells = [event for event in reversed(told) if event.kind == "bell"]
    found, looks, before = list[StoredEvent](), 0, None
    while looks == 0 or before is not None:
        events, before = await store.journal.newest(["bell", "gong"], before, 3)
        found, looks = found + events, looks + 1
    assert found == bells
    assert 4 <= looks <= 6, "ten events a look"
    assert await store.journal.newest(["gong"], 5, 3) == ([], None)


async def test_a_replayed_request_tells_nothing(store: Store) -> None:
    await store.pours.begin(new_pour("key-1", "print-1"))
    before = await store.journal.last_seq()
    await store.pours.begin(new_pour("key-1", "print-1"))
    assert await store.journal.last_seq() == before


@pytest.mark.parametrize("kind", sorted(SEALED))
async def test_kinds_that_vouch_for_rows_are_reserved(store: Store, kind: str) -> None:
    with pytest.raises(ValueError, match="use another kind"):
        await store.journal.append(kind, {})


async def test_what_json_cannot_say_or_no_pour_is_refused(store: Store) -> None:
    before = await store.journal.last_seq()
    with pytest.raises(ValueError, match="JSON"):
        await store.journal.append("lamp", {"level": float("nan")})
    with pytest.raises(StoreError):
        await store.journal.append("lamp", {}, pour_id="none")
    assert await store.journal.last_seq() == before


async def test_an_empty_journal_is_intact(path: Path) -> None:
    store = await Store.open(path, MACHINE, "0.1.0")
    report = await store.journal.verify()
    assert (report.intact, report.events, report.last_hash) == (True, 0, GENESIS)
    assert await store.journal.last_seq() == 0
    await store.close()


async def test_a_hash_is_the_sha256_of_the_row_as_documented(path: Path, clock: Clock) -> None:
    store = await Store.open(path, MACHINE, "0.1.0", clock)
    event = await store.journal.append("lamp", {"b": 0.1, "a": "grün"})
    await store.close()
    # printf '%s' TEXT | sha256sum, GNU coreutils, TEXT being the array that docs/records.md describes
    assert event.hash == "4d36ca00f90128c901c8b941a908ece16a8894ac31e368e05ba057b99657a344"


async def tell(path: Path) -> None:
    store = await open_store(path)
    await store.calibrations.add(CALIBRATION, "two_point")
    for _ in range(2):
        pour = await store.pours.begin(new_pour())
        await store.pours.append_trace(pour.id, trace(), 10.5)
        await store.pours.finish(pour.id, COMPLETE, [dose_ended(0), dose_ended(1)], 251.3, trace(0.1, 101.0))
    await store.journal.append("lamp", {"on": True})
    await store.close()


@pytest.fixture(scope="module")
def told_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("told") / "bar.sqlite"
    asyncio.run(tell(made))
    return made


@pytest.fixture
def told(told_once: Path, path: Path) -> Path:
    """A database with two finished pours, a calibration and some events, closed."""
    return Path(shutil.copy(told_once, path))


def tamper(path: Path, *statements: str) -> None:
    """Change the file behind the program's back, triggers and foreign keys out of the way."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            connection.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            assert connection.execute(statement).rowcount > 0


FIRST = "(SELECT min(id) FROM pour)"
LAST = "(SELECT max(id) FROM pour)"

# seq: 1, 2 liquids; 3 calibration; 4 begun, 5 ended; 6 begun, 7 ended; 8 lamp


@pytest.mark.parametrize(
    ("statements", "seq"),
    [
        (["UPDATE event SET body = replace(body, '1.02', '1.03') WHERE seq = 1"], 1),
        (["UPDATE event SET at = '2026-11-25T20:00:00.000000Z' WHERE seq = 2"], 2),
        (["UPDATE event SET machine_id = 'other' WHERE seq = 8"], 8),
        (["UPDATE event SET kind = 'lamps' WHERE seq = 8"], 8),
        ([f"UPDATE event SET pour_id = {LAST} WHERE seq = 4"], 4),
        (["UPDATE event SET hash = replace(hash, 'a', 'b') WHERE seq = 3"], 3),
        (["UPDATE event SET prev_hash = hash WHERE seq = 3"], 3),
        (["DELETE FROM event WHERE seq = 1"], 1),
        (["DELETE FROM event WHERE seq = 4"], 4),
        (["DELETE FROM event WHERE seq = 8"], 8),
        (["DELETE FROM event WHERE seq >= 6"], 6),
        (
            [
                "UPDATE event SET seq = -1 WHERE seq = 1",
                "UPDATE event SET seq = 1 WHERE seq = 2",
                "UPDATE event SET seq = 2 WHERE seq = -1",
            ],
            1,
        ),
        ([f"UPDATE pour SET origin = 'panel' WHERE id = {LAST}"], 6),
        ([f"UPDATE pour SET setup = replace(setup, '0.31', '0.32') WHERE id = {FIRST}"], 4),
        ([f"UPDATE dose SET target_g = 400.0 WHERE dose_index = 1 AND pour_id = {FIRST}"], 4),
        ([f"DELETE FROM dose WHERE dose_index = 1 AND pour_id = {LAST}"], 6),
        (["DELETE FROM dose", "DELETE FROM pour"], 4),
        ([f"UPDATE pour_outcome SET delivered_g = delivered_g + 1e-9 WHERE pour_id = {LAST}"], 7),
        ([f"DELETE FROM pour_outcome WHERE pour_id = {FIRST}"], 5),
        ([f"UPDATE dose_outcome SET verdict = 'over' WHERE dose_index = 0 AND pour_id = {LAST}"], 7),
        ([f"DELETE FROM dose_outcome WHERE dose_index = 1 AND pour_id = {FIRST}"], 5),
        ([f"UPDATE trace_chunk SET data = substr(data, 2) WHERE number = 0 AND pour_id = {FIRST}"], 5),
        ([f"DELETE FROM trace_chunk WHERE number = 1 AND pour_id = {LAST}"], 7),
        (["UPDATE calibration SET counts_per_g = 1000.0"], 3),
        (["DELETE FROM calibration"], 3),
        (
            [
                "INSERT INTO pour SELECT 'ghost', machine_id, created_at, NULL, NULL, setup, origin, "
                f"program_version, board_id, board_firmware, purpose, recipe FROM pour WHERE id = {FIRST}"
            ],
            None,
        ),
        (
            ["INSERT INTO calibration SELECT 2, machine_id, at, 0.0, 1.0, 'zero' FROM calibration"],
            None,
        ),
    ],
    ids=lambda value: "; ".join(value) if isinstance(value, list) else None,
)
def test_a_change_from_outside_is_found_where_it_begins(
    told: Path, statements: Sequence[str], seq: int | None
) -> None:
    assert verify(told).intact
    tamper(told, *statements)
    report = verify(told)
    assert report.fault is not None
    assert report.fault.seq == seq
    assert not report.intact


async def test_a_pour_under_way_is_vouched_for_only_in_its_intent(store: Store) -> None:
    pour = await store.pours.begin(new_pour())
    await store.pours.append_trace(pour.id, trace(), 10.5)
    assert (await store.journal.verify()).intact


async def test_verification_does_not_disturb_the_program(store: Store) -> None:
    pours = asyncio.gather(*(store.pours.begin(new_pour()) for _ in range(5)))
    reports = await asyncio.gather(*(store.journal.verify() for _ in range(3)))
    await pours
    assert all(report.intact for report in reports)
    assert (await store.journal.verify()).events == len(LIQUIDS) + 5
