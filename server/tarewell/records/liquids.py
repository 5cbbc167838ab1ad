"""Liquids and the channels they hang on: what is true now. The journal keeps every change."""

import re
from dataclasses import asdict
from math import isfinite

from sqlalchemy import select
from sqlalchemy.dialects.sqlite import insert
from sqlalchemy.ext.asyncio import AsyncSession

from tarewell.menu.values import Liquid
from tarewell_protocol.messages import CHANNELS_MAX

from .engine import Database
from .errors import RetiredLiquidError, UnknownRecordError
from .journal import Journal, Transaction
from .menu_rows import liquid_of, liquid_values, told
from .tables import ChannelRow, LiquidRow
from .values import Channel

_SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
SLUG_MOST = 60


class Liquids:
    """The store's liquids. None is ever deleted, since pours name it; it is retired."""

    def __init__(self, database: Database, journal: Journal) -> None:
        self._database = database
        self._journal = journal

    async def all(self, retired: bool = False) -> list[Liquid]:
        """The liquids by name, with the retired ones if asked for."""
        query = select(LiquidRow).order_by(LiquidRow.name, LiquidRow.id)
        if not retired:
            query = query.where(LiquidRow.active)

        async def work(session: AsyncSession) -> list[Liquid]:
            return [liquid_of(row) for row in await session.scalars(query)]

        return await self._database.read(work)

    async def get(self, liquid_id: str) -> Liquid:
        """One liquid, retired or not.

        Raises:
            UnknownRecordError: there is none of that id.
        """
        return liquid_of(await self._database.read(lambda session: _require(session, liquid_id)))

    async def put(self, liquid: Liquid) -> Liquid:
        """Add a liquid or change one; pours keep the facts of their time.

        Raises:
            ValueError: an id that is no slug, no name, a density or strength that cannot be.
            RetiredLiquidError: it would be retired while it hangs on a channel.
            StoreError: it could not be written.
        """
        _check(liquid)

        async def work(transaction: Transaction) -> None:
            session = transaction.session
            before = await session.get(LiquidRow, liquid.id)
            if before is not None and liquid_of(before) == liquid:
                return
            if not liquid.active:
                await _require_unused(session, liquid.id)
            values = {**liquid_values(liquid), "machine_id": transaction.machine_id}
            await session.execute(
                insert(LiquidRow).values(values).on_conflict_do_update(index_elements=["id"], set_=values)
            )
            await transaction.tell("liquid_put", told(liquid_values(liquid), "allergens"))

        await self._journal.write(work)
        return liquid

    async def retire(self, liquid_id: str) -> Liquid:
        """Take a liquid out of use; its history stays.

        Raises:
            UnknownRecordError: there is none of that id.
            RetiredLiquidError: it hangs on a channel.
            StoreError: it could not be written.
        """

        async def work(transaction: Transaction) -> Liquid:
            row = await _require(transaction.session, liquid_id)
            if row.active:
                await _require_unused(transaction.session, liquid_id)
                row.active = False
                await transaction.tell("liquid_retired", {"id": liquid_id})
            return liquid_of(row)

        return await self._journal.write(work)


class Channels:
    """The store's channels, as far as they were ever assigned."""

    def __init__(self, database: Database, journal: Journal) -> None:
        self._database = database
        self._journal = journal

    async def all(self) -> list[Channel]:
        """The channels by number."""
        query = select(ChannelRow).order_by(ChannelRow.number)

        async def work(session: AsyncSession) -> list[Channel]:
            return [Channel(row.number, row.liquid_id, row.name) for row in await session.scalars(query)]

        return await self._database.read(work)

    async def assign(self, number: int, liquid_id: str | None, name: str) -> Channel:
        """Say what hangs on a channel (None: nothing) and what the channel is called.

        Raises:
            ValueError: a number that no board has.
            UnknownRecordError: there is no such liquid.
            RetiredLiquidError: the liquid is retired.
            StoreError: it could not be written.
        """
        if not 1 <= number <= CHANNELS_MAX:
            raise ValueError(f"a channel has a number from 1 to {CHANNELS_MAX}, got {number}")
        channel = Channel(number, liquid_id, name)

        async def work(transaction: Transaction) -> None:
            session = transaction.session
            if liquid_id is not None and not (await _require(session, liquid_id)).active:
                raise RetiredLiquidError(
                    f"the liquid {liquid_id} is retired; put it back in use first, or assign another"
                )
            before = await session.get(ChannelRow, number)
            if before is not None and Channel(before.number, before.liquid_id, before.name) == channel:
                return
            values = {**asdict(channel), "machine_id": transaction.machine_id}
            await session.execute(
                insert(ChannelRow)
                .values(values)
                .on_conflict_do_update(index_elements=["number"], set_=values)
            )
            await transaction.tell("channel_assigned", asdict(channel))

        await self._journal.write(work)
        return channel


def _check(liquid: Liquid) -> None:
    if not _SLUG.fullmatch(liquid.id) or len(liquid.id) > SLUG_MOST:
        raise ValueError(
            f"a liquid's id has lower-case letters, digits and single hyphens, {SLUG_MOST} at most, "
            f"got {liquid.id!r}"
        )
    if not liquid.name.strip():
        raise ValueError(f"the liquid {liquid.id} needs a name for people")
    if liquid.abv_percent is not None and not 0 <= liquid.abv_percent <= 100:
        raise ValueError(f"a strength is 0 to 100 % by volume, got {liquid.abv_percent}")
    for value, what, unit in (
        (liquid.sugar_g_per_l, "sugar", "g/l"),
        (liquid.cost_per_l, "cost", "for a litre"),
    ):
        if value is not None and not (isfinite(value) and value >= 0):
            raise ValueError(f"the {what} of {liquid.id} is 0 or more, {unit}, got {value}")
    if not isfinite(liquid.serving_density.g_per_ml):
        raise ValueError(f"the liquid {liquid.id} is served at a temperature in °C, got {liquid.serving_c}")


async def _require(session: AsyncSession, liquid_id: str) -> LiquidRow:
    row = await session.get(LiquidRow, liquid_id)
    if row is None:
        raise UnknownRecordError(f"there is no liquid {liquid_id!r} in the records; add it first")
    return row


async def _require_unused(session: AsyncSession, liquid_id: str) -> None:
    number = await session.scalar(select(ChannelRow.number).where(ChannelRow.liquid_id == liquid_id).limit(1))
    if number is not None:
        raise RetiredLiquidError(
            f"the liquid {liquid_id} hangs on channel {number}; assign another liquid, or none, to it first"
        )
