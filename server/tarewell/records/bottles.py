"""Bottles on the shelf and on the channels, and the ledger of what is in them."""

from dataclasses import replace
from datetime import datetime
from typing import TypeVar

from sqlalchemy import select, update
from sqlalchemy.dialects.sqlite import insert
from sqlalchemy.ext.asyncio import AsyncSession

from tarewell.menu.checks import faults_of_bottle
from tarewell.menu.ledger import Level, Moved, correction, level_of
from tarewell.menu.values import Bottle, Movement

from .catalogue import ANY, Unchecked, require_expected
from .channels import assign, require_channel
from .engine import Database
from .errors import ChannelTakenError, FaultyError, InUseError, UnknownRecordError
from .journal import Journal, Transaction
from .liquids import require_in_use
from .menu_rows import bottle_of, bottle_values
from .stock import contents, move
from .tables import BottleRow, StockMovementRow, utc_text
from .values import PAGE_MOST, StockMovement

T = TypeVar("T")


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
            InUseError: the liquid is retired, or would be another while the bottle is not empty.
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
            RetiredLiquidError: its liquid is retired.
            StoreError: it could not be written.
        """

        async def work(transaction: Transaction) -> Bottle:
            await mount(transaction, await require_bottle(transaction.session, bottle_id), channel)
            return await require_bottle(transaction.session, bottle_id)

        return await self._journal.write(work)

    async def unmount(self, bottle_id: str) -> Bottle:
        """Put a bottle on the shelf; its channel keeps its liquid, which is still in the tube.

        Raises:
            UnknownRecordError: there is no such bottle.
            StoreError: it could not be written.
        """

        async def work(transaction: Transaction) -> Bottle:
            await unmount(transaction, await require_bottle(transaction.session, bottle_id))
            return await require_bottle(transaction.session, bottle_id)

        return await self._journal.write(work)

    async def swap(self, channel: int, bottle_id: str) -> Bottle:
        """Mount a bottle in place of the one that is on the channel, if any.

        Raises:
            UnknownRecordError: there is no such bottle or channel.
            RetiredLiquidError: its liquid is retired.
            StoreError: it could not be written.
        """

        async def work(transaction: Transaction) -> Bottle:
            bottle = await require_bottle(transaction.session, bottle_id)
            mounted = await mounted_on(transaction.session, channel)
            if mounted is not None and mounted != bottle_id:
                await unmount(transaction, await require_bottle(transaction.session, mounted))
            await mount(transaction, bottle, channel)
            return await require_bottle(transaction.session, bottle_id)

        return await self._journal.write(work)

    async def weigh(self, bottle_id: str, gross_g: float) -> Bottle:
        """Set the content to what the bottle weighs, its own glass included.

        Raises:
            UnknownRecordError: there is no such bottle.
            MenuError: the empty bottle's mass is not known, or the weighing cannot be of this bottle.
            StoreError: it could not be written.
        """

        async def work(transaction: Transaction) -> Bottle:
            bottle = await require_bottle(transaction.session, bottle_id)
            await move(transaction, bottle_id, correction(bottle, gross_g))
            return await require_bottle(transaction.session, bottle_id)

        return await self._journal.write(work)

    async def correct(self, bottle_id: str, content_g: float) -> Bottle:
        """Set the content to what somebody sees is in the bottle.

        Raises:
            UnknownRecordError: there is no such bottle.
            FaultyError: no content that the bottle could have.
            StoreError: it could not be written.
        """

        async def work(transaction: Transaction) -> Bottle:
            bottle = await require_bottle(transaction.session, bottle_id)
            _require_possible(replace(bottle, content_g=content_g))
            moved = Moved(Movement.CORRECTION, content_g - bottle.content_g)
            await move(transaction, bottle_id, moved)
            return await require_bottle(transaction.session, bottle_id)

        return await self._journal.write(work)

    async def discard(self, bottle_id: str) -> Bottle:
        """Take a bottle off its channel and write off what is in it; its movements stay.

        Raises:
            UnknownRecordError: there is no such bottle.
            StoreError: it could not be written.
        """

        async def work(transaction: Transaction) -> Bottle:
            bottle = await require_bottle(transaction.session, bottle_id)
            await unmount(transaction, bottle)
            if bottle.content_g:
                await move(transaction, bottle_id, Moved(Movement.CORRECTION, -bottle.content_g))
            return await require_bottle(transaction.session, bottle_id)

        return await self._journal.write(work)

    async def movements(self, bottle_id: str, limit: int = PAGE_MOST) -> list[StockMovement]:
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


async def all_bottles(session: AsyncSession) -> list[Bottle]:
    """All bottles by id, the emptied ones too, within a transaction."""
    rows = await session.scalars(select(BottleRow).order_by(BottleRow.id))
    held = await contents(session)
    return [bottle_of(row, held.get(row.id, 0.0)) for row in rows]


async def mounted_bottles(session: AsyncSession) -> dict[int, Bottle]:
    """The bottle on each channel that has one, within a transaction."""
    rows = list(await session.scalars(select(BottleRow).where(BottleRow.channel.is_not(None))))
    held = await contents(session, [row.id for row in rows])
    bottles = [bottle_of(row, held.get(row.id, 0.0)) for row in rows]
    return {bottle.channel: bottle for bottle in bottles if bottle.channel is not None}


async def _in_use(session: AsyncSession) -> list[Bottle]:
    return [
        bottle
        for bottle in await all_bottles(session)
        if bottle.channel is not None or level_of(bottle) is not Level.EMPTY
    ]


async def find_bottle(session: AsyncSession, bottle_id: str) -> Bottle | None:
    """One bottle within a transaction, None if there is none of that id."""
    row = await session.get(BottleRow, bottle_id, populate_existing=True)
    if row is None:
        return None
    return bottle_of(row, (await contents(session, [bottle_id])).get(bottle_id, 0.0))


async def require_bottle(session: AsyncSession, bottle_id: str) -> Bottle:
    """One bottle within a transaction.

    Raises:
        UnknownRecordError: there is none of that id.
    """
    bottle = await find_bottle(session, bottle_id)
    if bottle is None:
        raise UnknownRecordError(f"there is no bottle {bottle_id!r} in the records; add it first")
    return bottle


async def mounted_on(session: AsyncSession, channel: int) -> str | None:
    """The id of the bottle on a channel."""
    found: str | None = await session.scalar(select(BottleRow.id).where(BottleRow.channel == channel))
    return found


def seen_with_content(expected: T, before: object) -> T | Bottle:
    """What a caller expects of a bottle, with the content that it has now: movements alone change that."""
    if isinstance(expected, Bottle) and isinstance(before, Bottle):
        return replace(expected, content_g=before.content_g)
    return expected


async def put_bottle(
    transaction: Transaction, bottle: Bottle, expected: Bottle | Unchecked | None = ANY
) -> None:
    """The same as `Bottles.put`, within a transaction."""
    session = transaction.session
    before = await find_bottle(session, bottle.id)
    require_expected(f"the bottle {bottle.id}", before, seen_with_content(expected, before))
    if bottle.opened_at is not None:
        bottle = replace(bottle, opened_at=_utc(bottle.opened_at))
    if before is not None:
        opened_at = bottle.opened_at or before.opened_at
        bottle = replace(bottle, content_g=before.content_g, opened_at=opened_at)
        if bottle == before:
            return
        _require_possible(replace(bottle, content_g=min(bottle.content_g, bottle.full_g)))
    else:
        _require_possible(bottle)
    await require_in_use(session, {bottle.liquid_id})
    if before is not None:
        await _change(transaction, before, bottle)
    else:
        await _write(transaction, bottle)
        await move(transaction, bottle.id, Moved(Movement.OPENING, bottle.content_g))
    if bottle.channel is not None:
        await mount(transaction, bottle, bottle.channel)


async def _change(transaction: Transaction, before: Bottle, after: Bottle) -> None:
    if after.liquid_id != before.liquid_id and level_of(before) is not Level.EMPTY:
        raise InUseError(
            f"the bottle {after.id} still holds {before.content_g:.0f} g of {before.liquid_id}; give a "
            f"bottle of {after.liquid_id} an id of its own, or discard this one first"
        )
    if after.channel != before.channel or after.liquid_id != before.liquid_id:
        await unmount(transaction, before)
    if bottle_values(after) != bottle_values(before):
        await _write(transaction, after)


async def _write(transaction: Transaction, bottle: Bottle) -> None:
    values = {**bottle_values(bottle), "machine_id": transaction.machine_id}
    statement = insert(BottleRow).values(values)
    await transaction.session.execute(statement.on_conflict_do_update(index_elements=["id"], set_=values))
    await transaction.tell("bottle_put", bottle_values(bottle))


async def mount(transaction: Transaction, bottle: Bottle, channel: int) -> None:
    """The same as `Bottles.mount`, within a transaction."""
    session = transaction.session
    known = await require_channel(session, channel)
    mounted = await mounted_on(session, channel)
    if mounted == bottle.id:
        return
    if mounted is not None:
        raise ChannelTakenError(
            f"the bottle {mounted} is mounted on channel {channel}; swap it for {bottle.id}, or "
            "unmount it first"
        )
    await assign(transaction, replace(known, liquid_id=bottle.liquid_id))
    opened_at = bottle.opened_at or utc_text(transaction.at)
    await session.execute(
        update(BottleRow).where(BottleRow.id == bottle.id).values(channel=channel, opened_at=opened_at)
    )
    await transaction.tell(
        "bottle_mounted", {"id": bottle.id, "channel": channel, "liquid_id": bottle.liquid_id}
    )


async def unmount(transaction: Transaction, bottle: Bottle) -> None:
    """The same as `Bottles.unmount`, within a transaction."""
    if bottle.channel is None:
        return
    await transaction.session.execute(update(BottleRow).where(BottleRow.id == bottle.id).values(channel=None))
    await transaction.tell("bottle_unmounted", {"id": bottle.id, "channel": bottle.channel})


def _require_possible(bottle: Bottle) -> None:
    if faults := faults_of_bottle(bottle):
        raise FaultyError(f"the bottle {bottle.id[:60]!r}", faults)


def _utc(text: str) -> str:
    """A time as the records hold it.

    Raises:
        ValueError: no time, or one without a zone.
    """
    try:
        return utc_text(datetime.fromisoformat(text))
    except ValueError as error:
        raise ValueError(
            f"opened_at is expected as a time with its zone (RFC 3339), got {text[:60]!r}; correct it"
        ) from error


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
