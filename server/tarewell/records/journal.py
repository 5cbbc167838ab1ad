"""The journal: what happened, in order, each entry chained to the one before."""

import asyncio
import json
from collections.abc import Callable, Coroutine, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, TypeVar

from sqlalchemy import ColumnElement, insert, select
from sqlalchemy.ext.asyncio import AsyncSession

from .chain import GENESIS, SEALED, canonical, event_hash, seal
from .engine import Database
from .tables import EventRow, utc_text
from .values import StoredEvent
from .verify import ChainReport, verify

T = TypeVar("T")


@dataclass(slots=True)
class Transaction:
    """One change of the records with the events that tell of it, all committed together or not at all."""

    session: AsyncSession
    machine_id: str
    at: datetime
    last_seq: int = 0
    _last_hash: str | None = None

    async def tell(self, kind: str, body: Mapping[str, Any], pour_id: str | None = None) -> StoredEvent:
        """Write an event.

        Raises:
            ValueError: a body that JSON cannot say.
        """
        last_seq, prev_hash = await self._newest()
        seq, text = last_seq + 1, canonical(body)
        digest = event_hash(prev_hash, seq, self.machine_id, utc_text(self.at), kind, pour_id, text)
        await self.session.execute(
            insert(EventRow).values(
                seq=seq,
                machine_id=self.machine_id,
                at=self.at,
                kind=kind,
                pour_id=pour_id,
                body=text,
                prev_hash=prev_hash,
                hash=digest,
            )
        )
        self.last_seq, self._last_hash = seq, digest
        return StoredEvent(seq, self.machine_id, self.at, kind, pour_id, json.loads(text), digest)

    async def _newest(self) -> tuple[int, str]:
        """Number and hash of the newest event; nobody else writes one while the transaction lasts."""
        if self._last_hash is not None:
            return self.last_seq, self._last_hash
        query = select(EventRow.seq, EventRow.hash).order_by(EventRow.seq.desc()).limit(1)
        newest = (await self.session.execute(query)).first()
        return (newest.seq, newest.hash) if newest else (0, GENESIS)

    async def tell_sealed(
        self, kind: str, body: Mapping[str, Any], key: str | int, pour_id: str | None = None
    ) -> StoredEvent:
        """Write the event for the rows just written under `key`, with their seal."""
        connection = await self.session.connection()
        tables = []
        for table in SEALED[kind]:
            rows = await connection.exec_driver_sql(table.select, (key,))
            tables.append((table.name, [tuple(row) for row in rows]))
        return await self.tell(kind, {**body, "seal": seal(tables)}, pour_id)


class Journal:
    """Durable events. Their kinds are the writers' own, but for those that `chain.SEALED` reserves."""

    def __init__(
        self, database: Database, machine_id: str, clock: Callable[[], datetime], last_seq: int
    ) -> None:
        self._database = database
        self._machine_id = machine_id
        self._clock = clock
        self._last_seq = last_seq
        self._grown = asyncio.Condition()

    async def write(self, work: Callable[[Transaction], Coroutine[Any, Any, T]]) -> T:
        """The result of `work`, committed with the events it told; whoever waits for events is woken.

        Raises:
            StoreError: the file cannot be written; then nothing of it was.
        """
        return await self._database.apart(self._write(work))

    async def _write(self, work: Callable[[Transaction], Coroutine[Any, Any, T]]) -> T:
        told = 0

        async def transact(session: AsyncSession) -> T:
            nonlocal told
            transaction = Transaction(session, self._machine_id, self._clock())
            result = await work(transaction)
            told = transaction.last_seq
            return result

        result = await self._database.write(transact)
        if told:
            async with self._grown:
                self._last_seq = told
                self._grown.notify_all()
        return result

    async def append(self, kind: str, body: Mapping[str, Any], pour_id: str | None = None) -> StoredEvent:
        """Write one event by itself.

        Raises:
            ValueError: a reserved kind, or a body that JSON cannot say.
            StoreError: the file cannot be written, or `pour_id` names no pour.
        """
        if kind in SEALED:
            raise ValueError(
                f"an event {kind!r} is only written with the rows it tells of; name another kind"
            )
        return await self.write(lambda transaction: transaction.tell(kind, body, pour_id))

    async def wait(self, after_seq: int) -> None:
        """Return once there is an event beyond `after_seq`; another process's are not seen meanwhile."""
        async with self._grown:
            await self._grown.wait_for(lambda: self._last_seq > after_seq)

    async def since(self, seq: int, limit: int = 100) -> list[StoredEvent]:
        """The events after `seq`, oldest first, at most `limit`."""
        return await self._database.read(lambda session: _events(session, EventRow.seq > seq, limit))

    async def of_pour(self, pour_id: str) -> list[StoredEvent]:
        """All events that name a pour, oldest first."""
        return await self._database.read(lambda session: _events(session, EventRow.pour_id == pour_id, None))

    async def last_seq(self) -> int:
        """The number of the newest event, 0 if there is none."""
        query = select(EventRow.seq).order_by(EventRow.seq.desc()).limit(1)
        return await self._database.read(lambda session: session.scalar(query)) or 0

    async def verify(self) -> ChainReport:
        """Check the chain and everything it seals, beside the running program.

        Raises:
            StoreError: the file cannot be read.
        """
        return await asyncio.to_thread(verify, self._database.path)


async def _events(
    session: AsyncSession, condition: ColumnElement[bool], limit: int | None
) -> list[StoredEvent]:
    query = select(EventRow).where(condition).order_by(EventRow.seq).limit(limit)
    return [_event(row) for row in await session.scalars(query)]


def _event(row: EventRow) -> StoredEvent:
    return StoredEvent(row.seq, row.machine_id, row.at, row.kind, row.pour_id, json.loads(row.body), row.hash)
