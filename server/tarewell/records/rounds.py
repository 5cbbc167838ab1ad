"""The public interface to rounds: writing and reading; releases of guests."""

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from tarewell.machine.round_record import NewRelease, NewRound, ReleaseRecord, RoundRecord, ServedRecord
from tarewell.rounds.events import GlassEnded

from .engine import Database
from .round_changes import (
    begin_round,
    close_open_rounds,
    earlier_round,
    end_glass,
    finish_round,
    release_guest,
    round_record,
)
from .round_rows import found_in_glasses, load_rounds
from .round_tables import GuestReleaseRow, RoundGlassOutcomeRow, RoundGlassRow, RoundRow
from .values import MAX_ROUNDS, RoundPage
from .writer import Writes


class RoundRecords:
    """The store's rounds, append-only."""

    def __init__(self, database: Database, writes: Writes) -> None:
        self._database = database
        self._writes = writes

    async def begin(self, new: NewRound) -> RoundRecord:
        """Commit the intent of a round; see `begin_round`."""
        return await self._writes.write(begin_round, new)

    async def find(self, idempotency_key: str, fingerprint: str | None) -> RoundRecord | None:
        """The round that this key began, marked `replayed`; None if the key was never used.

        Raises:
            IdempotencyConflict: the key came with another fingerprint.
        """
        return await self._database.read(lambda session: earlier_round(session, idempotency_key, fingerprint))

    async def end_glass(self, round_id: str, ended: GlassEnded) -> None:
        """Commit the outcome of an attempt at a glass; see `round_changes.end_glass`."""
        await self._writes.write(end_glass, round_id, ended)

    async def finish(self, round_id: str, state: str) -> RoundRecord:
        """Commit the end of a round; see `finish_round`."""
        return await self._writes.write(finish_round, round_id, state)

    async def release(self, new: NewRelease) -> ReleaseRecord:
        """Append the release of a guest's glass: who released it, and why."""
        return await self._writes.write(release_guest, new)

    async def close_interrupted(self) -> list[RoundRecord]:
        """Close what an earlier run left open; called once, at the start, after the pours were closed."""
        return await self._writes.write(close_open_rounds)

    async def get(self, round_id: str) -> RoundRecord:
        """One round.

        Raises:
            UnknownRecordError: there is no such round.
        """
        return await self._database.read(lambda session: round_record(session, round_id))

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

        def work(session: Session) -> RoundPage:
            rows = list(session.scalars(query))
            older = rows[limit - 1].id if len(rows) > limit else None
            return RoundPage(tuple(load_rounds(session, rows[:limit])), older)

        return await self._database.read(work)

    async def served(self, since: datetime) -> Sequence[ServedRecord]:
        """What was poured for guests after `since`, oldest first."""
        return await self._database.read(lambda session: served_since(session, since))

    async def releases(self, guest: str, limit: int = 50) -> Sequence[ReleaseRecord]:
        """The releases of a guest, newest first."""
        query = (
            select(GuestReleaseRow)
            .where(GuestReleaseRow.guest == guest)
            .order_by(GuestReleaseRow.id.desc())
            .limit(limit)
        )

        def work(session: Session) -> Sequence[ReleaseRecord]:
            return [
                ReleaseRecord(row.guest, row.round_id, row.glass_index, row.released_by, row.reason, row.at)
                for row in session.scalars(query)
            ]

        return await self._database.read(work)


def served_since(session: Session, since: datetime) -> list[ServedRecord]:
    """The same as `RoundRecords.served`, within a transaction."""
    glass = (RoundGlassRow.round_id == RoundGlassOutcomeRow.round_id) & (
        RoundGlassRow.glass_index == RoundGlassOutcomeRow.glass_index
    )
    query = (
        select(RoundGlassRow.guest, RoundGlassOutcomeRow)
        .join(RoundGlassRow, glass)
        .where(RoundGlassOutcomeRow.ended_at > since, RoundGlassRow.guest.is_not(None))
        .order_by(RoundGlassOutcomeRow.id)
    )
    served = [(guest, row) for guest, row in session.execute(query) if guest is not None]
    found = found_in_glasses(session, [row for _, row in served])
    return [
        ServedRecord(guest, row.ended_at, row.ethanol_g + (later.ethanol_g if later else 0.0))
        for guest, row in served
        for later in [found.get(row.id)]
    ]
