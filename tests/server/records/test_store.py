"""Opening the file: what must hold for it, and what is said when it cannot be used."""

import asyncio
import os
import resource
import shutil
import sqlite3
import tempfile
from collections.abc import AsyncIterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy.orm import Session

from records_samples import COMPLETE, LIQUIDS, MACHINE, new_pour, open_store, trace
from tarewell.machine.pour_record import OPEN
from tarewell.records.backup import back_up
from tarewell.records.engine import PRAGMAS, Database
from tarewell.records.errors import (
    DamagedError,
    DiskFullError,
    NotADatabaseError,
    ReadOnlyError,
    StoreError,
    StoreInUseError,
)
from tarewell.records.migrate import migrations_dir
from tarewell.records.store import Store
from tarewell.records.values import PourQuery


@pytest.mark.usefixtures("durable")
async def test_every_connection_has_its_pragmas(store: Store, path: Path) -> None:
    def pragmas(session: Session) -> list[object]:
        connection = session.connection()
        return [
            connection.exec_driver_sql(f"PRAGMA {name}").scalar_one()
            for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout")
        ]

    database = Database(path)
    full = 2  # https://www.sqlite.org/pragma.html#pragma_synchronous: 2 is FULL
    assert await database.read(pragmas) == ["wal", full, 1, 5000]
    with database.write() as session:
        assert pragmas(session) == ["wal", full, 1, 5000]
    await database.close()


async def test_what_was_written_is_there_after_a_restart(path: Path) -> None:
    store = await open_store(path)
    pour = await store.pours.begin(new_pour())
    await store.close()
    store = await open_store(path)
    assert await store.pours.get(pour.id) == pour
    await store.close()


async def test_times_come_back_aware_and_in_utc(path: Path) -> None:
    before = datetime.now(UTC)
    store = await Store.open(path, MACHINE, "0.1.0")
    event = await store.journal.append("opened", {})
    (stored,) = await store.journal.since(0)
    assert stored.at == event.at
    assert before <= stored.at <= datetime.now(UTC)
    assert stored.at.utcoffset() == datetime.now(UTC).utcoffset()
    await store.close()


async def test_the_machine_stands_in_every_row(store: Store, path: Path) -> None:
    await store.channels.assign(1, "elderflower", "left")
    pour = await store.pours.begin(new_pour())
    await store.pours.finish(pour.id, COMPLETE, [], None, trace())
    with closing(sqlite3.connect(path)) as connection:
        for table in ("liquid", "channel", "pour", "dose", "pour_outcome", "trace_chunk", "event"):
            assert connection.execute(f"SELECT DISTINCT machine_id FROM {table}").fetchall() == [(MACHINE,)]


async def test_ids_grow_even_when_the_clock_was_set_back(path: Path) -> None:
    store = await Store.open(path, MACHINE, "0.1.0", lambda: datetime(2031, 1, 1, tzinfo=UTC))
    for number, liquid in zip((1, 3), LIQUIDS, strict=True):
        await store.liquids.put(liquid)
        await store.channels.assign(number, liquid.id, "")
    first = await store.pours.begin(new_pour())
    await store.close()
    store = await Store.open(path, MACHINE, "0.1.0", lambda: datetime(2026, 1, 1, tzinfo=UTC))
    second = await store.pours.begin(new_pour())
    assert second.id > first.id
    assert (await store.pours.list(PourQuery())).pours == (second, first)
    await store.close()


async def test_a_closed_store_says_so(path: Path) -> None:
    store = await open_store(path)
    await store.close()
    await store.close()
    with pytest.raises(StoreError, match="open the store again"):
        await store.pours.list(PourQuery())
    with pytest.raises(StoreError, match="open the store again"):
        await store.journal.append("late", {})


async def test_closing_waits_for_the_write_under_way(path: Path) -> None:
    store = await open_store(path)
    begun = asyncio.create_task(store.pours.begin(new_pour()))
    await asyncio.sleep(0)
    await store.close()
    pour = await begun
    store = await open_store(path)
    assert await store.pours.get(pour.id) == pour
    await store.close()


@pytest.mark.parametrize("turns", range(0, 40, 4))
async def test_a_cancelled_read_leaves_no_old_view_behind(store: Store, turns: int) -> None:
    for _ in range(6):  # more than the pool keeps
        task = asyncio.create_task(store.pours.list(PourQuery()))
        for _ in range(turns):
            await asyncio.sleep(0)
        task.cancel()
        await asyncio.gather(task, return_exceptions=True)
    pour = await store.pours.begin(new_pour())
    pages = await asyncio.gather(*(store.pours.list(PourQuery()) for _ in range(6)))
    assert all(page.pours == (pour,) for page in pages)


async def test_a_file_that_is_no_database(path: Path) -> None:
    path.write_text("Shopping: limes, mint, ice. " * 100)
    with pytest.raises(NotADatabaseError, match="name another file"):
        await Store.open(path, MACHINE, "0.1.0")
    assert path.read_text().startswith("Shopping")
    assert list(path.parent.iterdir()) == [path]


