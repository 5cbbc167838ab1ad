"""The journal: an append-only log of events, each chained to the one before."""

import asyncio
import json
from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import ColumnElement, func, select
from sqlalchemy.orm import Session

from .engine import Database
from .tables import EventRow
from .transaction import append_event
from .values import StoredEvent
from .verify import ChainReport, verify
from .writer import Writes

MAX_SCANNED = 100_000
"""Events have no index by kind, so a search of all of them would take longer each year."""


class Journal:
    """Durable events. Callers choose the kinds, except those that `chain.SEALED` reserves."""

    def __init__(self, database: Database, writes: Writes) -> None:
        self._database = database
        self._writes = writes

    async def append(self, kind: str, body: Mapping[str, Any], pour_id: str | None = None) -> StoredEvent:
        """Append one event by itself.

        Raises:
            ValueError: a reserved kind, or a body that JSON cannot represent.
            StoreError: the file cannot be written, or `pour_id` names no pour.
        """
        return await self._writes.write(append_event, kind, body, pour_id)

    async def since(self, seq: int, limit: int = 100) -> list[StoredEvent]:
        """The events after `seq`, oldest first, at most `limit`."""
        return await self._database.read(lambda session: _events(session, EventRow.seq > seq, limit))

    async def before(self, seq: int | None, limit: int) -> list[StoredEvent]:
        """The events before `seq` (None: all), newest first, at most `limit`."""
        query = select(EventRow).order_by(EventRow.seq.desc()).limit(limit)
        if seq is not None:
            query = query.where(EventRow.seq < seq)
        return await self._database.read(lambda session: [_event(row) for row in session.scalars(query)])

    async def of_pour(self, pour_id: str) -> list[StoredEvent]:
        """All events that name a pour, oldest first."""
        return await self._database.read(lambda session: _events(session, EventRow.pour_id == pour_id, None))

    async def is_latched(self) -> bool:
        """Whether an emergency stop was never released."""
        kinds = ("emergency_stop", "emergency_stop_released")
        query = select(EventRow.kind).where(EventRow.kind.in_(kinds)).order_by(EventRow.seq.desc()).limit(1)
        return await self._database.read(lambda session: session.scalar(query)) == kinds[0]

    async def newest(
        self, kinds: Sequence[str], before: int | None, limit: int
    ) -> tuple[list[StoredEvent], int | None]:
        """The events of these kinds, the newest first, at most `limit`, and what to give as `before` for the
        older ones (None: there are none). One call looks at `MAX_SCANNED` events at most."""

        def read(session: Session) -> tuple[list[StoredEvent], int | None]:
            top = (session.scalar(select(func.max(EventRow.seq))) or 0) + 1 if before is None else before
            bottom = max(0, top - MAX_SCANNED)
            query = (
                select(EventRow)
                .where(EventRow.seq >= bottom, EventRow.seq < top, EventRow.kind.in_(kinds))
                .order_by(EventRow.seq.desc())
                .limit(limit)
            )
            found = [_event(row) for row in session.scalars(query)]
            end = found[-1].seq if len(found) == limit else bottom
            return found, end if end > 1 else None

        return await self._database.read(read)

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


def newest_events(session: Session, kinds: Sequence[str], scanned: int) -> list[StoredEvent]:
    """The events of these kinds among the last `scanned`, newest first, within a transaction."""
    top = session.scalar(select(func.max(EventRow.seq))) or 0
    query = select(EventRow).where(EventRow.seq > top - scanned, EventRow.kind.in_(kinds))
    return [_event(row) for row in session.scalars(query.order_by(EventRow.seq.desc()))]


def _events(session: Session, condition: ColumnElement[bool], limit: int | None) -> list[StoredEvent]:
    query = select(EventRow).where(condition).order_by(EventRow.seq).limit(limit)
    return [_event(row) for row in session.scalars(query)]


def _event(row: EventRow) -> StoredEvent:
    return StoredEvent(row.seq, row.machine_id, row.at, row.kind, row.pour_id, json.loads(row.body), row.hash)
