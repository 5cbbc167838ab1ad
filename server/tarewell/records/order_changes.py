"""The changes of services and orders, each one transaction. Rounds change the states of the orders that they
took within their own transactions, so that both tell the same after any restart."""

from dataclasses import replace
from secrets import token_urlsafe
from typing import Any

from sqlalchemy import func, insert, select, update

from tarewell.orders.states import (
    IN_LINE,
    TABLE,
    OrderEvent,
    OrderEventKind,
    OrderStanding,
    OrderState,
    stepped,
)
from tarewell.rounds.plan import RoundPlan
from tarewell.typed_json import dump

from .chain import ORDER_PLACED, ORDER_STATE, canonical
from .errors import BarClosedError, InUseError
from .idempotency import earlier_id, require_both
from .order_rows import load_orders, newest_service, open_service_of, order_record, places_of
from .order_tables import OrderRow, OrderStateRow, ServiceRow
from .order_values import NewOrder, OrderRecord, Service
from .transaction import Transaction

GUEST = "guest"
"""Origin of an order that came by the guests' link."""

MAX_IN_LINE = 200
"""More orders in line are no queue any more, but somebody's joke."""

CLOSED = "the bar is closed"
"""Why orders that still wait are sent back at the end of a service."""

_KEY_BYTES = 32


def open_service(transaction: Transaction, title: str, guests_may_order: bool) -> Service:
    """Open a service; its orders are numbered from 1.

    Raises:
        InUseError: one is open.
    """
    before = newest_service(transaction.session)
    if before is not None and before.is_open:
        raise InUseError(f"the service {before.title!r} is still open; close it first")
    service = Service(transaction.new_id(), title, transaction.at, guests_may_order)
    transaction.session.execute(
        insert(ServiceRow).values(
            id=service.id,
            machine_id=transaction.machine_id,
            opened_at=service.opened_at,
            title=title,
            guests_may_order=guests_may_order,
        )
    )
    body = {"service_id": service.id, "title": title, "guests_may_order": guests_may_order}
    transaction.append("service_opened", body)
    return service


def let_guests_order(transaction: Transaction, may_order: bool) -> Service:
    """Let guests order in the open service, or no longer.

    Raises:
        UnknownRecordError: none is open.
    """
    return _change_service(transaction, "service_changed", guests_may_order=may_order)


def make_guest_link(transaction: Transaction) -> Service:
    """Make a new link for guests of the open service; an earlier one ends.

    Raises:
        UnknownRecordError: none is open.
    """
    return _change_service(transaction, "guest_link_made", link_key=token_urlsafe(_KEY_BYTES))


def end_guest_link(transaction: Transaction) -> Service:
    """End the link for guests of the open service.

    Raises:
        UnknownRecordError: none is open.
    """
    return _change_service(transaction, "guest_link_ended", link_key=None)


def close_service(transaction: Transaction) -> Service:
    """Close the open service: its link ends, and orders that still wait are sent back.

    Raises:
        UnknownRecordError: none is open.
        InUseError: a round under way has orders.
    """
    session = transaction.session
    service = open_service_of(session)
    for order in load_orders(session, OrderRow.service_id == service.id):
        if order.standing.state is OrderState.WAITING:
            _step(transaction, order, OrderEvent(OrderEventKind.SEND_BACK, CLOSED))
        elif order.standing.state in IN_LINE:
            raise InUseError(
                f"order {order.number} is in the round under way; wait for its end or stop it, then close"
            )
    return _change_service(transaction, "service_closed", link_key=None, closed_at=transaction.at)


def place_order(transaction: Transaction, new: NewOrder) -> OrderRecord:
    """Put an order at the end of the queue of the open service. With a key that was used before, the earlier
    order is returned, marked `replayed`.

    Raises:
        BarClosedError: no service is open, guests may not order, or too many orders wait.
        IdempotencyConflict: that key came with another fingerprint.
        ValueError: a key without a fingerprint.
    """
    require_both(new.idempotency_key, new.fingerprint)
    session = transaction.session
    earlier = earlier_id(session, OrderRow, new.idempotency_key, new.fingerprint, "order")
    if earlier is not None:
        return replace(order_record(session, earlier), replayed=True)
    service = _require_taking(transaction, new.origin)
    places = places_of(session, service.id)
    last = session.scalar(select(func.max(OrderRow.number)).where(OrderRow.service_id == service.id))
    number = (last or 0) + 1
    order_id = transaction.new_id()
    facts = {
        "service_id": service.id,
        "number": number,
        "recipe_id": new.wanted.recipe_id,
        "guest": new.wanted.guest,
        "name": new.name,
        "origin": new.origin,
    }
    session.execute(
        insert(OrderRow).values(
            id=order_id,
            machine_id=transaction.machine_id,
            created_at=transaction.at,
            idempotency_key=new.idempotency_key,
            fingerprint=new.fingerprint,
            wanted=canonical(dump(new.wanted)),
            ethanol_g=new.ethanol_g,
            strength_known=new.strength_known,
            takes_s=new.takes_s,
            price=new.price,
            **facts,
        )
    )
    transaction.append_sealed(ORDER_PLACED, {"order_id": order_id, **facts}, order_id)
    _add_state(transaction, order_id, number, OrderStanding(OrderState.WAITING, places.last + 1))
    return order_record(session, order_id)


