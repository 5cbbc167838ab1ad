"""The open database: connections with their pragmas, and reading and writing transactions.

The sqlite3 driver opens transactions late and only for some statements, so it is told to leave them alone
(`isolation_level` None) and BEGIN is sent here.
"""

import asyncio
import sqlite3
from collections.abc import Callable, Coroutine
from pathlib import Path
from typing import Any, TypeVar

from sqlalchemy import URL, Connection, Engine, event
from sqlalchemy.ext.asyncio import AsyncEngine, AsyncSession, create_async_engine

from .errors import StoreError, translated

T = TypeVar("T")

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
    """One SQLite file: many readers, one writer at a time.

    Work runs in a task of its own: cancelling a caller would break a transaction off and the driver leave it
    open. So it ends unseen, committed whole or not at all.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._engine = _store_engine(path)
        self._reader = self._engine.execution_options(begin="BEGIN")
        self._writer_turn = asyncio.Lock()
        self._under_way: set[asyncio.Task[Any]] = set()
        self._closed = False

    async def read(self, work: Callable[[AsyncSession], Coroutine[Any, Any, T]]) -> T:
        """The result of `work` on one unchanging view of the database.

        Raises:
            StoreError: the file cannot be read, or the store is closed.
        """
        return await self.apart(self._run(self._reader, work))

    async def write(self, work: Callable[[AsyncSession], Coroutine[Any, Any, T]]) -> T:
        """The result of `work`, in a transaction that is on the disk when this returns.

        Whatever `work` raises leaves nothing written.

        Raises:
            StoreError: the file cannot be written, or the store is closed.
        """
        return await self.apart(self._write(work))

    async def check(self) -> None:
        """See that the file opens in WAL mode.

        Raises:
            StoreError: it does not, as on some network file systems.
        """
        mode = await self.read(_journal_mode)
        if mode != "wal":
            raise StoreError(
                f"the database {self.path} does not take SQLite's WAL mode but stays in {mode!r}; "
                "put it on a local disk"
            )

    async def close(self) -> None:
        """Let what is under way end, then close every connection; further use raises StoreError."""
        while self._under_way:
            await asyncio.wait(self._under_way)
        self._closed = True
        await self._engine.dispose()

    async def apart(self, work: Coroutine[Any, Any, T]) -> T:
        """The result of `work`, which goes on to its end even if the caller is cancelled.

        Raises:
            StoreError: the store is closed.
        """
        if self._closed:
            work.close()
            raise StoreError(f"the database {self.path} is closed; open the store again")
        task = asyncio.create_task(work)
        self._under_way.add(task)
        task.add_done_callback(self._under_way.discard)
        return await asyncio.shield(task)

    async def _write(self, work: Callable[[AsyncSession], Coroutine[Any, Any, T]]) -> T:
        async with self._writer_turn:
            return await self._run(self._engine, work)

    async def _run(self, engine: AsyncEngine, work: Callable[[AsyncSession], Coroutine[Any, Any, T]]) -> T:
        with translated(self.path):
            async with AsyncSession(engine, expire_on_commit=False) as session, session.begin():
                return await work(session)


async def _journal_mode(session: AsyncSession) -> str:
    result = await (await session.connection()).exec_driver_sql("PRAGMA journal_mode")
    return str(result.scalar_one())


def read_only(path: Path) -> sqlite3.Connection:
    """A plain connection that cannot change the file; close it after use."""
    return sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True, isolation_level=None)
