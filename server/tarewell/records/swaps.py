"""The swap of a channel's bottle, and its undoing, by which the ledger gets a counter-entry."""

from dataclasses import replace
from datetime import timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from tarewell.menu.ledger import Moved
from tarewell.menu.values import Bottle, Movement

from .channels import assign, require_channel
from .errors import InUseError, UnknownRecordError
from .journal import newest_events
from .pour_changes import draw_so_far
from .shelf import find_bottle, mount, mounted_on, put_bottle, require_bottle, unmount, write_off
from .stock import move
from .tables import DoseRow, PourRow
from .transaction import Transaction
from .values import StoredEvent

SWAPPED, UNDONE = "bottle_swapped", "bottle_swap_undone"

UNDO = timedelta(seconds=20.0)
"""A swap can be undone for so long, and beyond that until the next pour from the channel begins."""

_SCANNED = 5000
"""Events among which a swap is looked for: far more than an evening has between two pours."""

_SAME_G = 1e-3


def swap_bottle(
    transaction: Transaction,
    channel: int,
    bottle_id: str,
    emptied: bool = False,
    new: Bottle | None = None,
) -> Bottle:
    """Mount a bottle in place of the one that is on the channel, if any; `emptied`: that one is empty. A
    `new` bottle of this id is added first."""
    session = transaction.session
    if new is not None:
        put_bottle(transaction, new, None)
    bottle, known = require_bottle(session, bottle_id), require_channel(session, channel)
    mounted, written_off_g, left_g = mounted_on(session, channel), 0.0, 0.0
    if mounted == bottle_id:
        return bottle
    if mounted is not None:
        draw_so_far(transaction, mounted, channel)
        before = require_bottle(session, mounted)
        unmount(transaction, before, to_same=before.liquid_id == bottle.liquid_id)
        if emptied:
            write_off(transaction, before)
        written_off_g, left_g = (before.content_g, 0.0) if emptied else (0.0, before.content_g)
    mount(transaction, bottle, channel)
    body = {"channel": channel, "from": mounted, "to": bottle_id, "liquid_id": known.liquid_id}
    transaction.append(SWAPPED, {**body, "written_off_g": written_off_g, "left_g": left_g})
    return require_bottle(session, bottle_id)


def undo_swap(transaction: Transaction, channel: int) -> Bottle | None:
    """Undo the last swap on a channel: the bottle that was there comes back with its content; returns it,
    None if there was none. The other one goes to the shelf.

    Raises:
        UnknownRecordError: there is no channel, or no swap on it to undo.
        InUseError: it is too late, or something was done to one of the bottles since.
    """
    session = transaction.session
    known, swap = require_channel(session, channel), _last_swap(session, channel)
    to, old_id = str(swap.body["to"]), swap.body["from"]
    old = None if old_id is None else find_bottle(session, old_id)
    if transaction.at - swap.at > UNDO and _poured_since(session, channel, swap):
        _refuse(channel, "a pour from the channel has begun since")
    if mounted_on(session, channel) != to:
        _refuse(channel, f"{to} is no longer on the channel")
    if old is not None and (old.channel is not None or abs(old.content_g - swap.body["left_g"]) > _SAME_G):
        _refuse(channel, f"{old.id} was mounted, weighed or discarded since")
    draw_so_far(transaction, to, channel)
    bottle, liquid_id = require_bottle(session, to), swap.body["liquid_id"]
    unmount(transaction, bottle, to_same=liquid_id == bottle.liquid_id)
    if old is not None and swap.body["written_off_g"]:
        move(transaction, old.id, Moved(Movement.CORRECTION, swap.body["written_off_g"]))
    if old is None:
        assign(transaction, replace(known, liquid_id=liquid_id))
    else:
        mount(transaction, old, channel)
    transaction.append(UNDONE, {"channel": channel, "from": to, "to": old_id, "of": swap.seq})
    return None if old is None else require_bottle(session, old.id)


def _last_swap(session: Session, channel: int) -> StoredEvent:
    found = newest_events(session, (SWAPPED, UNDONE), _SCANNED)
    last = next((event for event in found if event.body["channel"] == channel), None)
    if last is None or last.kind == UNDONE:
        raise UnknownRecordError(
            f"there is no swap on channel {channel} to undo; swap the bottles by hand, and weigh one whose "
            "content is wrong"
        )
    return last


def _poured_since(session: Session, channel: int, swap: StoredEvent) -> bool:
    last = select(DoseRow.pour_id).where(DoseRow.channel == channel).order_by(DoseRow.pour_id.desc()).limit(1)
    began = session.scalar(select(PourRow.created_at).where(PourRow.id == last.scalar_subquery()))
    return began is not None and began > swap.at


def _refuse(channel: int, reason: str) -> None:
    raise InUseError(
        f"the swap on channel {channel} cannot be undone: {reason}; swap the bottles by hand, and weigh one "
        "whose content is wrong"
    )
