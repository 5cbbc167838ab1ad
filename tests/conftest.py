"""What all tests share: an example of a property takes its time, since the machine is shared as well; a
playbook that was written is played."""

from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import settings
from sqlalchemy import Connection, Engine, event
from sqlalchemy.dialects.sqlite.pysqlite import SQLiteDialect_pysqlite
from sqlalchemy.util import LRUCache

from playbook import take_unplayed
from tarewell.records import engine

SYNCHRONOUS = engine.PRAGMAS["synchronous"]
engine.PRAGMAS["synchronous"] = "OFF"
"""No test cuts the power, so none has to wait for the disk. Daemons, which are processes, still do."""


def _share_compiled_statements() -> None:
    """Each test opens a database of its own: one compiles a statement, and the others take it over.

    SQLAlchemy keeps statements by engine and dialect; the dialects of these engines are all alike.
    """
    SQLiteDialect_pysqlite.__eq__ = lambda one, other: type(one) is type(other)  # type: ignore[method-assign]
    SQLiteDialect_pysqlite.__hash__ = lambda one: hash(type(one))  # type: ignore[method-assign]
    compiled = LRUCache[Any, Any](2000)

    @event.listens_for(Engine, "engine_connect")
    def share(connection: Connection) -> None:
        connection.engine._compiled_cache = compiled


_share_compiled_statements()

settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call() -> Iterator[None]:
    """A test that passes although its playbook was never asserted has shown nothing."""
    try:
        yield
    finally:
        unplayed = take_unplayed()
    if unplayed:
        pytest.fail("\n".join(["a playbook was written, but never asserted:", *unplayed]), pytrace=False)


@pytest.fixture
def durable(monkeypatch: pytest.MonkeyPatch) -> None:
    """Databases that wait for the disk, as outside of tests."""
    monkeypatch.setitem(engine.PRAGMAS, "synchronous", SYNCHRONOUS)