async def test_a_directory_that_does_not_exist(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="check that its directory exists"):
        await Store.open(tmp_path / "none" / "bar.sqlite", MACHINE, "0.1.0")


async def test_a_damaged_file(path: Path) -> None:
    store = await open_store(path)
    await store.close()
    content = bytearray(path.read_bytes())
    content[4096:] = b"\xa5" * (len(content) - 4096)
    path.write_bytes(content)
    with pytest.raises(DamagedError, match="restore the last backup"):
        await Store.open(path, MACHINE, "0.1.0")


@pytest.fixture
async def without_rights(monkeypatch: pytest.MonkeyPatch) -> AsyncIterator[Path]:
    """A directory that this process may read and not write, even when the tests run as root.

    Where only root may enter the checkout, nothing there can be read once the rights are given up: a store is
    opened before, so that all is imported, and the migrations are read from a copy.
    """
    place = Path(tempfile.mkdtemp())
    directory, migrations = place / "bar", place / "migrations"
    directory.mkdir()
    shutil.copytree(migrations_dir(), migrations)
    monkeypatch.setattr("tarewell.records.migrate.migrations_dir", lambda: migrations)
    await (await open_store(place / "before.sqlite")).close()
    for path in (place, *place.rglob("*")):
        path.chmod(0o755 if path.is_dir() else 0o644)
    root = os.geteuid() == 0
    yield directory
    if root:
        os.seteuid(0)
    directory.chmod(0o755)
    shutil.rmtree(place)


def give_up_rights(directory: Path) -> None:
    for path in directory.iterdir():
        path.chmod(0o444)
    directory.chmod(0o555)
    if os.geteuid() == 0:
        os.seteuid(65534)


async def test_a_read_only_database(without_rights: Path) -> None:
    path = without_rights / "bar.sqlite"
    await (await open_store(path)).close()
    before = path.read_bytes()
    give_up_rights(without_rights)
    with pytest.raises(StoreError, match=r"check that .* the program's user may write"):
        store = await Store.open(path, MACHINE, "0.1.0")
        await store.liquids.put(LIQUIDS[0])
    assert path.read_bytes() == before


async def test_a_read_only_directory(without_rights: Path) -> None:
    give_up_rights(without_rights)
    with pytest.raises(StoreError, match="may write there"):
        await Store.open(without_rights / "bar.sqlite", MACHINE, "0.1.0")
    assert list(without_rights.iterdir()) == []


async def test_a_store_that_turns_read_only(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    await (await open_store(path)).close()
    monkeypatch.setitem(PRAGMAS, "query_only", "ON")
    store = await Store.open(path, MACHINE, "0.1.0")
    with pytest.raises(ReadOnlyError, match="may not be written"):
        await store.pours.begin(new_pour())
    assert (await store.pours.list(PourQuery())).pours == ()
    await store.close()


async def test_a_full_disk_leaves_what_was_there(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    store = await open_store(path)
    pour = await store.pours.begin(new_pour())
    await store.pours.append_trace(pour.id, trace(), 10.5)
    await store.close()
    with closing(sqlite3.connect(path)) as connection:
        (pages,) = connection.execute("PRAGMA page_count").fetchone()
    monkeypatch.setitem(PRAGMAS, "max_page_count", str(pages))
    store = await Store.open(path, MACHINE, "0.1.0")
    events = await store.journal.last_seq()
    with pytest.raises(DiskFullError, match="free some space"):
        await store.pours.append_trace(pour.id, trace(60, 101.0), 20.0)
    with pytest.raises(DiskFullError):
        await store.pours.finish(pour.id, COMPLETE, [], 251.3, trace(60, 101.0))
    assert (await store.pours.get(pour.id)).state == OPEN
    assert await store.pours.trace(pour.id) == trace()
    assert await store.journal.last_seq() == events
    assert (await store.journal.verify()).intact
    await store.close()

    monkeypatch.delitem(PRAGMAS, "max_page_count")
    store = await Store.open(path, MACHINE, "0.1.0")
    done = await store.pours.finish(pour.id, COMPLETE, [], 251.3, trace(60, 101.0))
    assert done.state == "complete"
    await store.close()


async def test_a_backup_that_does_not_fit_leaves_nothing(path: Path, tmp_path: Path) -> None:
    await (await open_store(path)).close()
    before = path.read_bytes()
    target = tmp_path / "copy.sqlite"
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (65536, hard))
    try:
        with pytest.raises(StoreError):
            back_up(path, target)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert path.read_bytes() == before
    assert sorted(tmp_path.iterdir()) == [path]


async def test_another_writer_is_waited_for_and_then_named(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    await (await open_store(path)).close()
    monkeypatch.setitem(PRAGMAS, "busy_timeout", "1")
    store = await Store.open(path, MACHINE, "0.1.0")
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreInUseError, match="end the other program"):
            await store.pours.begin(new_pour())
        assert (await store.pours.list(PourQuery())).pours == ()
        other.execute("ROLLBACK")
    assert (await store.pours.begin(new_pour())).state == OPEN
    await store.close()
