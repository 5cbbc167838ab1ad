"""Bottles on the shelf and on the channels, and the ledger of their contents."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from tarewell.menu.ledger import Level, level_of
from tarewell.menu.values import Bottle, Movement

from .catalogue import ANY, Unchecked
from .changes import (
    correct_bottle,
    discard_bottle,
    keep_bottle,
    mount_bottle,
    unmount_bottle,
    weigh_bottle,
)
from .engine import Database
from .shelf import all_bottles, require_bottle
from .swaps import swap_bottle, undo_swap
from .tables import StockMovementRow
from .values import MAX_PAGE, StockMovement
from .writer import Writes


class Bottles:
    """The store's bottles. A content is the sum of the bottle's movements, which are never changed."""

    def __init__(self, database: Database, writes: Writes) -> None:
        self._database = database
        self._writes = writes

    async def all(self, emptied: bool = False) -> list[Bottle]:
        """The bottles by id; empty ones on no channel only if `emptied`."""
        return await self._database.read(all_bottles if emptied else _in_use)

    async def get(self, bottle_id: str) -> Bottle:
        """One bottle.

        Raises:
            UnknownRecordError: there is none of that id.
        """
        return await self._database.read(lambda session: require_bottle(session, bottle_id))

    async def put(self, bottle: Bottle, expected: Bottle | Unchecked | None = ANY) -> Bottle:
        """Add a bottle, whose content opens its ledger, or change one; returns the bottle as it is now.

        The content of an existing bottle stays, and is left out of the comparison with `expected`: movements
        alone change it. A known opening time stays too.

        Raises:
            ValueError: it has faults; mostly as FaultyError.
            UnknownRecordError: there is no such liquid or channel.
            InUseError: the liquid is retired, or would change while the bottle is not empty or is being
                poured from.
            ChannelTakenError: another bottle is mounted on the channel.
            ChangedMeanwhileError: the stored bottle is not `expected`.
            StoreError: it could not be written.
        """
        return await self._writes.write(keep_bottle, bottle, expected)

    async def mount(self, bottle_id: str, channel: int) -> Bottle:
        """Mount a bottle, from the shelf or another channel, and assign its liquid to the channel.

        The tube still holds the previous liquid: flush it first.

        Raises:
            UnknownRecordError: there is no such bottle or channel.
            ChannelTakenError: another bottle is mounted there.
            InUseError: its liquid is retired, or a channel is being poured from that would lose its liquid.
            StoreError: it could not be written.
        """
        return await self._writes.write(mount_bottle, bottle_id, channel)

    async def unmount(self, bottle_id: str) -> Bottle:
        """Put a bottle on the shelf; the liquid stays assigned to the channel, since it is still in the tube.

        Raises:
            UnknownRecordError: there is no such bottle.
            InUseError: it is being poured from.
            StoreError: it could not be written.
        """
        return await self._writes.write(unmount_bottle, bottle_id)

    async def swap(
        self, channel: int, bottle_id: str, emptied: bool = False, new: Bottle | None = None
    ) -> Bottle:
        """Mount a bottle in place of the one that is on the channel, if any; `new` adds it first.

        A pour under way draws what it has delivered, by the last mass written, from the bottle that comes
        off, and the rest from the new one. With `emptied` the content of the one that comes off is written
        off.

        Raises:
            UnknownRecordError: there is no such bottle or channel.
            InUseError: its liquid is retired, or a channel is being poured from that would lose its liquid.
            ChangedMeanwhileError: there is a bottle of the new one's id.
            ValueError: the new one has faults; mostly as FaultyError.
            StoreError: it could not be written.
        """
        return await self._writes.write(swap_bottle, channel, bottle_id, emptied, new)

    async def undo_swap(self, channel: int) -> Bottle | None:
        """Undo the last swap on a channel, within 20 s, or until the next pour from it begins. Returns the
        bottle that is back on it with its content, None if there was none.

        Raises:
            UnknownRecordError: there is no such channel, or no swap on it to undo.
            InUseError: it is too late, something was done to one of the bottles since, or a channel is being
                poured from that would lose its liquid.
            StoreError: it could not be written.
        """
        return await self._writes.write(undo_swap, channel)

    async def weigh(self, bottle_id: str, gross_g: float) -> Bottle:
        """Set the content by weighing the bottle with its content.

        Raises:
            UnknownRecordError: there is no such bottle.
            MenuError: the empty bottle's mass is not known, or the weighing cannot be this bottle's.
            StoreError: it could not be written.
        """
        return await self._writes.write(weigh_bottle, bottle_id, gross_g)

    async def correct(self, bottle_id: str, content_g: float) -> Bottle:
        """Set the content to an estimate.

        Raises:
            UnknownRecordError: there is no such bottle.
            FaultyError: an impossible content.
            StoreError: it could not be written.
        """
        return await self._writes.write(correct_bottle, bottle_id, content_g)

    async def discard(self, bottle_id: str, expected: Bottle | Unchecked | None = ANY) -> Bottle:
        """Take a bottle off its channel and write off its content; its movements stay.

        Raises:
            UnknownRecordError: there is no such bottle.
            ChangedMeanwhileError: the stored item is not `expected`, its content apart.
            InUseError: it is being poured from.
            StoreError: it could not be written.
        """
        return await self._writes.write(discard_bottle, bottle_id, expected)

    async def movements(self, bottle_id: str, limit: int = MAX_PAGE) -> list[StockMovement]:
        """The bottle's ledger, newest first, at most `limit` lines.

        Raises:
            UnknownRecordError: there is no such bottle.
        """
        query = select(StockMovementRow).where(StockMovementRow.bottle_id == bottle_id)
        newest = query.order_by(StockMovementRow.id.desc()).limit(limit)

        def work(session: Session) -> list[StockMovement]:
            require_bottle(session, bottle_id)
            return [_movement(row) for row in session.scalars(newest)]

        return await self._database.read(work)


def _in_use(session: Session) -> list[Bottle]:
    return [
        bottle
        for bottle in all_bottles(session)
        if bottle.channel is not None or level_of(bottle) is not Level.EMPTY
    ]


def _movement(row: StockMovementRow) -> StockMovement:
    return StockMovement(
        id=row.id,
        bottle_id=row.bottle_id,
        at=row.at,
        kind=Movement(row.kind),
        change_g=row.change_g,
        pour_id=row.pour_id,
        dose_index=row.dose_index,
    )
