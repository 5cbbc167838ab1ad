"""Bottles within a transaction: find, put, mount, unmount."""

from dataclasses import replace
from datetime import datetime
from typing import TypeVar

from sqlalchemy import select, update
from sqlalchemy.dialects.sqlite import insert
from sqlalchemy.orm import Session

from tarewell.menu.checks import faults_of_bottle
from tarewell.menu.ledger import Level, Moved, level_of
from tarewell.menu.values import Bottle, Movement

from .catalogue import ANY, Unchecked, require_expected
from .channels import assign, require_channel, require_not_poured_from
from .errors import ChannelTakenError, FaultyError, InUseError, UnknownRecordError
from .liquids import require_in_use
from .menu_rows import bottle_of, bottle_values
from .stock import contents, move
from .tables import BottleRow, utc_text
from .transaction import Transaction

BOTTLE_MOUNTED = "bottle_mounted"

T = TypeVar("T")


def all_bottles(session: Session) -> list[Bottle]:
    """All bottles by id, the emptied ones too, within a transaction."""
    rows = session.scalars(select(BottleRow).order_by(BottleRow.id))
    held = contents(session)
    return [bottle_of(row, held.get(row.id, 0.0)) for row in rows]


def mounted_bottles(session: Session) -> dict[int, Bottle]:
    """The bottle on each channel that has one, within a transaction."""
    rows = list(session.scalars(select(BottleRow).where(BottleRow.channel.is_not(None))))
    held = contents(session, [row.id for row in rows])
    bottles = [bottle_of(row, held.get(row.id, 0.0)) for row in rows]
    return {bottle.channel: bottle for bottle in bottles if bottle.channel is not None}


def find_bottle(session: Session, bottle_id: str) -> Bottle | None:
    """One bottle within a transaction, None if there is none of that id."""
    row = session.get(BottleRow, bottle_id, populate_existing=True)
    if row is None:
        return None
    return bottle_of(row, (contents(session, [bottle_id])).get(bottle_id, 0.0))


def require_bottle(session: Session, bottle_id: str) -> Bottle:
    """One bottle within a transaction.

    Raises:
        UnknownRecordError: there is none of that id.
    """
    bottle = find_bottle(session, bottle_id)
    if bottle is None:
        raise UnknownRecordError(f"there is no bottle {bottle_id!r} in the records; add it first")
    return bottle


def mounted_on(session: Session, channel: int) -> str | None:
    """The id of the bottle on a channel."""
    found: str | None = session.scalar(select(BottleRow.id).where(BottleRow.channel == channel))
    return found


def seen_with_content(expected: T, before: object) -> T | Bottle:
    """The bottle that a caller expects, with its present content: movements alone change that."""
    if isinstance(expected, Bottle) and isinstance(before, Bottle):
        return replace(expected, content_g=before.content_g)
    return expected


def put_bottle(transaction: Transaction, bottle: Bottle, expected: Bottle | Unchecked | None = ANY) -> None:
    """The same as `Bottles.put`, within a transaction."""
    session = transaction.session
    before = find_bottle(session, bottle.id)
    require_expected(f"the bottle {bottle.id}", before, seen_with_content(expected, before))
    if bottle.opened_at is not None:
        bottle = replace(bottle, opened_at=_utc(bottle.opened_at))
    if before is not None:
        opened_at = bottle.opened_at or before.opened_at
        bottle = replace(bottle, content_g=before.content_g, opened_at=opened_at)
        if bottle == before:
            return
        require_possible(replace(bottle, content_g=min(bottle.content_g, bottle.full_g)))
    else:
        require_possible(bottle)
    require_in_use(session, {bottle.liquid_id})
    if before is not None:
        _change(transaction, before, bottle)
    else:
        _write(transaction, bottle)
        move(transaction, bottle.id, Moved(Movement.OPENING, bottle.content_g))
    if bottle.channel is not None:
        mount(transaction, bottle, bottle.channel)


def _change(transaction: Transaction, before: Bottle, after: Bottle) -> None:
    if after.liquid_id != before.liquid_id and level_of(before) is not Level.EMPTY:
        raise InUseError(
            f"the bottle {after.id} still holds {before.content_g:.0f} g of {before.liquid_id}; give a "
            f"bottle of {after.liquid_id} an id of its own, or discard this one first"
        )
    if after.channel != before.channel or after.liquid_id != before.liquid_id:
        unmount(transaction, before)
    if bottle_values(after) != bottle_values(before):
        _write(transaction, after)


def _write(transaction: Transaction, bottle: Bottle) -> None:
    values = {**bottle_values(bottle), "machine_id": transaction.machine_id}
    statement = insert(BottleRow).values(values)
    transaction.session.execute(statement.on_conflict_do_update(index_elements=["id"], set_=values))
    transaction.append("bottle_put", bottle_values(bottle))


def mount(transaction: Transaction, bottle: Bottle, channel: int) -> None:
    """The same as `Bottles.mount`, within a transaction."""
    session = transaction.session
    known = require_channel(session, channel)
    mounted = mounted_on(session, channel)
    if mounted == bottle.id:
        return
    if mounted is not None:
        raise ChannelTakenError(
            f"the bottle {mounted} is mounted on channel {channel}; swap it for {bottle.id}, or "
            "unmount it first"
        )
    if bottle.channel is not None:
        require_not_poured_from(session, bottle.channel)
    assign(transaction, replace(known, liquid_id=bottle.liquid_id))
    opened_at = bottle.opened_at or utc_text(transaction.at)
    session.execute(
        update(BottleRow).where(BottleRow.id == bottle.id).values(channel=channel, opened_at=opened_at)
    )
    transaction.append(BOTTLE_MOUNTED, {"id": bottle.id, "channel": channel, "liquid_id": bottle.liquid_id})


def unmount(transaction: Transaction, bottle: Bottle, to_same: bool = False) -> None:
    """The same as `Bottles.unmount`, within a transaction; `to_same`: another bottle of the liquid replaces
    it, which is allowed during a pour."""
    if bottle.channel is None:
        return
    if not to_same:
        require_not_poured_from(transaction.session, bottle.channel)
    transaction.session.execute(update(BottleRow).where(BottleRow.id == bottle.id).values(channel=None))
    transaction.append("bottle_unmounted", {"id": bottle.id, "channel": bottle.channel})


def write_off(transaction: Transaction, bottle: Bottle) -> None:
    """Its content is gone: the ledger gets a correction."""
    if bottle.content_g:
        move(transaction, bottle.id, Moved(Movement.CORRECTION, -bottle.content_g))


def require_possible(bottle: Bottle) -> None:
    """Check a bottle.

    Raises:
        FaultyError: it has faults.
    """
    if faults := faults_of_bottle(bottle):
        raise FaultyError(f"the bottle {bottle.id[:60]!r}", faults)


def _utc(text: str) -> str:
    """A time as the records store it.

    Raises:
        ValueError: not a time, or one without a zone.
    """
    try:
        return utc_text(datetime.fromisoformat(text))
    except ValueError as error:
        raise ValueError(
            f"opened_at must be a time with its zone (RFC 3339), got {text[:60]!r}; correct it"
        ) from error
