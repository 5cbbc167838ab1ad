"""docs/records.md tells of every table and column, and what it shows works."""

import asyncio
import re
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from records_samples import COMPLETE, dose_ended, new_pour, open_store, trace
from tarewell.dosing.traces import VERSION, decode
from tarewell.records.chain import SEALED
from tarewell.records.tables import Base

PAGE = (Path(__file__).parents[3] / "docs" / "records.md").read_text()
SECTIONS = dict(re.findall(r"^### (\w+)\n(.*?)(?=^##)", PAGE, re.DOTALL | re.MULTILINE))


def blocks(language: str) -> list[str]:
    """The code blocks of the page in a language."""
    return re.findall(rf"```{language}\n(.*?)```", PAGE, re.DOTALL)


async def pour_once(path: Path) -> None:
    store = await open_store(path)
    pour = await store.pours.begin(new_pour())
    await store.pours.finish(pour.id, COMPLETE, [dose_ended(0), dose_ended(1)], 251.3, trace())
    await store.close()


@pytest.fixture
def database(path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    asyncio.run(pour_once(path))
    monkeypatch.chdir(path.parent)
    return path


@pytest.mark.parametrize("table", sorted(Base.metadata.tables))
def test_every_column_is_described(table: str) -> None:
    rows = [line.split("|")[1] for line in SECTIONS[table].splitlines() if line.startswith("| `")]
    described = {name for row in rows for name in re.findall(r"`(\w+)`", row)}
    assert described == set(Base.metadata.tables[table].columns.keys())


@pytest.mark.parametrize("kind", sorted(SEALED))
def test_every_kind_with_a_seal_is_named(kind: str) -> None:
    assert f"`{kind}`" in SECTIONS["event"]


@pytest.mark.parametrize("query", blocks("sql"), ids=lambda query: query.split("\n")[0][:30])
def test_the_queries_run(database: Path, query: str) -> None:
    with closing(sqlite3.connect(database)) as connection:
        connection.execute(query).fetchall()


def test_the_program_for_the_chain_agrees_and_finds_a_change(database: Path) -> None:
    (program,) = blocks("python")
    scope: dict[str, Any] = {}
    exec(program, scope)
    with closing(sqlite3.connect(database)) as connection:
        assert connection.execute("SELECT hash FROM event ORDER BY seq DESC").fetchone() == (scope["before"],)
        connection.execute("DROP TRIGGER event_no_update")
        connection.execute("UPDATE event SET kind = 'other' WHERE seq = 2")
        connection.commit()
    with pytest.raises(SystemExit, match="event 2"):
        exec(program, scope)
    scope["database"].close()


def test_a_chunk_is_what_the_page_says(database: Path) -> None:
    with closing(sqlite3.connect(database)) as connection:
        data, entries = connection.execute("SELECT data, entries FROM trace_chunk").fetchone()
    assert data[0] == VERSION
    assert decode(data) == trace()
    assert entries == len(trace())
