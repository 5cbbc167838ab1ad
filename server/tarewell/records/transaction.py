"""One change of the records, with its events in the journal."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import insert, select
from sqlalchemy.orm import Session

from .chain import GENESIS, SEALED, canonical, event_hash, seal
from .ids import IdSource
from .tables import EventRow, utc_text
from .values import StoredEvent


@dataclass(frozen=True, slots=True)
class Author:
    """The machine and program that rows name as their author. `ids` names new pours and rounds."""

    machine_id: str
    program_version: str
    ids: IdSource


@dataclass(slots=True)
class Transaction:
    """A change at the time `at`, committed as a whole with its events or not at all."""

    session: Session
    author: Author
    at: datetime
    events: list[StoredEvent] = field(default_factory=list)
    """The events so far, in order."""

    @property
    def machine_id(self) -> str:
        """The machine whose records these are."""
        return self.author.machine_id

    def new_id(self) -> str:
        """An identifier greater than any before it."""
        return self.author.ids.next(self.at)

    def append(self, kind: str, body: Mapping[str, Any], pour_id: str | None = None) -> StoredEvent:
        """Append an event.

        Raises:
            ValueError: a body that JSON cannot say.
        """
        last_seq, prev_hash = self._newest()
        seq, text = last_seq + 1, canonical(body)
        digest = event_hash(prev_hash, seq, self.machine_id, utc_text(self.at), kind, pour_id, text)
        self.session.execute(
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
        event = StoredEvent(seq, self.machine_id, self.at, kind, pour_id, json.loads(text), digest)
        self.events.append(event)
        return event

    def _newest(self) -> tuple[int, str]:
        """Number and hash of the newest event; nobody else appends one during the transaction."""
        if self.events:
            return self.events[-1].seq, self.events[-1].hash
        query = select(EventRow.seq, EventRow.hash).order_by(EventRow.seq.desc()).limit(1)
        newest = self.session.execute(query).first()
        return (newest.seq, newest.hash) if newest else (0, GENESIS)

    def append_sealed(
        self, kind: str, body: Mapping[str, Any], key: str | int, pour_id: str | None = None
    ) -> StoredEvent:
        """Append the event for the rows just written under `key`, with their seal."""
        connection = self.session.connection()
        tables = []
        for table in SEALED[kind]:
            rows = connection.exec_driver_sql(table.select, (key,))
            tables.append((table.name, [tuple(row) for row in rows]))
        return self.append(kind, {**body, "seal": seal(tables)}, pour_id)


def append_event(
    transaction: Transaction, kind: str, body: Mapping[str, Any], pour_id: str | None = None
) -> StoredEvent:
    """Append one event by itself.

    Raises:
        ValueError: a reserved kind, or a body that JSON cannot say.
    """
    if kind in SEALED:
        raise ValueError(f"an event {kind!r} is only appended together with its rows; use another kind")
    return transaction.append(kind, body, pour_id)
