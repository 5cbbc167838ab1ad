"""Pours: the intent before a pump turns, the trace while it does, the outcome after."""

import asyncio
from collections.abc import Sequence
from dataclasses import asdict, replace
from typing import Any

from sqlalchemy import func, insert, select
from sqlalchemy.ext.asyncio import AsyncSession

from tarewell.dosing.events import DoseEnded, PourEnded, Tared
from tarewell.dosing.maintenance import Maintenance
from tarewell.dosing.setup import PourSetup

from .chain import POUR_BEGUN, POUR_ENDED, POUR_INTERRUPTED
from .engine import Database
from .errors import IdempotencyConflict, PourOverError, UnknownRecordError
from .ids import IdSource
from .journal import Journal, Transaction
from .liquids import require_in_use
from .maintenance import load_maintenance
from .owner import Ownership
from .pour_list import list_pours
from .pour_rows import (
    check_new,
    dose_outcome_values,
    dose_values,
    load_records,
    recipe_text,
    setup_from,
    setup_text,
)
from .stock import draw
from .tables import DoseOutcomeRow, DoseRow, PourOutcomeRow, PourRow, TraceChunkRow
from .traces import Trace, TraceEntry, TraceError, decode, encode
from .values import INTERRUPTED, NewPour, PourPage, PourQuery, PourRecord

PROGRAM_ENDED = "program_ended"
"""Cause of an interrupted pour: the program, or the computer, went away before the pour was over."""


