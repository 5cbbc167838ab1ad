"""Reading services and orders: rows as records."""

import json

from sqlalchemy import ColumnElement, func, select
from sqlalchemy.orm import Session, aliased

from tarewell.orders.states import OrderStanding, OrderState, Places
from tarewell.rounds.feasible import Wanted
from tarewell.typed_json import load

from .errors import UnknownRecordError
from .menu_rows import value_of
from .order_tables import OrderRow, OrderStateRow, ServiceRow
from .order_values import OrderRecord, Service

NO_SERVICE = "no service of the bar is open, so it takes no orders; open one (`tarewell orders open`)"


def newest_service(session: Session) -> Service | None:
    """The service that is open, else the last one."""
    row = session.scalar(select(ServiceRow).order_by(ServiceRow.id.desc()).limit(1))
    return None if row is None else value_of(Service, row)


def open_service_of(session: Session) -> Service:
    """The service that is open.

    Raises:
        UnknownRecordError: none is.
    """
    service = newest_service(session)
    if service is None or not service.is_open:
        raise UnknownRecordError(NO_SERVICE)
    return service


def load_orders(session: Session, *conditions: ColumnElement[bool]) -> list[OrderRecord]:
    """Orders with their newest state, by number; the conditions are about orders or that state."""
    any_state = aliased(OrderStateRow)
    newest = select(func.max(any_state.id)).where(any_state.order_id == OrderRow.id).correlate(OrderRow)
    query = (
        select(OrderRow, OrderStateRow)
        .join(OrderStateRow, OrderStateRow.order_id == OrderRow.id)
        .where(OrderStateRow.id == newest.scalar_subquery(), *conditions)
        .order_by(OrderRow.service_id, OrderRow.number)
    )
    return [_record(order, state) for order, state in session.execute(query)]


def order_record(session: Session, order_id: str) -> OrderRecord:
    """One order.

    Raises:
        UnknownRecordError: there is none of that id.
    """
    found = load_orders(session, OrderRow.id == order_id)
    if not found:
        raise UnknownRecordError("there is no such order; take an id from the list of orders")
    return found[0]


def places_of(session: Session, service_id: str) -> Places:
    """The lowest and the highest place of a service's queue so far."""
    query = (
        select(func.min(OrderStateRow.place), func.max(OrderStateRow.place))
        .join(OrderRow, OrderRow.id == OrderStateRow.order_id)
        .where(OrderRow.service_id == service_id)
    )
    first, last = session.execute(query).one()
    return Places(first or 0, last or 0)


def _record(order: OrderRow, state: OrderStateRow) -> OrderRecord:
    standing = OrderStanding(
        OrderState(state.state), state.place, state.reason, state.round_id, state.glass_index
    )
    return value_of(
        OrderRecord,
        order,
        wanted=load(Wanted, json.loads(order.wanted)),
        standing=standing,
        since=state.at,
        replayed=False,
    )
