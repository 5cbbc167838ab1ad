"""Liquids, and the channels they hang on."""

from typing import Annotated

from fastapi import APIRouter, Path, Response

from tarewell.api.context import Machine
from tarewell.api.problems import FieldError, ProblemError, responses
from tarewell.api.schemas.liquids import LIQUID_ID, ChannelBody, ChannelView, LiquidBody, LiquidView
from tarewell.records.errors import UnknownRecordError
from tarewell.records.liquids import SLUG_MOST
from tarewell_protocol.messages import CHANNELS_MAX

router = APIRouter(prefix="/v1", tags=["liquids and channels"])

LiquidId = Annotated[
    str,
    Path(
        pattern=LIQUID_ID,
        max_length=SLUG_MOST,
        description="lower-case letters, digits, single hyphens",
        examples=["house-water"],
    ),
]
ChannelNumber = Annotated[int, Path(ge=1, le=CHANNELS_MAX, examples=[4])]


@router.get("/liquids", summary="All liquids", responses=responses("invalid-request"))
async def list_liquids(machine: Machine, retired: bool = False) -> list[LiquidView]:
    """By name; `retired=true` adds those that are kept for the history only."""
    return [LiquidView.of(liquid) for liquid in await machine.store.liquids.all(retired)]


@router.get("/liquids/{liquid_id}", summary="One liquid", responses=responses("not-found", "invalid-request"))
async def read_liquid(liquid_id: LiquidId, machine: Machine) -> LiquidView:
    """By its id."""
    return LiquidView.of(await machine.store.liquids.get(liquid_id))


@router.put("/liquids/{liquid_id}", summary="Put a liquid", responses=responses("invalid-request"))
async def put_liquid(liquid_id: LiquidId, body: LiquidBody, machine: Machine) -> LiquidView:
    """Creates or replaces it. Pours of the past keep the facts as they were."""
    liquid = body.liquid(liquid_id)
    await machine.store.liquids.put(liquid)
    return LiquidView.of(liquid)


@router.delete(
    "/liquids/{liquid_id}",
    summary="Retire a liquid",
    status_code=204,
    responses=responses("not-found", "liquid-in-use", "invalid-request"),
)
async def retire_liquid(liquid_id: LiquidId, machine: Machine) -> Response:
    """It stays for the history; it must hang on no channel."""
    await machine.store.liquids.retire(liquid_id)
    return Response(status_code=204)


@router.get("/channels", summary="All channels")
async def list_channels(machine: Machine) -> list[ChannelView]:
    """Those that were set up."""
    return [ChannelView.of(channel) for channel in await machine.store.channels.all()]


@router.put(
    "/channels/{number}",
    summary="Say what hangs on a channel",
    responses=responses("liquid-in-use", "invalid-request"),
)
async def assign_channel(number: ChannelNumber, body: ChannelBody, machine: Machine) -> ChannelView:
    """Takes effect with the next pour. Flush the tube first; it still holds the liquid of before."""
    try:
        await machine.store.channels.assign(number, body.liquid_id, body.name)
    except UnknownRecordError as error:
        at_fault = FieldError(detail=str(error), pointer="/liquid_id")
        raise ProblemError("invalid-request", str(error), errors=[at_fault]) from error
    return ChannelView(number=number, name=body.name, liquid_id=body.liquid_id)
