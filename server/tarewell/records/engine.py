"""The open database: connections with their pragmas, and reading and writing transactions.

The sqlite3 driver opens transactions late and only for some statements, so it is told to leave them alone
(`isolation_level` None) and BEGIN is sent here.
"""

import asyncio
import sqlite3
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, event
from sqlalchemy.ext.asyncio import AsyncEngine, AsyncSession, create_async_engine

from .errors import StoreError, translated

BUSY_TIMEOUT_MS = 5000
PRAGMAS = {
    "journal_mode": "WAL",
    "synchronous": "FULL",
    "foreign_keys": "ON",
    "busy_timeout": str(BUSY_TIMEOUT_MS),
}
"""synchronous=FULL: a commit is on the disk when it returns, which journal before pump needs."""


def database_url(driver: str, path: Path) -> URL:
    """The URL of the file, whatever characters its path has."""
    return URL.create(driver, database=str(path))


def send_begin(engine: Engine) -> None:
    """Open each transaction with the execution option `begin`, by default BEGIN IMMEDIATE."""

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        connection.exec_driver_sql(connection.get_execution_options().get("begin", "BEGIN IMMEDIATE"))


def _store_engine(path: Path) -> AsyncEngine:
    engine = create_async_engine(
        database_url("sqlite+aiosqlite", path), connect_args={"isolation_level": None}
    )

    @event.listens_for(engine.sync_engine, "connect")
    def set_pragmas(connection: Any, _record: object) -> None:
        cursor = connection.cursor()
        cursor.execute(f"PRAGMA busy_timeout = {BUSY_TIMEOUT_MS}")
        for name, value in PRAGMAS.items():
            cursor.execute(f"PRAGMA {name} = {value}")
        cursor.close()

    send_begin(engine.sync_engine)
    return engine


class Database:
    """One SQLite file: many readers, one writer at a time."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._engine = _store_engine(path)
        self._reader = self._engine.execution_options(begin="BEGIN")
        self._writer_turn = asyncio.Lock()
        self._closed = False

    @asynccontextmanager
    async def reading(self) -> AsyncIterator[AsyncSession]:
        """One unchanging view of the database.

        Raises:
            StoreError: the file cannot be read, or the store is closed.
        """
        self._require_open()
        with translated(self.path):
            async with AsyncSession(self._reader, expire_on_commit=False) as session, session.begin():
                yield session

    @asynccontextmanager
    async def writing(self) -> AsyncIterator[AsyncSession]:
        """A transaction that is on the disk when this returns, or leaves nothing when it raises.

        Raises:
            StoreError: the file cannot be written, or the store is closed.
        """
        self._require_open()
        async with self._writer_turn:
            self._require_open()
            with translated(self.path):
                async with AsyncSession(self._engine, expire_on_commit=False) as session, session.begin():
                    yield session

    async def check(self) -> None:
        """See that the file opens in WAL mode.

        Raises:
            StoreError: it does not, as on some network file systems.
        """
        async with self.reading() as session:
            mode = await (await session.connection()).exec_driver_sql("PRAGMA journal_mode")
            if (found := mode.scalar_one()) != "wal":
                raise StoreError(
                    f"the database {self.path} does not take SQLite's WAL mode but stays in {found!r}; "
                    "put it on a local disk"
                )

    async def close(self) -> None:
        """Let the writer finish, then close every connection; further use raises StoreError."""
        async with self._writer_turn:
            self._closed = True
            await self._engine.dispose()

    def _require_open(self) -> None:
        if self._closed:
            raise StoreError(f"the database {self.path} is closed; open the store again")


def read_only(path: Path) -> sqlite3.Connection:
    """A plain connection that cannot change the file; close it after use."""
    return sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True, isolation_level=None)
