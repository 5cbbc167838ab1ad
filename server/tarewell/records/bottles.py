"""Bottles on the shelf and on the channels, and the ledger of what is in them."""

from collections.abc import Callable, Coroutine
from dataclasses import replace
from typing import Any

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from tarewell.menu.ledger import Level, Moved, correction, level_of
from tarewell.menu.values import Bottle, Movement

from .catalogue import ANY, Unchecked, require_expected
from .engine import Database
from .journal import Journal, Transaction
from .shelf import (
    all_bottles,
    mount,
    mounted_on,
    put_bottle,
    require_bottle,
    require_possible,
    seen_with_content,
    unmount,
)
from .stock import move
from .tables import StockMovementRow
from .values import MAX_PAGE, StockMovement


class Bottles:
    """The store's bottles. What is in one is the sum of its movements, which are never changed."""

    def __init__(self, database: Database, journal: Journal) -> None:
        self._database = database
        self._journal = journal

    async def all(self, emptied: bool = False) -> list[Bottle]:
        """The bottles by id; those that are empty and on no channel only if asked for."""
        return await self._database.read(all_bottles if emptied else _in_use)

    async def get(self, bottle_id: str) -> Bottle:
        """One bottle.

        Raises:
            UnknownRecordError: there is none of that id.
        """
        return await self._database.read(lambda session: require_bottle(session, bottle_id))

    async def put(self, bottle: Bottle, expected: Bottle | Unchecked | None = ANY) -> Bottle:
        """Add a bottle, whose content opens its ledger, or change one; the bottle as it is now.

        Of a bottle that is there the content is left as it is, and so is it in comparing with `expected`:
        movements alone change it. When it was opened is kept once it is known.

        Raises:
            ValueError: something about it cannot be; mostly as FaultyError.
            UnknownRecordError: there is no such liquid or channel.
            InUseError: the liquid is retired, or would be another while the bottle is not empty or is being
                poured from.
            ChannelTakenError: another bottle is mounted on the channel.
            ChangedMeanwhileError: what is there is not what was `expected`.
            StoreError: it could not be written.
        """

        async def work(transaction: Transaction) -> Bottle:
            await put_bottle(transaction, bottle, expected)
            return await require_bottle(transaction.session, bottle.id)

        return await self._journal.write(work)

    async def mount(self, bottle_id: str, channel: int) -> Bottle:
        """Mount a bottle, from the shelf or another channel, and give its liquid to the channel.

        The tube still holds the liquid of before: flush it first.

        Raises:
            UnknownRecordError: there is no such bottle or channel.
            ChannelTakenError: another bottle is mounted there.
            InUseError: its liquid is retired, or a channel is being poured from that would lose its liquid.
            StoreError: it could not be written.
        """
        return await self._change(bottle_id, lambda turn, bottle: mount(turn, bottle, channel))

    async def unmount(self, bottle_id: str) -> Bottle:
        """Put a bottle on the shelf; its channel keeps its liquid, which is still in the tube.

        Raises:
            UnknownRecordError: there is no such bottle.
            InUseError: it is being poured from.
            StoreError: it could not be written.
        """
        return await self._change(bottle_id, unmount)

    async def swap(self, channel: int, bottle_id: str) -> Bottle:
        """Mount a bottle in place of the one that is on the channel, if any.

        Raises:
            UnknownRecordError: there is no such bottle or channel.
            InUseError: its liquid is retired, or a channel is being poured from that would lose its liquid.
            StoreError: it could not be written.
        """

        async def swap(transaction: Transaction, bottle: Bottle) -> None:
            mounted = await mounted_on(transaction.session, channel)
            if mounted is not None and mounted != bottle_id:
                before = await require_bottle(transaction.session, mounted)
                await unmount(transaction, before, to_same=before.liquid_id == bottle.liquid_id)
            await mount(transaction, bottle, channel)

        return await self._change(bottle_id, swap)

    async def weigh(self, bottle_id: str, gross_g: float) -> Bottle:
        """Set the content to what the bottle weighs, its own glass included.

        Raises:
            UnknownRecordError: there is no such bottle.
            MenuError: the empty bottle's mass is not known, or the weighing cannot be of this bottle.
            StoreError: it could not be written.
        """
        return await self._change(
            bottle_id, lambda turn, bottle: move(turn, bottle_id, correction(bottle, gross_g))
        )

    async def correct(self, bottle_id: str, content_g: float) -> Bottle:
        """Set the content to what somebody sees is in the bottle.

        Raises:
            UnknownRecordError: there is no such bottle.
            FaultyError: no content that the bottle could have.
            StoreError: it could not be written.
        """

        async def correct(transaction: Transaction, bottle: Bottle) -> None:
            require_possible(replace(bottle, content_g=content_g))
            await move(transaction, bottle_id, Moved(Movement.CORRECTION, content_g - bottle.content_g))

        return await self._change(bottle_id, correct)

    async def discard(self, bottle_id: str, expected: Bottle | Unchecked | None = ANY) -> Bottle:
        """Take a bottle off its channel and write off what is in it; its movements stay.

        Raises:
            UnknownRecordError: there is no such bottle.
            ChangedMeanwhileError: what is there is not what was `expected`, its content apart.
            InUseError: it is being poured from.
            StoreError: it could not be written.
        """

        async def discard(transaction: Transaction, bottle: Bottle) -> None:
            require_expected(f"the bottle {bottle_id}", bottle, seen_with_content(expected, bottle))
            await unmount(transaction, bottle)
            if bottle.content_g:
                await move(transaction, bottle_id, Moved(Movement.CORRECTION, -bottle.content_g))

        return await self._change(bottle_id, discard)

    async def movements(self, bottle_id: str, limit: int = MAX_PAGE) -> list[StockMovement]:
        """The bottle's ledger, newest first, at most `limit` lines.

        Raises:
            UnknownRecordError: there is no such bottle.
        """
        query = select(StockMovementRow).where(StockMovementRow.bottle_id == bottle_id)
        newest = query.order_by(StockMovementRow.id.desc()).limit(limit)

        async def work(session: AsyncSession) -> list[StockMovement]:
            await require_bottle(session, bottle_id)
            return [_movement(row) for row in await session.scalars(newest)]

        return await self._database.read(work)

    async def _change(
        self, bottle_id: str, act: Callable[[Transaction, Bottle], Coroutine[Any, Any, None]]
    ) -> Bottle:
        """Do something to a bottle in one transaction; the bottle as it is then."""

        async def work(transaction: Transaction) -> Bottle:
            await act(transaction, await require_bottle(transaction.session, bottle_id))
            return await require_bottle(transaction.session, bottle_id)

        return await self._journal.write(work)


async def _in_use(session: AsyncSession) -> list[Bottle]:
    return [
        bottle
        for bottle in await all_bottles(session)
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