class PourRecords:
    """The store's pours. What was written is never changed: intent and outcome are rows of their own."""

    def __init__(
        self, database: Database, journal: Journal, ids: IdSource, ownership: Ownership, program_version: str
    ) -> None:
        self._database = database
        self._journal = journal
        self._ids = ids
        self._ownership = ownership
        self._program_version = program_version

    async def begin(self, new: NewPour) -> PourRecord:
        """Commit the intent of a pour. Only after this returns may a pump turn, and not if `replayed` is set.

        With an idempotency key that was used before, the pour of that time is returned, marked `replayed`.

        Raises:
            IdempotencyConflict: that key came with another fingerprint.
            UnknownRecordError: a dose names a liquid that is not in the records.
            RetiredLiquidError: a dose names a liquid that was retired meanwhile.
            ValueError: doses that differ from the plan's, or a key without a fingerprint.
            StoreError: it could not be written; nothing was.
        """
        check_new(new)
        return await self._journal.write(lambda transaction: self._begin(transaction, new))

    async def find(self, idempotency_key: str, fingerprint: str | None) -> PourRecord | None:
        """The pour that this key began, marked `replayed`; None if the key was never used.

        Raises:
            IdempotencyConflict: the key came with another fingerprint.
        """
        return await self._database.read(lambda session: _earlier(session, idempotency_key, fingerprint))

    async def _begin(self, transaction: Transaction, new: NewPour) -> PourRecord:
        session = transaction.session
        if new.idempotency_key is not None:
            earlier = await _earlier(session, new.idempotency_key, new.fingerprint)
            if earlier is not None:
                return earlier
        await require_in_use(session, {dose.liquid_id for dose in new.doses})
        pour_id = self._ids.next(transaction.at)
        await session.execute(insert(PourRow).values(self._pour_values(pour_id, transaction, new)))
        await session.execute(insert(DoseRow), dose_values(pour_id, transaction.machine_id, new))
        body = {
            "origin": new.origin,
            "purpose": new.purpose,
            "recipe": None if new.recipe is None else asdict(new.recipe),
            "doses": [asdict(dose) for dose in new.doses],
        }
        await transaction.tell_sealed(POUR_BEGUN, body, pour_id, pour_id)
        return await _record(session, pour_id)

    def _pour_values(self, pour_id: str, transaction: Transaction, new: NewPour) -> dict[str, Any]:
        return {
            "id": pour_id,
            "machine_id": transaction.machine_id,
            "created_at": transaction.at,
            "idempotency_key": new.idempotency_key,
            "fingerprint": new.fingerprint,
            "setup": setup_text(new.setup),
            "origin": new.origin,
            "program_version": self._program_version,
            "board_id": new.board_id,
            "board_firmware": new.board_firmware,
            "purpose": new.purpose,
            "recipe": recipe_text(new.recipe),
        }

    async def append_trace(
        self, pour_id: str, entries: Sequence[TraceEntry], last_delivered_g: float | None
    ) -> None:
        """Commit what came in and went out since the last chunk, with the mass delivered so far in g.

        Raises:
            UnknownRecordError: there is no such pour.
            PourOverError: it has ended.
            TraceError: an entry that cannot be kept.
            StoreError: it could not be written; the chunks before it are safe.
        """
        data = encode(entries)

        async def work(transaction: Transaction) -> None:
            await _require_open(transaction.session, pour_id)
            await _add_chunk(transaction, pour_id, data, len(entries), last_delivered_g)

        await self._journal.write(work)

    async def finish(
        self,
        pour_id: str,
        ended: PourEnded,
        doses: Sequence[DoseEnded],
        glass_g: float | None,
        entries: Sequence[TraceEntry] = (),
    ) -> PourRecord:
        """Commit the outcome, its doses' outcomes and the last of the trace, all together.

        The bottles mounted now are drawn by what each dose delivered.

        Raises:
            UnknownRecordError: there is no such pour, or a dose that it does not have.
            ValueError: a figure that is no number.
            PourOverError: it has ended before.
            TraceError: an entry that cannot be kept.
            StoreError: it could not be written; the pour is still open.
        """
        data = encode(entries) if entries else None

        async def work(transaction: Transaction) -> PourRecord:
            pour = await _require_open(transaction.session, pour_id)
            if data is not None:
                await _add_chunk(transaction, pour_id, data, len(entries), ended.delivered_g)
            outcome = {
                "ended_at": transaction.at,
                "state": ended.state,
                "cause": ended.cause,
                "delivered_g": ended.delivered_g,
                "glass_g": glass_g,
            }
            await _add_outcome(transaction, POUR_ENDED, pour, outcome, doses)
            return await _record(transaction.session, pour_id)

        return await self._journal.write(work)

    async def close_interrupted(self) -> Sequence[PourRecord]:
        """Become the machine's owner and give every open pour the outcome "interrupted"; oldest first.

        What is known comes from the trace: the last mass, the glass, and the doses that had ended. Called
        once, at the start, by the process that runs the machine.

        Raises:
            StoreInUseError: another process runs the machine with this database.
            StoreError: it could not be written; the pours are still open.
        """
        self._ownership.take()
        return await self._journal.write(_close_open)

    async def get(self, pour_id: str) -> PourRecord:
        """One pour.

        Raises:
            UnknownRecordError: there is no such pour.
        """
        return await self._database.read(lambda session: _record(session, pour_id))

    async def list(self, query: PourQuery) -> PourPage:
        """A page of pours, newest first."""
        return await self._database.read(lambda session: list_pours(session, query))

    async def trace(self, pour_id: str) -> Trace:
        """Everything that the pour was fed and answered, as far as it was written; empty if nothing was.

        Raises:
            UnknownRecordError: there is no such pour.
            TraceError: a chunk that cannot be read.
        """

        async def work(session: AsyncSession) -> list[bytes]:
            await _require_pour(session, pour_id)
            return [chunk.data for chunk in await _chunks(session, pour_id)]

        blobs = await self._database.read(work)
        return await asyncio.to_thread(lambda: [entry for blob in blobs for entry in decode(blob)])

    async def maintenance(self) -> Sequence[Maintenance]:
        """Every prime, flush and purge that is over, oldest first."""
        return await self._database.read(load_maintenance)

    async def setup(self, pour_id: str) -> PourSetup:
        """What the pour started from.

        Raises:
            UnknownRecordError: there is no such pour.
        """
        row = await self._database.read(lambda session: _require_pour(session, pour_id))
        return setup_from(row.setup)


async def _earlier(session: AsyncSession, key: str, fingerprint: str | None) -> PourRecord | None:
    found = (await session.scalars(select(PourRow).where(PourRow.idempotency_key == key))).one_or_none()
    if found is None:
        return None
    if found.fingerprint != fingerprint:
        raise IdempotencyConflict(key, found.id)
    return replace(await _record(session, found.id), replayed=True)