def change_order(transaction: Transaction, order_id: str, event: OrderEvent) -> OrderRecord:
    """Move an order in the queue, take it back, send it back, or mark it collected.

    Raises:
        UnknownRecordError: there is no such order.
        UnexpectedOrderEvent: its state does not take that.
    """
    _step(transaction, order_record(transaction.session, order_id), event)
    return order_record(transaction.session, order_id)


# By rounds


def take_orders(transaction: Transaction, round_id: str, plan: RoundPlan) -> None:
    """Take the orders of a round's glasses from the queue.

    Raises:
        UnknownRecordError: there is no such order.
        UnexpectedOrderEvent: one does not wait.
    """
    for glass, planned in enumerate(plan.glasses):
        if planned.order is not None:
            taken = OrderEvent(OrderEventKind.TAKEN, None, round_id, glass)
            _step(transaction, order_record(transaction.session, planned.order.id), taken)


def tell_order(transaction: Transaction, round_id: str, glass: int, kind: OrderEventKind) -> None:
    """Tell the order of a round's glass what happened to the glass; it may have none."""
    _tell(transaction, kind, OrderStateRow.round_id == round_id, OrderStateRow.glass_index == glass)


def give_up_orders(transaction: Transaction, round_id: str) -> None:
    """The round is over: the orders that it did not pour wait again."""
    _tell(transaction, OrderEventKind.GLASS_GIVEN_UP, OrderStateRow.round_id == round_id)


def _tell(transaction: Transaction, kind: OrderEventKind, *which: Any) -> None:
    for order in load_orders(transaction.session, *which):
        if TABLE.takes(order.standing.state, kind):
            _step(transaction, order, OrderEvent(kind))


# Parts


def _require_taking(transaction: Transaction, origin: str) -> Service:
    service = newest_service(transaction.session)
    if service is None or not service.is_open:
        raise BarClosedError("the bar takes no orders now: no service is open (`tarewell orders open`)")
    if origin == GUEST and not service.guests_may_order:
        raise BarClosedError("the bar takes no orders by phone now; order at the bar")
    waiting = load_orders(
        transaction.session, OrderRow.service_id == service.id, OrderStateRow.state.in_(IN_LINE)
    )
    if len(waiting) >= MAX_IN_LINE:
        raise BarClosedError(f"{len(waiting)} orders are in line; order again once some are poured")
    return service


def _change_service(transaction: Transaction, kind: str, **columns: Any) -> Service:
    """Change columns of the open service; the event has all but the key."""
    service = open_service_of(transaction.session)
    transaction.session.execute(update(ServiceRow).where(ServiceRow.id == service.id).values(**columns))
    after = replace(service, **columns)
    body = {
        "service_id": after.id,
        "title": after.title,
        "guests_may_order": after.guests_may_order,
        "has_link": after.link_key is not None,
    }
    transaction.append(kind, body)
    return after


def _step(transaction: Transaction, order: OrderRecord, event: OrderEvent) -> None:
    after = stepped(order.standing, event, places_of(transaction.session, order.service_id))
    if after != order.standing:
        _add_state(transaction, order.id, order.number, after)


def _add_state(transaction: Transaction, order_id: str, number: int, standing: OrderStanding) -> None:
    columns = {
        "state": standing.state.value,
        "place": standing.place,
        "reason": standing.reason,
        "round_id": standing.round_id,
        "glass_index": standing.glass,
    }
    statement = insert(OrderStateRow).values(
        machine_id=transaction.machine_id, at=transaction.at, order_id=order_id, **columns
    )
    key = transaction.session.execute(statement.returning(OrderStateRow.id)).scalar_one()
    body = {"order_id": order_id, "number": number, **columns, "state_id": key}
    transaction.append_sealed(ORDER_STATE, body, key)
