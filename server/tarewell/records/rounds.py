"""Rounds: the intent before the first glass, the outcome of each glass, the end; and releases of guests."""

from collections.abc import Sequence
from dataclasses import asdict, replace
from datetime import datetime

from sqlalchemy import insert, select
from sqlalchemy.ext.asyncio import AsyncSession

from tarewell.quantities.strength import DrinkStrength
from tarewell.rounds.events import Ending, GlassEnded

from .chain import GLASS_ENDED, GUEST_RELEASED, ROUND_BEGUN, ROUND_ENDED, canonical
from .engine import Database
from .errors import IdempotencyConflict, RoundOverError, UnknownRecordError
from .ids import IdSource
from .journal import Journal, Transaction
from .round_ends import interrupted
from .round_rows import glass_values, liquids_text, load_rounds, strength_values
from .round_tables import GuestReleaseRow, RoundGlassOutcomeRow, RoundGlassRow, RoundOutcomeRow, RoundRow
from .round_values import (
    MAX_ROUNDS,
    NewRelease,
    NewRound,
    ReleaseRecord,
    RoundPage,
    RoundRecord,
    ServedRecord,
)
from .values import INTERRUPTED


class RoundRecords:
    """The store's rounds. What was written is never changed."""

    def __init__(self, database: Database, journal: Journal, ids: IdSource, program_version: str) -> None:
        self._database = database
        self._journal = journal
        self._ids = ids
        self._program_version = program_version

    async def begin(self, new: NewRound) -> RoundRecord:
        """Commit the intent of a round. With a key that was used before, the round of that time is returned,
        marked `replayed`.

        Raises:
            IdempotencyConflict: that key came with another fingerprint.
            ValueError: a key without a fingerprint.
            StoreError: it could not be written; nothing was.
        """
        if (new.idempotency_key is None) != (new.fingerprint is None):
            raise ValueError("an idempotency key and its fingerprint come together; give both or none")

        async def work(transaction: Transaction) -> RoundRecord:
            session = transaction.session
            if new.idempotency_key is not None:
                earlier = await _earlier(session, new.idempotency_key, new.fingerprint)
                if earlier is not None:
                    return earlier
            round_id = self._ids.next(transaction.at)
            await session.execute(
                insert(RoundRow).values(
                    id=round_id,
                    machine_id=transaction.machine_id,
                    created_at=transaction.at,
                    idempotency_key=new.idempotency_key,
                    fingerprint=new.fingerprint,
                    origin=new.origin,
                    program_version=self._program_version,
                    auto_start=new.plan.auto_start,
                    liquids=liquids_text(new.plan),
                )
            )
            rows = glass_values(round_id, transaction.machine_id, new.plan)
            await session.execute(insert(RoundGlassRow), rows)
            glasses = [
                {"recipe_id": glass.drink.recipe_id, "name": glass.drink.name, "guest": glass.guest}
                for glass in new.plan.glasses
            ]
            body = {"round_id": round_id, "origin": new.origin, "glasses": glasses}
            await transaction.tell_sealed(ROUND_BEGUN, body, round_id)
            return await _record(session, round_id)

        return await self._journal.write(work)

    async def find(self, idempotency_key: str, fingerprint: str | None) -> RoundRecord | None:
        """The round that this key began, marked `replayed`; None if the key was never used.

        Raises:
            IdempotencyConflict: the key came with another fingerprint.
        """
        return await self._database.read(lambda session: _earlier(session, idempotency_key, fingerprint))

    async def end_glass(self, round_id: str, ended: GlassEnded) -> None:
        """Commit the outcome of an attempt at a glass.

        Raises:
            UnknownRecordError: there is no such round.
            RoundOverError: it has ended.
            StoreError: it could not be written.
        """

        async def work(transaction: Transaction) -> None:
            await _require_open(transaction.session, round_id)
            await _end_glass(
                transaction,
                round_id,
                (ended.glass, ended.attempt),
                ended.ending,
                ended.pour_ids,
                ended.outcome.delivered,
            )

        await self._journal.write(work)

    async def finish(self, round_id: str, state: str) -> RoundRecord:
        """Commit the end of a round.

        Raises:
            UnknownRecordError: there is no such round.
            RoundOverError: it has ended before.
            StoreError: it could not be written; the round is still open.
        """

        async def work(transaction: Transaction) -> RoundRecord:
            await _require_open(transaction.session, round_id)
            await _finish(transaction, round_id, state)
            return await _record(transaction.session, round_id)

        return await self._journal.write(work)

    async def release(self, new: NewRelease) -> ReleaseRecord:
        """Keep who let a guest's glass be poured, and why.

        Raises:
            StoreError: it could not be written, or there is no such glass.
        """

        async def work(transaction: Transaction) -> ReleaseRecord:
            statement = insert(GuestReleaseRow).values(
                machine_id=transaction.machine_id, at=transaction.at, **asdict(new)
            )
            key = (await transaction.session.execute(statement.returning(GuestReleaseRow.id))).scalar_one()
            await transaction.tell_sealed(GUEST_RELEASED, {**asdict(new), "release_id": key}, key)
            return ReleaseRecord(**asdict(new), at=transaction.at)

        return await self._journal.write(work)

    async def close_interrupted(self) -> list[RoundRecord]:
        """Give every open round the outcome "interrupted", and the glass that was begun what its pours say.

        Called once, at the start, after the pours were closed.

        Raises:
            StoreError: it could not be written; the rounds are still open.
        """

        async def work(transaction: Transaction) -> list[RoundRecord]:
            session = transaction.session
            over = select(RoundOutcomeRow.round_id).where(RoundOutcomeRow.round_id == RoundRow.id)
            rows = list(await session.scalars(select(RoundRow).where(~over.exists()).order_by(RoundRow.id)))
            for record in await load_rounds(session, rows):
                for attempt, pour_ids, held in await interrupted(session, record):
                    await _end_glass(
                        transaction, record.id, attempt, Ending.INTERRUPTED, pour_ids, held.delivered
                    )
                await _finish(transaction, record.id, INTERRUPTED)
            return await load_rounds(session, rows)

        return await self._journal.write(work)

    async def get(self, round_id: str) -> RoundRecord:
        """One round.

        Raises:
            UnknownRecordError: there is no such round.
        """
        return await self._database.read(lambda session: _record(session, round_id))

    async def list(self, limit: int = 50, before: str | None = None) -> RoundPage:
        """Rounds, newest first, older than the one of id `before`.

        Raises:
            ValueError: a limit outside 1 to `MAX_ROUNDS`.
        """
        if not 1 <= limit <= MAX_ROUNDS:
            raise ValueError(f"a page holds 1 to {MAX_ROUNDS} rounds, got {limit}")
        query = select(RoundRow).order_by(RoundRow.id.desc()).limit(limit + 1)
        if before is not None:
            query = query.where(RoundRow.id < before)

        async def work(session: AsyncSession) -> RoundPage:
            rows = list(await session.scalars(query))
            older = rows[limit - 1].id if len(rows) > limit else None
            return RoundPage(tuple(await load_rounds(session, rows[:limit])), older)

        return await self._database.read(work)

    async def served(self, since: datetime) -> Sequence[ServedRecord]:
        """What was poured for guests after `since`, oldest first."""
        query = (
            select(RoundGlassRow.guest, RoundGlassOutcomeRow.ended_at, RoundGlassOutcomeRow.ethanol_g)
            .join(
                RoundGlassRow,
                (RoundGlassRow.round_id == RoundGlassOutcomeRow.round_id)
                & (RoundGlassRow.glass_index == RoundGlassOutcomeRow.glass_index),
            )
            .where(RoundGlassOutcomeRow.ended_at > since, RoundGlassRow.guest.is_not(None))
            .order_by(RoundGlassOutcomeRow.id)
        )

        async def work(session: AsyncSession) -> Sequence[ServedRecord]:
            return [
                ServedRecord(guest, at, ethanol_g)
                for guest, at, ethanol_g in await session.execute(query)
                if guest is not None
            ]

        return await self._database.read(work)

    async def releases(self, guest: str, limit: int = 50) -> Sequence[ReleaseRecord]:
        """The releases of a guest, newest first."""
        query = (
            select(GuestReleaseRow)
            .where(GuestReleaseRow.guest == guest)
            .order_by(GuestReleaseRow.id.desc())
            .limit(limit)
        )

        async def work(session: AsyncSession) -> Sequence[ReleaseRecord]:
            return [
                ReleaseRecord(row.guest, row.round_id, row.glass_index, row.released_by, row.reason, row.at)
                for row in await session.scalars(query)
            ]

        return await self._database.read(work)


