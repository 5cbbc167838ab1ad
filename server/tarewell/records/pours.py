"""The public interface to pours: writing and reading."""

import asyncio
from collections.abc import Sequence
from datetime import datetime

from sqlalchemy.orm import Session

from tarewell.charts.trace_picture import TracePicture, picture_of
from tarewell.dosing.drips import Dripped
from tarewell.dosing.events import DoseEnded, PourEnded
from tarewell.dosing.maintenance import TubeState
from tarewell.dosing.setup import PourSetup
from tarewell.dosing.traces import Trace, TraceEntry, decode
from tarewell.dosing.uncertainty import SeenDrips
from tarewell.machine.pour_record import FoundLater, NewPour, PourRecord
from tarewell.menu.outlook import DrawnLately

from .engine import Database
from .found_later import add_found_later
from .late_drips import add_late_drips, seen_drips
from .owner import Ownership
from .pour_changes import (
    append_trace,
    begin_pour,
    close_open_pours,
    earlier_pour,
    finish_pour,
    pour_record,
    require_pour,
    trace_chunks,
)
from .pour_list import drawn_lately, list_pours
from .pour_rows import setup_from
from .tubes import load_tubes
from .values import PourPage, PourQuery
from .writer import Writes


class PourRecords:
    """The store's pours, append-only: intent and outcome are rows of their own."""

    def __init__(self, database: Database, writes: Writes, ownership: Ownership) -> None:
        self._database = database
        self._writes = writes
        self._ownership = ownership

    async def begin(self, new: NewPour) -> PourRecord:
        """Commit the intent of a pour; see `begin_pour`.

        Raises:
            IdempotencyConflict, PlanError, ValueError: as there.
            StoreError: it could not be written.
        """
        return await self._writes.write(begin_pour, new)

    async def find(self, idempotency_key: str, fingerprint: str | None) -> PourRecord | None:
        """The pour that this key began, marked `replayed`; None if the key was never used.

        Raises:
            IdempotencyConflict: the key came with another fingerprint.
        """
        return await self._database.read(lambda session: earlier_pour(session, idempotency_key, fingerprint))

    async def append_trace(
        self, pour_id: str, entries: Sequence[TraceEntry], last_delivered_g: float | None
    ) -> None:
        """Commit a chunk of the trace; see `pour_changes.append_trace`."""
        await self._writes.write(append_trace, pour_id, entries, last_delivered_g)

    async def finish(
        self,
        pour_id: str,
        ended: PourEnded,
        doses: Sequence[DoseEnded],
        glass_g: float | None,
        entries: Sequence[TraceEntry] = (),
    ) -> PourRecord:
        """Commit the outcome; see `finish_pour`."""
        return await self._writes.write(finish_pour, pour_id, ended, doses, glass_g, entries)

    async def add_found_later(self, found: FoundLater) -> None:
        """Commit what was found after a pour; see `found_later.add_found_later`."""
        await self._writes.write(add_found_later, found)

    async def add_late_drips(self, pour_id: str, dripped: Dripped) -> None:
        """Commit what dripped after a pour; see `late_drips.add_late_drips`."""
        await self._writes.write(add_late_drips, pour_id, dripped)

    async def seen_drips(self) -> dict[tuple[int, str], SeenDrips]:
        """What the channels usually drip after the verdict, by channel and liquid id."""
        return await self._database.read(seen_drips)

    async def close_interrupted(self) -> Sequence[PourRecord]:
        """Become the machine's owner and give every open pour the outcome "interrupted"; oldest first.

        The outcome comes from the trace: the last mass, the glass, and the doses that had ended. Called
        once, at the start, by the process that runs the machine.

        Raises:
            StoreInUseError: another process runs the machine with this database.
            StoreError: it could not be written; the pours are still open.
        """
        self._ownership.take()
        return await self._writes.write(close_open_pours)

    async def get(self, pour_id: str) -> PourRecord:
        """One pour.

        Raises:
            UnknownRecordError: there is no such pour.
        """
        return await self._database.read(lambda session: pour_record(session, pour_id))

    async def drawn_lately(self, now: datetime) -> DrawnLately:
        """What drinks have had from each channel in the time before `now` by which a pace is counted."""
        return await self._database.read(lambda session: drawn_lately(session, now))

    async def list(self, query: PourQuery) -> PourPage:
        """A page of pours, newest first."""
        return await self._database.read(lambda session: list_pours(session, query))

    async def trace(self, pour_id: str) -> Trace:
        """The pour's events and outputs, as far as they were written.

        Raises:
            UnknownRecordError: there is no such pour.
            TraceError: a chunk that cannot be read.
        """

        def work(session: Session) -> list[bytes]:
            require_pour(session, pour_id)
            return [chunk.data for chunk in trace_chunks(session, pour_id)]

        blobs = await self._database.read(work)
        return await asyncio.to_thread(lambda: [entry for blob in blobs for entry in decode(blob)])

    async def picture(self, pour_id: str) -> TracePicture:
        """The trace as a picture needs it, as far as it was written; drawn in a thread.

        Raises:
            UnknownRecordError, TraceError: as `trace`.
        """
        trace, setup = await self.trace(pour_id), await self.setup(pour_id)
        return await asyncio.to_thread(picture_of, trace, setup)

    async def tubes(self) -> dict[int, TubeState]:
        """What each channel's tube holds by the pours that are over; see `load_tubes`."""
        return await self._database.read(load_tubes)

    async def setup(self, pour_id: str) -> PourSetup:
        """What the pour started from.

        Raises:
            UnknownRecordError: there is no such pour.
        """
        row = await self._database.read(lambda session: require_pour(session, pour_id))
        return setup_from(row.setup)
