"""Bottles: on the shelf, on the channels, and their contents."""

import asyncio
from datetime import UTC, datetime
from typing import Annotated

from fastapi import APIRouter, Path, Query, Response

from tarewell.api.context import Machine, Services
from tarewell.api.editing import found, shown
from tarewell.api.etags import TAGGED, Conditions
from tarewell.api.problems import FieldError, ProblemError, responses
from tarewell.api.schemas.stock import (
    BottleBody,
    BottleView,
    MountBody,
    MovementView,
    OutlookView,
    StockLiquidView,
    StockView,
    SwapBody,
    WeighBody,
)
from tarewell.menu.checks import Fault
from tarewell.menu.errors import MenuError
from tarewell.menu.values import Bottle
from tarewell.records.errors import UnknownRecordError
from tarewell.records.values import MAX_PAGE
from tarewell.setup_file.forms import MAX_SLUG, SLUG, FormError
from tarewell.setup_file.stock_forms import BottleForm

from .liquids import ChannelNumber

router = APIRouter(prefix="/v1", tags=["menu and stock"])

BottleId = Annotated[str, Path(pattern=SLUG, max_length=MAX_SLUG, examples=["cordial-2"])]


@router.get("/stock", summary="Every liquid with its bottles")
async def read_stock(machine: Machine) -> StockView:
    """By name: mounted, on the shelf, running low. Used-up bottles are left out."""
    bottles = await machine.store.bottles.all()
    return StockView(
        liquids=[
            StockLiquidView.of(liquid.id, liquid.name, [b for b in bottles if b.liquid_id == liquid.id])
            for liquid in await machine.store.liquids.all()
        ]
    )


@router.get("/stock/outlook", summary="How long the mounted bottles last")
async def read_outlook(machine: Machine) -> OutlookView:
    """How many of each drink each channel is good for, and until when at the pace of the last hour."""
    now = datetime.now(UTC)
    menu, lately = await machine.planner.menu(), await machine.store.pours.drawn_lately(now)
    return await asyncio.to_thread(OutlookView.of, menu, lately, machine.planning.small, now)


@router.get("/bottles", summary="All bottles", responses=responses("invalid-request"))
async def list_bottles(machine: Machine, emptied: bool = False) -> list[BottleView]:
    """By id; `emptied=true` adds those that are used up and on no channel."""
    return [BottleView.of(bottle) for bottle in await machine.store.bottles.all(emptied)]


@router.get(
    "/bottles/{bottle_id}",
    summary="One bottle",
    response_model=BottleView,
    responses={**TAGGED, **responses("not-found", "invalid-request", "changed-meanwhile")},
)
async def read_bottle(
    bottle_id: BottleId, machine: Machine, wanted: Conditions, response: Response
) -> BottleView | Response:
    """By its id."""
    return shown(BottleView.of(await machine.store.bottles.get(bottle_id)), wanted, response)


@router.put(
    "/bottles/{bottle_id}",
    summary="Put a bottle",
    responses=responses("in-use", "changed-meanwhile", "invalid-request"),
)
async def put_bottle(
    bottle_id: BottleId, body: BottleBody, machine: Machine, wanted: Conditions
) -> BottleView:
    """Creates or replaces it. A new one opens its ledger with `content_g`; later only movements count."""
    seen = await found(machine.store.bottles.get(bottle_id))
    bottle = await _bottle(machine, bottle_id, body, None if seen is None else seen.channel)
    return BottleView.of(await machine.store.bottles.put(bottle, wanted.expected(seen, BottleView.of)))


async def _bottle(
    machine: Services, bottle_id: str, form: BottleForm, channel: int | None, pointer: str = ""
) -> Bottle:
    """The bottle of a form, which stands at `pointer` in the body."""
    try:
        liquid = await machine.store.liquids.get(form.liquid_id)
        return form.bottle(bottle_id, liquid, channel)
    except UnknownRecordError as error:
        at_fault = FieldError(detail=str(error), pointer=f"{pointer}/liquid_id")
        raise ProblemError("invalid-request", str(error), errors=[at_fault]) from error
    except FormError as error:
        raise FormError([Fault(pointer + fault.pointer, fault.message) for fault in error.faults]) from error