async def _earlier(session: AsyncSession, key: str, fingerprint: str | None) -> RoundRecord | None:
    found = (await session.scalars(select(RoundRow).where(RoundRow.idempotency_key == key))).one_or_none()
    if found is None:
        return None
    if found.fingerprint != fingerprint:
        raise IdempotencyConflict(key, found.id, "round")
    return replace(await _record(session, found.id), replayed=True)


async def _record(session: AsyncSession, round_id: str) -> RoundRecord:
    row = await session.get(RoundRow, round_id)
    if row is None:
        raise UnknownRecordError(f"there is no round {round_id}; take an id from the list of rounds")
    (record,) = await load_rounds(session, [row])
    return record


async def _require_open(session: AsyncSession, round_id: str) -> None:
    record = await _record(session, round_id)
    if record.outcome_state is not None:
        raise RoundOverError(
            f"round {round_id} has ended, {record.outcome_state}; what happened is not changed afterwards"
        )


async def _end_glass(
    transaction: Transaction,
    round_id: str,
    which: tuple[int, int],
    ending: Ending,
    pour_ids: Sequence[str],
    delivered: DrinkStrength,
) -> None:
    glass, attempt = which
    statement = insert(RoundGlassOutcomeRow).values(
        machine_id=transaction.machine_id,
        round_id=round_id,
        glass_index=glass,
        attempt=attempt,
        ended_at=transaction.at,
        ending=ending.value,
        pour_ids=canonical(list(pour_ids)),
        **strength_values(delivered),
    )
    key = (await transaction.session.execute(statement.returning(RoundGlassOutcomeRow.id))).scalar_one()
    body = {
        "round_id": round_id,
        "glass": glass,
        "attempt": attempt,
        "ending": ending.value,
        "pour_ids": list(pour_ids),
        "delivered": strength_values(delivered),
        "outcome_id": key,
    }
    await transaction.tell_sealed(GLASS_ENDED, body, key)


async def _finish(transaction: Transaction, round_id: str, state: str) -> None:
    await transaction.session.execute(
        insert(RoundOutcomeRow).values(
            round_id=round_id, machine_id=transaction.machine_id, ended_at=transaction.at, state=state
        )
    )
    await transaction.tell_sealed(ROUND_ENDED, {"round_id": round_id, "state": state}, round_id)
