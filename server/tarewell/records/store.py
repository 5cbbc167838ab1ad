"""The entry point to the records: opens the file, upgrades it, and gives access to its parts."""

import asyncio
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Self

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from tarewell.dosing.setup import DosingSettings
from tarewell.menu.values import Glass, Liquid, Menu, Recipe

from .bottles import Bottles
from .channels import ChannelRecords
from .engine import Database
from .error_history import ErrorHistories
from .ids import IdSource
from .items import Items
from .journal import Journal
from .learned import Calibrations, InFlights
from .order_tables import OrderRow, ServiceRow
from .orders import OrderRecords
from .owner import Ownership
from .pours import PourRecords
from .recordings import Recordings
from .revision import newest_revision, revision_of
from .round_tables import RoundRow
from .rounds import RoundRecords
from .set_up import GLASSES, LIQUIDS, RECIPES, apply_changes, read_menu
from .statistics import Statistics
from .tables import PourRow, RecordingRow
from .transaction import Author
from .values import Change
from .writer import FIRST_RETRY_S, NoWrites, Writer, Writes


def utc_now() -> datetime:
    """The computer's time."""
    return datetime.now(UTC)


@dataclass(frozen=True, slots=True)
class Store:
    """An open database: made by `open`, `beside` or `reading`, ended by `close`.

    `writer` is None where another process writes.
    """

    journal: Journal
    pours: PourRecords
    rounds: RoundRecords
    orders: OrderRecords
    liquids: Items[Liquid]
    glasses: Items[Glass]
    recipes: Items[Recipe]
    channels: ChannelRecords
    bottles: Bottles
    calibrations: Calibrations
    inflight: InFlights
    recordings: Recordings
    statistics: Statistics
    errors: ErrorHistories
    writer: Writer | None
    _writes: Writes
    _database: Database
    _ownership: Ownership

    @classmethod
    async def open(
        cls,
        path: Path,
        machine_id: str,
        program_version: str,
        clock: Callable[[], datetime] = utc_now,
        retry_s: float = FIRST_RETRY_S,
    ) -> Self:
        """Create or upgrade the database at `path` (an older one is backed up first) and open it for writing.

        `machine_id` goes into every row; `clock` gives the time of what is written, aware. `retry_s` is the
        first pause before a write that failed is tried again.

        Raises:
            StoreError: the file cannot be used, in one of its kinds: `NewerDatabaseError`,
                `NotADatabaseError`, `MigrationError`, `DiskFullError`, `ReadOnlyError`, `DamagedError`,
                `StoreInUseError`. The file is then as it was.
        """
        await asyncio.to_thread(_ensure_current, path)
        database = Database(path)
        try:
            await database.check()
            newest = await database.read(_newest_id)
        except BaseException:
            await database.close()
            raise
        author = Author(machine_id, program_version, IdSource(newest))
        writer = (
            Writer(database, author, clock) if retry_s is None else Writer(database, author, clock, retry_s)
        )
        return cls._over(database, writer, writer)

    @classmethod
    def reading(cls, path: Path) -> Self:
        """Open a database for reading alone."""
        return cls._over(Database(path), None, NoWrites())

    @classmethod
    def beside(cls, path: Path, writes: Writes) -> Self:
        """Open a database that another process writes, for reading; `writes` is the way to its writer."""
        return cls._over(Database(path), None, writes)

    @classmethod
    def _over(cls, database: Database, writer: Writer | None, writes: Writes) -> Self:
        ownership = Ownership(database.path)
        return cls(
            journal=Journal(database, writes),
            pours=PourRecords(database, writes, ownership),
            rounds=RoundRecords(database, writes),
            orders=OrderRecords(database, writes),
            liquids=Items(LIQUIDS, database, writes),
            glasses=Items(GLASSES, database, writes),
            recipes=Items(RECIPES, database, writes),
            channels=ChannelRecords(database, writes),
            bottles=Bottles(database, writes),
            calibrations=Calibrations(database, writes),
            inflight=InFlights(database, writes),
            recordings=Recordings(database),
            statistics=Statistics(database),
            errors=ErrorHistories(database),
            writer=writer,
            _writes=writes,
            _database=database,
            _ownership=ownership,
        )

    async def menu(self, scale_max_g: float, dosing: DosingSettings) -> Menu:
        """Everything that a recipe is compiled against, in one snapshot; see `set_up.read_menu`."""
        return await self._database.read(lambda session: read_menu(session, scale_max_g, dosing))

    async def apply(self, changes: Sequence[Change]) -> None:
        """Apply a whole set-up, or part of one, in one transaction; see `set_up.apply_changes`.

        Raises:
            ChangedMeanwhileError: an item is not as its `before` says.
            ValueError, UnknownRecordError, InUseError, ChannelTakenError: as for putting them one by one.
            StoreError: it could not be written.
        """
        await self._writes.write(apply_changes, changes)

    async def close(self) -> None:
        """Finish the last write and close the file; may be repeated."""
        if self.writer is not None:
            await asyncio.to_thread(self.writer.close)
        await self._database.close()
        self._ownership.release()


def _newest_id(session: Session) -> str | None:
    columns = (PourRow.id, RoundRow.id, RecordingRow.id, ServiceRow.id, OrderRow.id)
    ids = [session.scalar(select(func.max(column))) for column in columns]
    return max((found for found in ids if found is not None), default=None)


def _ensure_current(path: Path) -> None:
    """Create the database at `path` or upgrade it to the newest schema; blocks.

    The migrations and their library are only loaded where needed.

    Raises:
        StoreError: as for `migrate.upgrade`.
    """
    if path.exists() and revision_of(path) == newest_revision():
        return
    from .migrate import upgrade

    upgrade(path)
