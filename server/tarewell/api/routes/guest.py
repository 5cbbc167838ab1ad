"""What guests see by their link: the menu, and their own orders.

The id of an order has 62 random bits and is told to nobody but the guest who placed it and the bar: whoever
knows it may see the order and take it back.
"""

import asyncio

from fastapi import APIRouter, Response

from tarewell.api.context import Machine, Services
from tarewell.api.kept import IdempotencyKey, RecordId, begun, set_start_headers
from tarewell.api.problems import responses
from tarewell.api.schemas.orders import GuestDrinkView, GuestMenuView, GuestOrderBody, GuestOrderView
from tarewell.exchange.planning_config import PlanningConfig
from tarewell.menu.colours import colours_of
from tarewell.menu.compiling import compile_recipe
from tarewell.menu.values import Menu
from tarewell.orders.states import OrderEvent, OrderEventKind
from tarewell.quantities.strength import DrinkStrength
from tarewell.records.order_changes import GUEST
from tarewell.records.order_values import OrderRecord

from .orders import placed

router = APIRouter(prefix="/v1/guest", tags=["orders"])


@router.get("/menu", summary="The menu for guests")
async def read_menu(machine: Machine) -> GuestMenuView:
    """Drinks that can be poured now, those without alcohol first, by name."""
    service = await machine.store.orders.service()
    is_open = service is not None and service.is_open
    drinks = await asyncio.to_thread(_drinks, await machine.planner.menu(), machine.planning)
    return GuestMenuView(
        title=None if service is None else service.title,
        open=is_open,
        may_order=is_open and service is not None and service.guests_may_order,
        currency=machine.planning.currency,
        standard_drink_g=round(machine.planning.standard_drink_g, 2),
        drinks=drinks,
    )


def _drinks(menu: Menu, planning: PlanningConfig) -> list[GuestDrinkView]:
    drinks = [compile_recipe(menu, recipe_id, small=planning.small) for recipe_id in menu.recipes]
    possible = [drink for drink in drinks if not drink.blockers]
    possible.sort(key=lambda drink: (not drink.without_alcohol, drink.name, drink.recipe_id))
    colours = colours_of(menu.liquids.values())
    return [
        GuestDrinkView.of(drink, menu.glasses.get(drink.glass_id or ""), colours, planning.standard_drink_g)
        for drink in possible
    ]


@router.post(
    "/orders",
    summary="Order a drink",
    status_code=201,
    responses=begun("order", GuestOrderView, "The order waits in the queue", "bar-closed"),
)
async def order(
    body: GuestOrderBody, machine: Machine, response: Response, idempotency_key: IdempotencyKey = None
) -> GuestOrderView:
    """Keep its id: whoever has it may see the order and take it back."""
    made = await placed(body, machine, GUEST, idempotency_key)
    set_start_headers(response, f"{router.prefix}/orders/{made.id}", made.replayed)
    return await _view(machine, made)


@router.get("/orders/{order_id}", summary="One's own order", responses=responses("not-found"))
async def read_order(order_id: RecordId, machine: Machine) -> GuestOrderView:
    """Where it stands now."""
    return await _view(machine, await machine.store.orders.get(order_id))


@router.delete(
    "/orders/{order_id}",
    summary="Take an order back",
    responses=responses("not-found", "command-not-possible"),
)
async def take_back(order_id: RecordId, machine: Machine) -> GuestOrderView:
    """While it waits, and no round has it yet."""
    taken_back = OrderEvent(OrderEventKind.TAKE_BACK)
    return await _view(machine, await machine.store.orders.change(order_id, taken_back))


async def _view(machine: Services, made: OrderRecord) -> GuestOrderView:
    line = await machine.desk.line(made.service_id)
    poured = await _poured(machine, made)
    return GuestOrderView.of(made, line.get(made.id), poured, machine.planning.standard_drink_g)


async def _poured(machine: Services, made: OrderRecord) -> DrinkStrength | None:
    standing = made.standing
    if not standing.state.is_poured or standing.round_id is None or standing.glass is None:
        return None
    attempts = (await machine.store.rounds.get(standing.round_id)).glasses[standing.glass].attempts
    return attempts[-1].delivered if attempts else None
