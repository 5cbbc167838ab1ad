"""The channels and their assigned liquids, as of now. The journal keeps every change."""

from dataclasses import asdict

from sqlalchemy import select
from sqlalchemy.dialects.sqlite import insert
from sqlalchemy.orm import Session

from tarewell.machine.alarms import ChannelLabel
from tarewell_protocol.messages import CHANNELS_MAX

from .catalogue import ANY, Unchecked, require_expected
from .engine import Database
from .errors import ChannelTakenError, InUseError, UnknownRecordError
from .liquids import require_in_use
from .tables import BottleRow, ChannelRow, DoseRow, LiquidRow, PourOutcomeRow
from .transaction import Transaction
from .values import Channel
from .writer import Writes

CHANNEL_ASSIGNED = "channel_assigned"


class ChannelRecords:
    """The store's channels, those that were ever set up."""

    def __init__(self, database: Database, writes: Writes) -> None:
        self._database = database
        self._writes = writes

    async def all(self) -> list[Channel]:
        """The channels by number."""
        return await self._database.read(all_channels)

    async def labels(self) -> dict[int, ChannelLabel]:
        """What the channels hold, by number: the liquid's name and the bottle's id."""
        return await self._database.read(_labels)

    async def get(self, number: int) -> Channel:
        """One channel.

        Raises:
            UnknownRecordError: it was never set up.
        """
        return await self._database.read(lambda session: require_channel(session, number))

    async def assign(
        self, number: int, liquid_id: str | None, name: str, expected: Channel | Unchecked | None = ANY
    ) -> Channel:
        """Assign a liquid to a channel (None: nothing) and name the channel.

        `expected` is the channel as the caller saw it, None for one that was never set up.

        Raises:
            ValueError: a number that no board has.
            UnknownRecordError: there is no such liquid.
            InUseError: the liquid is retired, or another one is being poured from the channel.
            ChannelTakenError: a bottle of another liquid is mounted there.
            ChangedMeanwhileError: the stored item is not `expected`.
            StoreError: it could not be written.
        """
        channel = Channel(number, liquid_id, name)
        await self._writes.write(assign, channel, expected)
        return channel


def _labels(session: Session) -> dict[int, ChannelLabel]:
    query = (
        select(ChannelRow.number, LiquidRow.name, BottleRow.id)
        .outerjoin(LiquidRow, LiquidRow.id == ChannelRow.liquid_id)
        .outerjoin(BottleRow, BottleRow.channel == ChannelRow.number)
    )
    return {number: ChannelLabel(liquid, bottle) for number, liquid, bottle in session.execute(query)}


def all_channels(session: Session) -> list[Channel]:
    """The channels by number, within a transaction."""
    query = select(ChannelRow.number, ChannelRow.liquid_id, ChannelRow.name).order_by(ChannelRow.number)
    return [Channel(*row) for row in session.execute(query)]


def find_channel(session: Session, number: int) -> Channel | None:
    """One channel within a transaction, None if it was never set up."""
    query = select(ChannelRow.number, ChannelRow.liquid_id, ChannelRow.name)
    row = (session.execute(query.where(ChannelRow.number == number))).one_or_none()
    return None if row is None else Channel(*row)


def require_channel(session: Session, number: int) -> Channel:
    """One channel within a transaction.

    Raises:
        UnknownRecordError: it was never set up.
    """
    channel = find_channel(session, number)
    if channel is None:
        raise UnknownRecordError(f"there is no channel {number} in the records; set it up first")
    return channel


def pour_from(session: Session, number: int) -> str | None:
    """The id of the pour under way that has a dose of this channel, within a transaction."""
    ended = select(PourOutcomeRow.pour_id).where(PourOutcomeRow.pour_id == DoseRow.pour_id)
    pouring = select(DoseRow.pour_id).where(DoseRow.channel == number, ~ended.exists()).limit(1)
    found: str | None = session.scalar(pouring)
    return found


def require_not_poured_from(session: Session, number: int) -> None:
    """Check that no pour under way has a dose of this channel, within a transaction.

    Raises:
        InUseError: one has.
    """
    if (pour_id := pour_from(session, number)) is not None:
        raise InUseError(
            f"channel {number} is being poured from by pour {pour_id}; wait for its end, or stop it, or "
            "swap in a bottle of the same liquid"
        )


def assign(transaction: Transaction, channel: Channel, expected: Channel | Unchecked | None = ANY) -> None:
    """The same as `ChannelRecords.assign`, within a transaction."""
    session = transaction.session
    if not 1 <= channel.number <= CHANNELS_MAX:
        raise ValueError(f"a channel's number must be from 1 to {CHANNELS_MAX}, got {channel.number}")
    before = find_channel(session, channel.number)
    require_expected(f"channel {channel.number}", before, expected)
    if channel.liquid_id is not None:
        require_in_use(session, {channel.liquid_id})
    if before == channel:
        return
    query = select(BottleRow.id, BottleRow.liquid_id).where(BottleRow.channel == channel.number)
    mounted = (session.execute(query)).one_or_none()
    if mounted is not None and mounted.liquid_id != channel.liquid_id:
        raise ChannelTakenError(
            f"the bottle {mounted.id} with {mounted.liquid_id} is mounted on channel {channel.number}; swap "
            "it for a bottle of the other liquid, or unmount it first"
        )
    if before is not None and before.liquid_id != channel.liquid_id:
        require_not_poured_from(session, channel.number)
    values = {**asdict(channel), "machine_id": transaction.machine_id}
    statement = insert(ChannelRow).values(values)
    session.execute(statement.on_conflict_do_update(index_elements=["number"], set_=values))
    transaction.append(CHANNEL_ASSIGNED, asdict(channel))
