"""The one writer: its order, what is tried again, what is set aside, and who is told."""

import asyncio
import json
import shutil
import threading
from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy.orm import Session

from records_samples import COMPLETE, MACHINE, VERSION, dose_ended, new_pour, open_store, trace
from tarewell.records.engine import Database
from tarewell.records.errors import DiskFullError, RejectedError, StoreError
from tarewell.records.pour_changes import append_trace, finish_pour
from tarewell.records.store import Store
from tarewell.records.transaction import append_event
from tarewell.records.writer import Committed, Failing, SetAside, Working, Writer, WriterNews


class Disk:
    """Stands between the writer and its file: has room or not, and can make a write wait."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.room = True
        self.go_on = threading.Event()
        self.go_on.set()
        self.entered = threading.Event()
        write = Database.write

        def guarded(database: Database) -> AbstractContextManager[Session]:
            self.entered.set()
            self.go_on.wait(10)
            if not self.room:
                raise DiskFullError("no room")
            return write(database)

        monkeypatch.setattr(Database, "write", guarded)


@pytest.fixture
def disk(store: Store, monkeypatch: pytest.MonkeyPatch) -> Disk:
    return Disk(monkeypatch)


@pytest.fixture
def writer(store: Store) -> Writer:
    assert store.writer is not None
    return store.writer


@pytest.fixture
def news(writer: Writer) -> list[WriterNews]:
    told: list[WriterNews] = []
    writer.listener = told.append
    return told


async def lamps(store: Store) -> list[int]:
    return [event.body["number"] for event in await store.journal.since(0) if event.kind == "lamp"]


async def until(condition: Callable[[], Any]) -> None:
    async with asyncio.timeout(5):
        while not condition():
            await asyncio.sleep(0.001)


async def test_in_the_order_asked_for(store: Store, writer: Writer, news: list[WriterNews]) -> None:
    writer.keep(append_event, "lamp", {"number": 1})
    assert (await writer.write(append_event, "lamp", {"number": 2})).body == {"number": 2}
    writer.keep(append_event, "lamp", {"number": 3})
    assert await writer.drain(5)
    assert await lamps(store) == [1, 2, 3]
    await asyncio.sleep(0)
    assert [
        event.body["number"] for told in news if isinstance(told, Committed) for event in told.events
    ] == [
        1,
        2,
        3,
    ]
    assert len(news) == 3


async def test_what_was_committed_is_told_before_who_asked_goes_on(
    writer: Writer, news: list[WriterNews]
) -> None:
    event = await writer.write(append_event, "lamp", {"number": 1})
    assert news == [Committed((event,))]


async def test_what_must_be_kept_is_written_when_there_is_room_again(
    store: Store, writer: Writer, news: list[WriterNews], disk: Disk
) -> None:
    disk.room = False
    for number in (1, 2):
        writer.keep(append_event, "lamp", {"number": number})
    assert not await writer.drain(0.02)
    assert writer.fault == "no room"
    assert await lamps(store) == []
    disk.room = True
    assert await writer.drain(5)
    await asyncio.sleep(0)
    assert writer.fault is None
    assert await lamps(store) == [1, 2]
    assert [type(told) for told in news if not isinstance(told, Committed)] == [Failing, Working]
    assert not writer.dead_letters.exists()
    assert (await store.journal.verify()).intact


async def test_a_database_that_cannot_grow_fails_until_it_can(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """SQLite's own limit instead of a stand-in: https://www.sqlite.org/pragma.html#pragma_max_page_count."""
    await (await open_store(path)).close()
    store = await open_store(path)
    assert store.writer is not None
    pages: list[int] = []

    def limited(transaction: Any, pages_more: int) -> None:
        connection = transaction.session.connection()
        count = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
        pages.append(connection.exec_driver_sql(f"PRAGMA max_page_count = {count + pages_more}").scalar_one())

    await store.writer.write(limited, 0)
    assert len(pages) == 1
    with pytest.raises(DiskFullError, match="free some space"):
        await store.journal.append("lamp", {"text": "x" * 100_000})
    await store.writer.write(limited, 1000)
    await store.journal.append("lamp", {"text": "x" * 100_000})
    await store.close()


