"""Liquids, and the channels they are assigned to."""

from collections.abc import Callable
from typing import Annotated

from fastapi import APIRouter, Path, Response

from tarewell.api.context import Machine, Services
from tarewell.api.editing import found, put, retire, shown
from tarewell.api.etags import TAGGED, Conditions
from tarewell.api.problems import FieldError, ProblemError, responses
from tarewell.api.schemas.liquids import (
    ChannelBody,
    ChannelView,
    LiquidBody,
    LiquidView,
    ListedChannelView,
)
from tarewell.api.schemas.taught import TaughtView
from tarewell.dosing.uncertainty import SeenDrips
from tarewell.menu.colours import colours_of
from tarewell.menu.values import Liquid
from tarewell.records.errors import UnknownRecordError
from tarewell.setup_file.forms import MAX_SLUG, SLUG
from tarewell_protocol.messages import CHANNELS_MAX

router = APIRouter(prefix="/v1", tags=["liquids and channels"])

LiquidId = Annotated[
    str,
    Path(
        pattern=SLUG,
        max_length=MAX_SLUG,
        description="lower-case letters, digits, single hyphens",
        examples=["house-water"],
    ),
]
ChannelNumber = Annotated[int, Path(ge=1, le=CHANNELS_MAX, examples=[4])]


@router.get("/liquids", summary="All liquids", responses=responses("invalid-request"))
async def list_liquids(machine: Machine, retired: bool = False) -> list[LiquidView]:
    """By name; `retired=true` adds the retired ones."""
    liquids = await machine.store.liquids.all(retired=True)
    colours = colours_of(liquids)
    return [LiquidView.of(liquid, colours[liquid.id]) for liquid in liquids if retired or liquid.active]


@router.get(
    "/liquids/{liquid_id}",
    summary="One liquid",
    response_model=LiquidView,
    responses={**TAGGED, **responses("not-found", "invalid-request", "changed-meanwhile")},
)
async def read_liquid(
    liquid_id: LiquidId, machine: Machine, wanted: Conditions, response: Response
) -> LiquidView | Response:
    """By its id."""
    view = await _view(machine)
    return shown(view(await machine.store.liquids.get(liquid_id)), wanted, response)


@router.put(
    "/liquids/{liquid_id}",
    summary="Put a liquid",
    responses=responses("in-use", "changed-meanwhile", "invalid-request"),
)
async def put_liquid(
    liquid_id: LiquidId, body: LiquidBody, machine: Machine, wanted: Conditions
) -> LiquidView:
    """Creates or replaces it. Pours of the past keep the facts as they were."""
    return await put(machine.store.liquids, body.liquid(liquid_id), await _view(machine), wanted)


@router.delete(
    "/liquids/{liquid_id}",
    summary="Retire a liquid",
    status_code=204,
    responses=responses("not-found", "in-use", "changed-meanwhile", "invalid-request"),
)
async def retire_liquid(liquid_id: LiquidId, machine: Machine, wanted: Conditions) -> Response:
    """It stays for the history; it must not be assigned to a channel or used in a recipe."""
    return await retire(machine.store.liquids, liquid_id, await _view(machine), wanted)


async def _view(machine: Services) -> Callable[[Liquid], LiquidView]:
    """Shows one liquid, with its colour among all others."""
    others = {liquid.id: liquid for liquid in await machine.store.liquids.all(retired=True)}
    return lambda liquid: LiquidView.of(
        liquid, colours_of((others | {liquid.id: liquid}).values())[liquid.id]
    )


@router.get("/channels", summary="All channels")
async def list_channels(machine: Machine) -> list[ListedChannelView]:
    """Those that were set up, each with what it needs before it may pour a drink."""
    facts = (await machine.planner.menu()).channels
    channels = await machine.store.channels.all()
    return [
        ListedChannelView.of_channel(channel, facts[channel.number])
        for channel in channels
        if channel.number in facts
    ]


@router.get(
    "/channels/{number}",
    summary="One channel",
    response_model=ChannelView,
    responses={**TAGGED, **responses("not-found", "invalid-request", "changed-meanwhile")},
)
async def read_channel(
    number: ChannelNumber, machine: Machine, wanted: Conditions, response: Response
) -> ChannelView | Response:
    """By its number."""
    return shown(ChannelView.of(await machine.store.channels.get(number)), wanted, response)


@router.get(
    "/channels/{number}/taught",
    summary="What a channel has taught",
    responses=responses("not-found", "invalid-request"),
)
async def read_taught(number: ChannelNumber, machine: Machine) -> list[TaughtView]:
    """Its model with each liquid that it has poured."""
    await machine.store.channels.get(number)
    taught = await machine.store.inflight.current()
    drips = await machine.store.pours.seen_drips()
    return [
        TaughtView.of(key[1], inflight, drips.get(key, SeenDrips()))
        for key, inflight in sorted(taught.items(), key=lambda item: item[0])
        if key[0] == number
    ]


@router.put(
    "/channels/{number}",
    summary="Assign a liquid to a channel",
    responses=responses("in-use", "channel-taken", "changed-meanwhile", "invalid-request"),
)
async def assign_channel(
    number: ChannelNumber, body: ChannelBody, machine: Machine, wanted: Conditions
) -> ChannelView:
    """Takes effect with the next pour. Where the tube still holds another liquid, drinks are refused until it
    is flushed, purged and primed; GET /v1/maintenance names the next step."""
    seen = await found(machine.store.channels.get(number))
    expected = wanted.expected(seen, ChannelView.of)
    try:
        channel = await machine.store.channels.assign(number, body.liquid_id, body.name, expected)
    except UnknownRecordError as error:
        at_fault = FieldError(detail=str(error), pointer="/liquid_id")
        raise ProblemError("invalid-request", str(error), errors=[at_fault]) from error
    return ChannelView.of(channel)