async def _require_pour(session: AsyncSession, pour_id: str) -> PourRow:
    row = await session.get(PourRow, pour_id)
    if row is None:
        raise UnknownRecordError(f"there is no pour {pour_id}; take an id from the list of pours")
    return row


async def _require_open(session: AsyncSession, pour_id: str) -> PourRow:
    pour = await _require_pour(session, pour_id)
    outcome = await session.get(PourOutcomeRow, pour_id)
    if outcome is not None:
        raise PourOverError(
            f"pour {pour_id} has ended, {outcome.state}; what happened is not changed afterwards"
        )
    return pour


async def _record(session: AsyncSession, pour_id: str) -> PourRecord:
    (record,) = await load_records(session, [await _require_pour(session, pour_id)])
    return record


async def _chunks(session: AsyncSession, pour_id: str) -> list[TraceChunkRow]:
    query = select(TraceChunkRow).where(TraceChunkRow.pour_id == pour_id).order_by(TraceChunkRow.number)
    return list(await session.scalars(query))


async def _add_chunk(
    transaction: Transaction, pour_id: str, data: bytes, entries: int, last_delivered_g: float | None
) -> None:
    query = select(func.count()).where(TraceChunkRow.pour_id == pour_id)
    number = await transaction.session.scalar(query)
    await transaction.session.execute(
        insert(TraceChunkRow).values(
            pour_id=pour_id,
            number=number,
            machine_id=transaction.machine_id,
            at=transaction.at,
            entries=entries,
            last_delivered_g=last_delivered_g,
            data=data,
        )
    )


async def _add_outcome(
    transaction: Transaction, kind: str, pour: PourRow, outcome: dict[str, Any], doses: Sequence[DoseEnded]
) -> None:
    session, machine_id, pour_id = transaction.session, transaction.machine_id, pour.id
    known = set(await session.scalars(select(DoseRow.dose_index).where(DoseRow.pour_id == pour_id)))
    if strangers := {dose.index for dose in doses} - known:
        raise UnknownRecordError(
            f"pour {pour_id} has the doses {sorted(known)}, got an outcome for {sorted(strangers)}"
        )
    await session.execute(insert(PourOutcomeRow).values(pour_id=pour_id, machine_id=machine_id, **outcome))
    if doses:
        rows = [dose_outcome_values(pour_id, machine_id, dose) for dose in doses]
        await session.execute(insert(DoseOutcomeRow), rows)
    lines = await draw(transaction, pour_id, pour.purpose, outcome["delivered_g"], doses)
    figures = {name: value for name, value in outcome.items() if name != "ended_at"}
    body = {**figures, "doses": [asdict(dose) for dose in doses], "drawn": lines}
    await transaction.tell_sealed(kind, body, pour_id, pour_id)


async def _close_open(transaction: Transaction) -> Sequence[PourRecord]:
    outcome = select(PourOutcomeRow.pour_id).where(PourOutcomeRow.pour_id == PourRow.id)
    query = select(PourRow).where(~outcome.exists()).order_by(PourRow.id)
    rows = list(await transaction.session.scalars(query))
    for row in rows:
        await _interrupt(transaction, row)
    return await load_records(transaction.session, rows)


async def _interrupt(transaction: Transaction, row: PourRow) -> None:
    chunks = await _chunks(transaction.session, row.id)
    masses = [chunk.last_delivered_g for chunk in chunks if chunk.last_delivered_g is not None]
    entries = [entry for chunk in chunks for entry in _readable(chunk.data)]
    glasses = [entry.item.glass_g for entry in entries if isinstance(entry.item, Tared)]
    outcome = {
        "ended_at": chunks[-1].at if chunks else row.created_at,
        "state": INTERRUPTED,
        "cause": PROGRAM_ENDED,
        "delivered_g": masses[-1] if masses else None,
        "glass_g": glasses[-1] if glasses else None,
    }
    doses = [entry.item for entry in entries if isinstance(entry.item, DoseEnded)]
    await _add_outcome(transaction, POUR_INTERRUPTED, row, outcome, doses)


def _readable(chunk: bytes) -> list[TraceEntry]:
    """The entries, or none where the chunk is damaged: a restart must not fail on an old trace."""
    try:
        return decode(chunk)
    except TraceError:
        return []
