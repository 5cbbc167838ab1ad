"""The service of the bar: open, closed, whether guests may order, and the guests' link."""

import asyncio
from typing import Annotated, Any

from fastapi import APIRouter, Query, Response

from tarewell.api.context import Machine, Services
from tarewell.api.problems import ProblemError, responses
from tarewell.api.schemas.orders import GuestLinkView, GuestsBody, OpenBody, ServiceView
from tarewell.printing.qr_code import qr_code

router = APIRouter(prefix="/v1/service", tags=["orders"])

SVG = "image/svg+xml"
NOT_KEPT = {"Cache-Control": "no-store"}
_DRAWING: dict[str, Any] = {"content": {SVG: {"schema": {"type": "string"}}}}


@router.get("", summary="The service that is open, else the last one", responses=responses("not-found"))
async def read_service(machine: Machine) -> ServiceView:
    """A service is a time for which the bar is open, such as the interval of one night."""
    service = await machine.store.orders.service()
    if service is None:
        raise ProblemError("not-found", "there was no service yet; open one with POST /v1/service/open")
    return ServiceView.of(service)


@router.post(
    "/open",
    summary="Open a service",
    status_code=201,
    responses=responses("malformed-json", "invalid-request", "in-use"),
)
async def open_(body: OpenBody, machine: Machine) -> ServiceView:
    """Orders are taken from now on and numbered from 1."""
    return ServiceView.of(await machine.store.orders.open_service(body.title, body.guests_may_order))


@router.post("/close", summary="Close the service", responses=responses("not-found", "in-use"))
async def close(machine: Machine) -> ServiceView:
    """The guests' link ends, and orders that still wait are sent back."""
    return ServiceView.of(await machine.store.orders.close_service())


@router.put(
    "/guests",
    summary="Let guests order, or no longer",
    responses=responses("malformed-json", "invalid-request", "not-found"),
)
async def let_guests_order(body: GuestsBody, machine: Machine) -> ServiceView:
    """By their link; the menu can be read in any case."""
    return ServiceView.of(await machine.store.orders.let_guests_order(body.may_order))


@router.get("/link", summary="The link for guests", responses=responses("not-found"))
async def read_link(machine: Machine, response: Response) -> GuestLinkView:
    """Whoever has it sees the menu, and may order if guests may. It is in no log and no event."""
    response.headers.update(NOT_KEPT)
    return await _link(machine)


@router.get(
    "/link/code",
    summary="The link for guests as a QR code",
    response_class=Response,
    responses={200: _DRAWING, **responses("not-found", "invalid-request")},
)
async def read_code(
    machine: Machine,
    address: Annotated[
        str,
        Query(
            pattern=r"^https?://[^\s/]+$",
            max_length=200,
            description="of the daemon, as phones reach it: `http://bar.local:8788`",
        ),
    ],
) -> Response:
    """A drawing (SVG) by ISO/IEC 18004, with its quiet zone. Treat it like the link."""
    link = await _link(machine)
    drawn = await asyncio.to_thread(qr_code, address + link.path)
    return Response(drawn, media_type=SVG, headers=NOT_KEPT)


@router.post("/link", summary="Make a new link for guests", status_code=201, responses=responses("not-found"))
async def make_link(machine: Machine, response: Response) -> GuestLinkView:
    """An earlier one ends at once."""
    made = await machine.store.orders.make_link()
    response.headers.update(NOT_KEPT)
    return GuestLinkView.of(made.link_key or "")


@router.delete("/link", summary="End the link for guests", status_code=204, responses=responses("not-found"))
async def end_link(machine: Machine) -> None:
    """Whoever came by it sees nothing more."""
    await machine.store.orders.end_link()


async def _link(machine: Services) -> GuestLinkView:
    service = await machine.store.orders.service()
    if service is None or service.link_key is None:
        raise ProblemError("not-found", "there is no link for guests; make one with POST /v1/service/link")
    return GuestLinkView.of(service.link_key)
