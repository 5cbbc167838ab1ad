"""The state of the journal over the API."""

import asyncio
import hashlib
import json
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import httpx
import pytest

from api_app import Poured
from tarewell.api.journal_check import JournalCheck, verify_in_child
from tarewell.records.errors import StoreError
from tarewell.records.store import Store
from tarewell.records.verify import ChainReport, verify


async def checked(client: httpx.AsyncClient) -> dict[str, Any]:
    """The journal once a check has ended."""
    begun = await client.post("/v1/journal/check")
    assert begun.status_code == 202
    async with asyncio.timeout(60):
        while (shown := (await client.get("/v1/journal")).json())["checking"]:
            await asyncio.sleep(0)
    found: dict[str, Any] = shown
    return found


async def test_a_journal_is_unchecked_then_whole_and_says_how_far(
    client: httpx.AsyncClient, poured: Poured
) -> None:
    await poured()
    before = (await client.get("/v1/journal")).json()
    assert (before["state"], before["checked_at"], before["checking"]) == ("unchecked", None, False)
    shown = await checked(client)
    assert (shown["state"], shown["checked_entries"]) == ("whole", before["entries"])
    assert len(shown["checked_hash"]) == 64
    await poured()
    later = (await client.get("/v1/journal")).json()
    assert later["entries"] > later["checked_entries"] == before["entries"]


async def test_a_broken_journal_says_where(client: httpx.AsyncClient, poured: Poured, tmp_path: Path) -> None:
    await poured()
    with closing(sqlite3.connect(tmp_path / "bar.db")) as connection:
        connection.execute("DROP TRIGGER dose_no_update")
        connection.execute("UPDATE dose SET target_g = 30.0")
        connection.commit()
    shown = await checked(client)
    assert shown["state"] == "broken"
    assert shown["fault"]["seq"] == shown["checked_entries"] + 1
    assert "dose" in shown["fault"]["message"]


async def test_entries_are_listed_newest_first_and_their_links_lead_to_the_first(
    client: httpx.AsyncClient, poured: Poured
) -> None:
    pour_id = (await poured())["id"]
    count = (await client.get("/v1/journal")).json()["entries"]
    answer = await client.get("/v1/journal/entries", params={"limit": count - 1})
    assert [entry["seq"] for entry in answer.json()] == list(range(count, 1, -1))
    assert next(entry for entry in answer.json() if entry["kind"] == "pour_ended")["pour_id"] == pour_id
    last = await client.get(answer.links["next"]["url"])
    assert [entry["seq"] for entry in last.json()] == [1]
    assert "next" not in last.links


async def test_the_exported_journal_proves_itself_with_nothing_but_sha_256(
    client: httpx.AsyncClient, poured: Poured
) -> None:
    """As docs/records.md tells readers to check the chain."""
    await poured()
    lines = [json.loads(line) for line in (await client.get("/v1/journal.jsonl")).text.splitlines()]
    assert len(lines) == (await client.get("/v1/journal")).json()["entries"]
    before = "0" * 64
    for line in lines:
        row = [before, *(line[name] for name in ("seq", "machine_id", "at", "kind", "pour_id", "body"))]
        text = json.dumps(row, separators=(",", ":"))
        assert hashlib.sha256(text.encode()).hexdigest() == line["hash"]
        before = line["hash"]


async def test_a_child_finds_the_same_and_says_why_it_cannot(store: Store, tmp_path: Path) -> None:
    path = tmp_path / "bar.db"
    assert await verify_in_child(path)() == verify(path)
    with pytest.raises(StoreError, match="nowhere"):
        await verify_in_child(tmp_path / "nowhere.db")()


async def test_one_check_at_a_time_and_the_last_report_outlives_a_failure() -> None:
    going, report = asyncio.Event(), ChainReport(7, 7, "0" * 64, None)
    results: list[ChainReport | StoreError] = [report, StoreError("the disk is gone; mount it")]

    async def verify_once() -> ChainReport:
        await going.wait()
        result = results.pop(0)
        if isinstance(result, StoreError):
            raise result
        return result

    async def end(check: JournalCheck) -> None:
        going.set()
        while check.under_way:
            await asyncio.sleep(0)
        going.clear()

    check = JournalCheck(verify_once)
    check.begin()
    check.begin()
    await end(check)
    assert (check.report, check.failure, len(results)) == (report, None, 1)
    check.begin()
    await end(check)
    assert (check.report, check.failure) == (report, "the disk is gone; mount it")