async def test_who_waits_is_told_at_once_while_it_fails(store: Store, writer: Writer, disk: Disk) -> None:
    disk.room = False
    disk.entered.clear()
    disk.go_on.clear()
    writer.keep(append_event, "lamp", {"number": 1})
    waiting = asyncio.ensure_future(store.journal.append("lamp", {"number": 2}))
    await until(disk.entered.is_set)
    assert not waiting.done()
    disk.go_on.set()
    async with asyncio.timeout(5):
        with pytest.raises(StoreError, match="no room"):
            await waiting
        await until(lambda: writer.fault)
        with pytest.raises(StoreError, match="no room"):
            await store.journal.append("lamp", {"number": 3})
        with pytest.raises(StoreError, match="no room"):
            await store.pours.begin(new_pour())
    disk.room = True
    assert await writer.drain(5)
    assert await lamps(store) == [1]


@pytest.mark.parametrize(
    ("body", "pour_id", "error"),
    [
        ({"number": float("nan")}, None, "ValueError"),
        ({"number": 7}, "none", "RejectedError"),
        ({"number": object()}, None, "TypeError"),
    ],
    ids=["no JSON", "a constraint", "no value at all"],
)
async def test_what_can_never_be_written_is_set_aside_and_blocks_nothing(
    store: Store,
    writer: Writer,
    news: list[WriterNews],
    body: dict[str, Any],
    pour_id: str | None,
    error: str,
) -> None:
    writer.keep(append_event, "lamp", body, pour_id)
    writer.keep(append_event, "lamp", {"number": 8})
    assert await writer.drain(5)
    await asyncio.sleep(0)
    assert writer.fault is None
    assert await lamps(store) == [8]
    set_aside, committed = news
    assert isinstance(set_aside, SetAside)
    assert isinstance(committed, Committed)
    assert set_aside.what == "append_event"
    (letter,) = map(json.loads, writer.dead_letters.read_text("utf-8").splitlines())
    assert letter["work"] == "append_event"
    assert letter["error"].startswith(error)
    assert letter["arguments"][0] == "lamp"
    assert letter["arguments"][2] == pour_id
    assert writer.dead_letters.stat().st_mode & 0o077 == 0


async def test_the_data_of_what_was_set_aside_is_whole(store: Store, writer: Writer) -> None:
    entries = trace(0.1)
    for number in range(2):
        writer.keep(append_trace, "none", entries, float(number))
    assert await writer.drain(5)
    first, second = map(json.loads, writer.dead_letters.read_text("utf-8").splitlines())
    assert (first["arguments"][2], second["arguments"][2]) == (0.0, 1.0)
    assert [entry["now_s"] for entry in first["arguments"][1]] == [entry.now_s for entry in entries]


async def test_an_outcome_that_cannot_be_written_as_it_is_closes_the_pour(
    store: Store, writer: Writer, news: list[WriterNews]
) -> None:
    pour = await store.pours.begin(new_pour())
    calls: list[str] = []
    stranger = (dose_ended(0), dose_ended(7))
    writer.keep_then(
        lambda: calls.append("kept"),
        finish_pour,
        *(pour.id, COMPLETE, stranger, 251.3, trace(0.1)),
        fallback=(pour.id, COMPLETE, (), None, ()),
    )
    writer.keep(append_event, "lamp", {"number": 1}, pour.id)
    assert await writer.drain(5)
    await asyncio.sleep(0)
    assert calls == ["kept"]
    done = await store.pours.get(pour.id)
    assert done.outcome is not None
    assert (done.state, done.outcome.delivered_g) == ("complete", COMPLETE.delivered_g)
    assert [event.kind for event in await store.journal.of_pour(pour.id)] == [
        "pour_begun",
        "pour_ended",
        "lamp",
    ]
    assert sum(isinstance(told, SetAside) for told in news) == 1
    (letter,) = map(json.loads, writer.dead_letters.read_text("utf-8").splitlines())
    assert [dose["index"] for dose in letter["arguments"][2]] == [0, 7]