@router.delete(
    "/bottles/{bottle_id}",
    summary="Discard a bottle",
    responses=responses("not-found", "in-use", "changed-meanwhile", "invalid-request"),
)
async def discard_bottle(bottle_id: BottleId, machine: Machine, wanted: Conditions) -> BottleView:
    """Takes it off its channel and writes off its content; its movements stay."""
    seen = await machine.store.bottles.get(bottle_id)
    expected = wanted.expected(seen, BottleView.of)
    return BottleView.of(await machine.store.bottles.discard(bottle_id, expected))


@router.post(
    "/bottles/{bottle_id}/mount",
    summary="Mount a bottle on a channel",
    responses=responses("not-found", "in-use", "channel-taken", "invalid-request"),
)
async def mount_bottle(bottle_id: BottleId, body: MountBody, machine: Machine) -> BottleView:
    """Assigns its liquid to the channel. Where the tube still holds another one, drinks are refused until it
    is flushed, purged and primed; GET /v1/maintenance names the next step."""
    return BottleView.of(await machine.store.bottles.mount(bottle_id, body.channel))


@router.post(
    "/bottles/{bottle_id}/unmount",
    summary="Put a bottle on the shelf",
    responses=responses("not-found", "in-use", "invalid-request"),
)
async def unmount_bottle(bottle_id: BottleId, machine: Machine) -> BottleView:
    """Its liquid stays assigned to the channel, since it is still in the tube."""
    return BottleView.of(await machine.store.bottles.unmount(bottle_id))


@router.post(
    "/channels/{number}/swap",
    summary="Swap the bottle on a channel",
    responses=responses("not-found", "in-use", "invalid-request"),
)
async def swap_bottle(number: ChannelNumber, body: SwapBody, machine: Machine) -> BottleView:
    """One call for an empty bottle off and a full one on; the old one goes to the shelf.

    While a pour is held, what it has delivered is drawn from the old bottle and the rest from the new one.
    For a bottle of another liquid the same holds as for a mount.
    """
    new = None if body.new is None else await _bottle(machine, body.bottle_id, body.new, None, "/new")
    return BottleView.of(await machine.store.bottles.swap(number, body.bottle_id, body.emptied, new))


@router.post(
    "/channels/{number}/swap/undo",
    summary="Undo the last swap on a channel",
    responses=responses("not-found", "in-use", "invalid-request"),
)
async def undo_swap(number: ChannelNumber, machine: Machine) -> BottleView | None:
    """Within 20 s, or until the next pour from the channel. The bottle that was there is back with its
    content, by a correction in its ledger; the other one goes to the shelf. Null where there was none."""
    back = await machine.store.bottles.undo_swap(number)
    return None if back is None else BottleView.of(back)


@router.post(
    "/bottles/{bottle_id}/weigh",
    summary="Correct the content of a bottle",
    responses=responses("not-found", "weighing-refused", "invalid-request"),
)
async def weigh_bottle(bottle_id: BottleId, body: WeighBody, machine: Machine) -> BottleView:
    """By weighing it with its content, or by an estimate; the ledger gets a correction."""
    try:
        if body.gross_g is not None:
            return BottleView.of(await machine.store.bottles.weigh(bottle_id, body.gross_g))
        return BottleView.of(await machine.store.bottles.correct(bottle_id, body.content_g or 0.0))
    except MenuError as error:
        raise ProblemError("weighing-refused", str(error)) from error


@router.get(
    "/bottles/{bottle_id}/movements",
    summary="The movements of a bottle",
    responses=responses("not-found", "invalid-request"),
)
async def list_movements(
    bottle_id: BottleId, machine: Machine, limit: Annotated[int, Query(ge=1, le=MAX_PAGE)] = 100
) -> list[MovementView]:
    """Newest first; the content is their sum."""
    return [MovementView.of(moved) for moved in await machine.store.bottles.movements(bottle_id, limit)]
