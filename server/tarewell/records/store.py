"""The way into the records: opens the file, brings it up to date, hands out its parts."""

import asyncio
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Self

from sqlalchemy import func, select

from tarewell.dosing.setup import DosingSettings
from tarewell.menu.values import Menu

from .bottles import Bottles
from .channels import Channels
from .engine import Database
from .glasses import Glasses
from .ids import IdSource
from .journal import Journal
from .learned import Calibrations, InFlights
from .liquids import Liquids
from .migrate import UpgradeResult, upgrade
from .owner import Ownership
from .pours import PourRecords
from .recipes import Recipes
from .round_tables import RoundRow
from .rounds import RoundRecords
from .set_up import Catalogues, apply_changes, read_menu
from .tables import EventRow, PourRow
from .values import Change


def utc_now() -> datetime:
    """The computer's time."""
    return datetime.now(UTC)


@dataclass(frozen=True, slots=True)
class Store:
    """An open database: made by `open`, given back by `close`; `upgraded` is what opening did to the file."""

    journal: Journal
    pours: PourRecords
    rounds: RoundRecords
    liquids: Liquids
    glasses: Glasses
    recipes: Recipes
    channels: Channels
    bottles: Bottles
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
            newest_round = await database.read(lambda session: session.scalar(select(func.max(RoundRow.id))))
            last_seq = await database.read(lambda session: session.scalar(select(func.max(EventRow.seq))))
        except BaseException:
            await database.close()
            raise
        journal = Journal(database, machine_id, clock, last_seq or 0)
        ownership = Ownership(path)
        return cls(
            journal=journal,
            pours=PourRecords(database, journal, IdSource(newest), ownership, program_version),
            rounds=RoundRecords(database, journal, IdSource(newest_round), program_version),
            liquids=Liquids(database, journal),
            glasses=Glasses(database, journal),
            recipes=Recipes(database, journal),
            channels=Channels(database, journal),
            bottles=Bottles(database, journal),
            calibrations=Calibrations(database, journal),
            inflight=InFlights(database, journal),
            upgraded=upgraded,
            _database=database,
            _ownership=ownership,
        )

    async def menu(self, scale_max_g: float, dosing: DosingSettings) -> Menu:
        """All that a recipe is compiled against, in one view; `scale_max_g` is what the scale weighs, and
        `dosing` says how small a dose may be trusted.

        Retired liquids, glasses and recipes are in it too, so that it can be said of them that they are.
        """

        return await self._database.read(
            lambda session: read_menu(session, self._catalogues, scale_max_g, dosing)
        )

    async def apply(self, changes: Sequence[Change]) -> None:
        """Put a whole set-up, or part of one, in one transaction: all of it or nothing.

        The order is no matter: two bottles may trade channels, a liquid may go with the recipe that named it.

        Raises:
            ChangedMeanwhileError: one of the things is not as its `before` says.
            ValueError, UnknownRecordError, InUseError, ChannelTakenError: as for putting them one by one.
            StoreError: it could not be written.
        """
        await self.journal.write(lambda transaction: apply_changes(transaction, self._catalogues, changes))

    @property
    def _catalogues(self) -> Catalogues:
        return Catalogues(self.liquids, self.glasses, self.recipes)

    async def close(self) -> None:
        """Let the last write end and close the file; again is allowed."""
        await self._database.close()
        self._ownership.release()
