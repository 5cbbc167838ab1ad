"""The way into the records: opens the file, brings it up to date, hands out its parts."""

import asyncio
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Self

from sqlalchemy import func, select

from .engine import Database
from .ids import IdSource
from .journal import Journal
from .learned import Calibrations, InFlights
from .liquids import Channels, Liquids
from .migrate import UpgradeResult, upgrade
from .owner import Ownership
from .pours import Pours
from .tables import EventRow, PourRow


def utc_now() -> datetime:
    """The computer's time."""
    return datetime.now(UTC)


@dataclass(frozen=True, slots=True)
class Store:
    """An open database: made by `open`, given back by `close`; `upgraded` is what opening did to the file."""

    journal: Journal
    pours: Pours
    liquids: Liquids
    channels: Channels
    calibrations: Calibrations
    inflight: InFlights
    upgraded: UpgradeResult
    _database: Database
    _ownership: Ownership

    @classmethod
    async def open(
        cls, path: Path, machine_id: str, program_version: str, clock: Callable[[], datetime] = utc_now
    ) -> Self:
        """Create or upgrade the database at `path` (an older one is backed up first) and open it.

        `machine_id` goes into every row; `clock` gives the time of what is written, aware.

        Raises:
            StoreError: the file cannot be used, in one of its kinds: `NewerDatabaseError`,
                `NotADatabaseError`, `MigrationError`, `DiskFullError`, `ReadOnlyError`, `DamagedError`,
                `StoreInUseError`. The file is then as it was.
        """
        upgraded = await asyncio.to_thread(upgrade, path)
        database = Database(path)
        try:
            await database.check()
            newest = await database.read(lambda session: session.scalar(select(func.max(PourRow.id))))
            last_seq = await database.read(lambda session: session.scalar(select(func.max(EventRow.seq))))
        except BaseException:
            await database.close()
            raise
        journal = Journal(database, machine_id, clock, last_seq or 0)
        ownership = Ownership(path)
        return cls(
            journal=journal,
            pours=Pours(database, journal, IdSource(newest), ownership, program_version),
            liquids=Liquids(database, journal),
            channels=Channels(database, journal),
            calibrations=Calibrations(database, journal),
            inflight=InFlights(database, journal),
            upgraded=upgraded,
            _database=database,
            _ownership=ownership,
        )

    async def close(self) -> None:
        """Let the last write end and close the file; again is allowed."""
        await self._database.close()
        self._ownership.release()