async def test_where_the_fallback_cannot_be_written_either_it_ends_all_the_same(
    store: Store, writer: Writer, news: list[WriterNews]
) -> None:
    calls: list[str] = []
    both = ("none", COMPLETE, (), None, ())
    writer.keep_then(lambda: calls.append("kept"), finish_pour, *both, fallback=both)
    assert await writer.drain(5)
    await asyncio.sleep(0)
    assert calls == ["kept"]
    assert [type(told) for told in news] == [SetAside, SetAside]


async def test_letters_that_cannot_be_written_block_nothing(store: Store, writer: Writer) -> None:
    writer.dead_letters.mkdir()
    writer.keep(append_event, "lamp", {"number": 7}, "none")
    writer.keep(append_event, "lamp", {"number": 8})
    assert await writer.drain(5)
    assert await lamps(store) == [8]


async def test_who_asks_gets_what_was_wrong_and_nothing_is_set_aside(
    store: Store, writer: Writer, news: list[WriterNews]
) -> None:
    with pytest.raises(RejectedError):
        await writer.write(append_event, "lamp", {}, "none")
    with pytest.raises(ValueError, match="JSON"):
        await writer.write(append_event, "lamp", {"number": float("nan")})
    assert news == []
    assert writer.fault is None
    assert not writer.dead_letters.exists()


@pytest.mark.parametrize("replaced", [False, True], ids=["deleted", "replaced"])
async def test_a_file_that_went_away_under_it_is_noticed(
    store: Store, writer: Writer, news: list[WriterNews], path: Path, replaced: bool
) -> None:
    kept = path.with_name("kept.sqlite")
    path.rename(kept)
    if replaced:
        shutil.copy(kept, path)
    told = "another file" if replaced else "is gone"
    with pytest.raises(StoreError, match=told):
        await store.pours.begin(new_pour())
    writer.keep(append_event, "lamp", {"number": 1})
    await until(lambda: writer.fault)
    assert told in (writer.fault or "")
    with pytest.raises(StoreError, match=told):
        await store.journal.append("lamp", {"number": 2})
    kept.rename(path)
    assert await writer.drain(5)
    assert await lamps(store) == [1]
    await asyncio.sleep(0)
    assert [type(item) for item in news] == [Failing, Committed, Working]


async def test_a_file_that_was_replaced_before_the_first_write_is_noticed(store: Store, path: Path) -> None:
    await store.close()
    again = await Store.open(path, MACHINE, VERSION, retry_s=0.0)
    shutil.copy(path, path.with_name("copy.sqlite"))
    path.with_name("copy.sqlite").rename(path)
    with pytest.raises(StoreError, match="another file"):
        await again.journal.append("lamp", {})
    await again.close()


async def test_closing_ends_although_nothing_can_be_written(store: Store, writer: Writer, disk: Disk) -> None:
    disk.room = False
    writer.keep(append_event, "lamp", {"number": 1})
    await until(lambda: writer.fault)
    async with asyncio.timeout(5):
        await store.close()
    with pytest.raises(StoreError, match="open the store again"):
        writer.keep(append_event, "lamp", {"number": 2})


async def test_a_caller_that_goes_away_leaves_the_write_to_its_end(
    store: Store, writer: Writer, disk: Disk
) -> None:
    disk.entered.clear()
    disk.go_on.clear()
    asking = asyncio.ensure_future(writer.write(append_event, "lamp", {"number": 1}))
    await until(disk.entered.is_set)
    asking.cancel()
    await asyncio.wait({asking})
    disk.go_on.set()
    assert await writer.drain(5)
    assert await lamps(store) == [1]
