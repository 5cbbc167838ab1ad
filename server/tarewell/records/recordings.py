"""Recordings of the flight recorder, the newest `MAX_KEPT`: they help to find a fault and are no history."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import delete, insert, select
from sqlalchemy.orm import Session

from .engine import Database
from .errors import UnknownRecordError
from .tables import PourRow, RecordingRow
from .transaction import Transaction

MAX_KEPT = 200


@dataclass(frozen=True, slots=True)
class RecordingSummary:
    """A recording: what caused it and when; `begins_s` and `ends_s` are the times of its first and last entry
    from there, in s."""

    id: str
    caused_at: datetime
    cause: str
    pour_id: str | None
    program_version: str
    begins_s: float
    ends_s: float


class Recordings:
    """The store's recordings."""

    def __init__(self, database: Database) -> None:
        self._database = database

    async def list(self) -> list[RecordingSummary]:
        """All recordings, newest first."""

        def work(session: Session) -> list[RecordingSummary]:
            rows = session.scalars(select(RecordingRow).order_by(RecordingRow.id.desc()))
            return [_summary(row) for row in rows]

        return await self._database.read(work)

    async def get(self, recording_id: str) -> tuple[RecordingSummary, bytes]:
        """One recording, with its data.

        Raises:
            UnknownRecordError: there is no such recording.
        """

        def work(session: Session) -> tuple[RecordingSummary, bytes]:
            row = session.get(RecordingRow, recording_id)
            if row is None:
                raise UnknownRecordError(
                    f"there is no recording {recording_id}; `tarewell recordings` lists them"
                )
            return _summary(row), row.data

        return await self._database.read(work)


def add_recording(
    transaction: Transaction,
    cause: str,
    pour_id: str | None,
    begun_s: float,
    caused_s: float,
    ended_s: float,
    data: bytes,
) -> None:
    """Write a recording that ends now, and drop the oldest beyond `MAX_KEPT`. Times in s of one clock. It
    names its pour only where that has a row of its own."""
    if pour_id is not None and transaction.session.get(PourRow, pour_id) is None:
        pour_id = None
    recording_id = transaction.new_id()
    transaction.session.execute(
        insert(RecordingRow).values(
            id=recording_id,
            machine_id=transaction.machine_id,
            caused_at=transaction.at - timedelta(seconds=ended_s - caused_s),
            cause=cause,
            pour_id=pour_id,
            program_version=transaction.author.program_version,
            begins_s=begun_s - caused_s,
            ends_s=ended_s - caused_s,
            data=data,
        )
    )
    newest = select(RecordingRow.id).order_by(RecordingRow.id.desc()).limit(MAX_KEPT)
    transaction.session.execute(delete(RecordingRow).where(RecordingRow.id.not_in(newest)))
    transaction.append("recording_added", {"id": recording_id, "cause": cause}, pour_id)


def _summary(row: RecordingRow) -> RecordingSummary:
    return RecordingSummary(
        row.id, row.caused_at, row.cause, row.pour_id, row.program_version, row.begins_s, row.ends_s
    )
