"""The open database: connections with their pragmas, and reads on a snapshot.

The sqlite3 driver opens transactions late and only for some statements, so that is switched off
(`isolation_level` None) and BEGIN is sent here. SQLite blocks, so reads run in threads of their own; the
writer has another (`writer.py`).
"""

import asyncio
import sqlite3
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.orm import Session

from .errors import StoreError, translated

T = TypeVar("T")

READERS = 4
BUSY_TIMEOUT_MS = 5000
PRAGMAS = {
    "journal_mode": "WAL",
    "synchronous": "FULL",
    "foreign_keys": "ON",
    "busy_timeout": str(BUSY_TIMEOUT_MS),
    "cache_size": "-512",
}
"""synchronous=FULL: a commit is on the disk when it returns, which journal before pump needs."""


def database_url(path: Path) -> URL:
    """The URL of the file, whatever characters its path contains."""
    return URL.create("sqlite", database=str(path))


def send_begin(engine: Engine) -> None:
    """Begin each transaction with the execution option `begin`, by default BEGIN IMMEDIATE."""

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        connection.exec_driver_sql(connection.get_execution_options().get("begin", "BEGIN IMMEDIATE"))


def _store_engine(path: Path) -> Engine:
    engine = create_engine(database_url(path), connect_args={"isolation_level": None})

    @event.listens_for(engine, "connect")
    def set_pragmas(connection: Any, _record: object) -> None:
        cursor = connection.cursor()
        cursor.execute(f"PRAGMA busy_timeout = {BUSY_TIMEOUT_MS}")
        for name, value in PRAGMAS.items():
            cursor.execute(f"PRAGMA {name} = {value}")
        cursor.close()

    send_begin(engine)
    return engine


class Database:
    """One SQLite file: many readers, one writer.

    Work runs in a thread to its end, even if the caller is cancelled, so no transaction is left open.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._engine = _store_engine(path)
        self._reader = self._engine.execution_options(begin="BEGIN")
        self._threads = ThreadPoolExecutor(READERS, thread_name_prefix="reader")
        self._closed = False

    async def read(self, work: Callable[[Session], T]) -> T:
        """The result of `work` on a snapshot of the database.

        Raises:
            StoreError: the file cannot be read, or the store is closed.
        """
        self.require_open()
        return await asyncio.get_running_loop().run_in_executor(self._threads, self._read, work)

    def _read(self, work: Callable[[Session], T]) -> T:
        with translated(self.path), Session(self._reader, expire_on_commit=False) as session, session.begin():
            return work(session)

    @contextmanager
    def write(self) -> Iterator[Session]:
        """A transaction that is on the disk when the block has ended, or not at all where it raises. Blocks;
        only the writer calls this.

        Raises:
            StoreError: the file cannot be written.
        """
        with translated(self.path), Session(self._engine, expire_on_commit=False) as session, session.begin():
            yield session

    def require_open(self) -> None:
        """Check that the store was not closed.

        Raises:
            StoreError: it was.
        """
        if self._closed:
            raise StoreError(f"the database {self.path} is closed; open the store again")

    async def check(self) -> None:
        """Check that the file opens in WAL mode.

        Raises:
            StoreError: it does not, as on some network file systems.
        """
        mode = await self.read(_journal_mode)
        if mode != "wal":
            raise StoreError(
                f"the database {self.path} does not support SQLite's WAL mode but stays in {mode!r}; "
                "put it on a local disk"
            )

    async def close(self) -> None:
        """Wait for reads under way, then close every connection; further use raises StoreError."""
        self._closed = True
        await asyncio.to_thread(self._threads.shutdown)
        self._engine.dispose()


def _journal_mode(session: Session) -> str:
    return str(session.connection().exec_driver_sql("PRAGMA journal_mode").scalar_one())


def read_only(path: Path) -> sqlite3.Connection:
    """A plain connection that cannot change the file; close it after use."""
    return sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True, isolation_level=None)
