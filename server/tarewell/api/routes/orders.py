"""Orders as the bar sees them: placed, moved in the queue, sent back, collected. Rounds take them."""

from hashlib import sha256
from typing import Annotated

from fastapi import APIRouter, Query, Response

from tarewell.api.context import Machine, Services
from tarewell.api.kept import IdempotencyKey, RecordId, begun, set_start_headers
from tarewell.api.problems import ProblemError, responses
from tarewell.api.schemas.orders import GuestOrderBody, OrderBody, OrderView, SendBackBody
from tarewell.exchange.order_desk import OrderNotPossibleError, OrderRequest
from tarewell.menu.errors import MenuError
from tarewell.orders.states import OrderEvent, OrderEventKind, OrderState
from tarewell.records.order_changes import GUEST
from tarewell.records.order_values import OrderRecord

router = APIRouter(prefix="/v1/orders", tags=["orders"])

_CHANGE = responses("not-found", "command-not-possible")


async def placed(
    body: OrderBody | GuestOrderBody, machine: Services, origin: str, key: str | None
) -> OrderRecord:
    """Place the order of a body."""
    mark = None if key is None else sha256(body.model_dump_json().encode()).hexdigest()
    try:
        return await machine.desk.place(OrderRequest(body.wanted(), origin, key, mark))
    except MenuError as error:
        raise ProblemError("order-not-possible", str(error)) from error
    except OrderNotPossibleError as error:
        detail = f"{error.name} cannot be poured now; choose another drink" if origin == GUEST else str(error)
        raise ProblemError("order-not-possible", detail) from error


async def _view(machine: Services, order: OrderRecord) -> OrderView:
    line = await machine.desk.line(order.service_id)
    return OrderView.of(order, line.get(order.id))


@router.post(
    "",
    summary="Place an order",
    status_code=201,
    responses=begun("order", OrderView, "The order waits in the queue", "bar-closed"),
)
async def place(
    body: OrderBody, machine: Machine, response: Response, idempotency_key: IdempotencyKey = None
) -> OrderView:
    """It is on the disk when this returns."""
    order = await placed(body, machine, "api", idempotency_key)
    set_start_headers(response, f"{router.prefix}/{order.id}", order.replayed)
    return await _view(machine, order)


@router.get("", summary="The orders of the service", responses=responses("invalid-request"))
async def list_orders(
    machine: Machine, over: Annotated[bool, Query(description="those that are over, too")] = False
) -> list[OrderView]:
    """In the order in which they are poured, then those that are ready; of the service that is open, else of
    the last one."""
    service = await machine.store.orders.service()
    if service is None:
        return []
    orders = await machine.store.orders.of_service(service.id)
    line = await machine.desk.line(service.id)
    by_id = {order.id: order for order in orders}
    rest = [order for order in orders if order.id not in line]
    rest.sort(key=lambda order: order.standing.state is not OrderState.READY)
    return [
        *(OrderView.of(by_id[id_], place) for id_, place in line.items() if id_ in by_id),
        *(OrderView.of(order, None) for order in rest if over or order.standing.state is OrderState.READY),
    ]


@router.get("/{order_id}", summary="One order", responses=responses("not-found"))
async def read_order(order_id: RecordId, machine: Machine) -> OrderView:
    """Where it stands now."""
    return await _view(machine, await machine.store.orders.get(order_id))


@router.post(
    "/{order_id}/send-back",
    summary="Send an order back",
    responses=responses("malformed-json", "invalid-request", "not-found", "command-not-possible"),
)
async def send_back(order_id: RecordId, body: SendBackBody, machine: Machine) -> OrderView:
    """The guest sees the reason."""
    event = OrderEvent(OrderEventKind.SEND_BACK, body.reason)
    return await _view(machine, await machine.store.orders.change(order_id, event))


@router.post("/{order_id}/next", summary="Pour an order next", responses=_CHANGE)
async def pour_next(order_id: RecordId, machine: Machine) -> OrderView:
    """It goes before all that wait."""
    return await _changed(order_id, machine, OrderEventKind.POUR_NEXT)


@router.post("/{order_id}/later", summary="Pour an order later", responses=_CHANGE)
async def pour_later(order_id: RecordId, machine: Machine) -> OrderView:
    """It goes behind all that wait."""
    return await _changed(order_id, machine, OrderEventKind.LATER)


@router.post("/{order_id}/collected", summary="The guest has the glass", responses=_CHANGE)
async def collected(order_id: RecordId, machine: Machine) -> OrderView:
    """An order that is ready is over with this."""
    return await _changed(order_id, machine, OrderEventKind.COLLECT)


async def _changed(order_id: str, machine: Services, kind: OrderEventKind) -> OrderView:
    return await _view(machine, await machine.store.orders.change(order_id, OrderEvent(kind)))
