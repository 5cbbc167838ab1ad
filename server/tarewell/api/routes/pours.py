"""Pours: start, follow, order, and the history."""

from collections.abc import Awaitable, Callable
from typing import Annotated

from fastapi import APIRouter, Header, Path, Query, Request, Response

from tarewell.api.context import Machine, Services
from tarewell.api.errors import pour_link
from tarewell.api.paging import link_header
from tarewell.api.planning import begin
from tarewell.api.problems import responses
from tarewell.api.schemas.pours import IdempotencyKey, PourBody, PourFilter, PourView
from tarewell.dosing.events import PourCommand
from tarewell.exchange.requests import CommandPour

router = APIRouter(prefix="/v1/pours", tags=["pours"])

PourId = Annotated[
    str,
    Path(
        max_length=64, description="as given at its start", examples=["01959c44-7f7a-7000-8a52-0d7c4a1e93b1"]
    ),
]

_LOCATION = {"Location": {"description": "where the pour is found", "schema": {"type": "string"}}}
_REPLAYED = {
    "Idempotency-Replayed": {
        "description": "true: this key had poured before, nothing was started",
        "schema": {"type": "string"},
    }
}


async def view(services: Services, pour_id: str) -> PourView:
    """A pour as it stands now."""
    progress = services.client.state.pour_progress(pour_id)
    return PourView.of(await services.store.pours.get(pour_id), progress)


@router.post(
    "",
    summary="Pour a drink",
    status_code=201,
    responses={
        201: {"description": "The pour has begun", "headers": _LOCATION},
        200: {
            "model": PourView,
            "description": "The key was used before for the same request; here is that pour",
            "headers": _LOCATION | _REPLAYED,
        },
        **responses(
            "malformed-json",
            "machine-busy",
            "machine-not-ready",
            "invalid-request",
            "pour-not-possible",
            "idempotency-conflict",
        ),
    },
)
async def start(
    body: PourBody,
    machine: Machine,
    response: Response,
    idempotency_key: Annotated[
        IdempotencyKey | None,
        Header(description="1 to 255 visible ASCII characters; the same key never pours twice"),
    ] = None,
) -> PourView:
    """Its intent is on the disk when this returns, and the machine waits for a glass.

    With an `Idempotency-Key` the request may be sent again after a broken connection or a restart.
    """
    record = await begin(body, idempotency_key, machine)
    response.headers["Location"] = pour_link(record.id)
    if record.replayed:
        response.status_code = 200
        response.headers["Idempotency-Replayed"] = "true"
    return PourView.of(record, machine.client.state.pour_progress(record.id))


@router.get(
    "",
    summary="The history of pours, newest first",
    responses={
        200: {
            "headers": {
                "Link": {
                    "description": "RFC 8288: `next` to older, `prev` to newer pours",
                    "schema": {"type": "string"},
                }
            }
        },
        **responses("invalid-request"),
    },
)
async def list_pours(
    asked: Annotated[PourFilter, Query()], machine: Machine, request: Request, response: Response
) -> list[PourView]:
    """Follow the Link header for the other pages."""
    page = await machine.store.pours.list(asked.query())
    links = link_header(request.url.path, asked, page)
    if links is not None:
        response.headers["Link"] = links
    return [PourView.of(record, machine.client.state.pour_progress(record.id)) for record in page.pours]


@router.get("/{pour_id}", summary="One pour", responses=responses("not-found"))
async def read_pour(pour_id: PourId, machine: Machine) -> PourView:
    """With its progress while it is under way."""
    return await view(machine, pour_id)


def _add_order(order: PourCommand, summary: str, description: str) -> None:
    async def give(pour_id: PourId, machine: Machine) -> PourView:
        await machine.store.pours.get(pour_id)
        await machine.client.ask(CommandPour(pour_id, order))
        return await view(machine, pour_id)

    endpoint: Callable[[str, Services], Awaitable[PourView]] = give
    router.add_api_route(
        f"/{{pour_id}}/{order}",
        endpoint,
        methods=["POST"],
        status_code=202,
        name=f"{order}_pour",
        summary=summary,
        description=description,
        response_description="The order was taken; the answer shows the pour just after it",
        responses=responses("not-found", "order-not-possible", "machine-not-ready"),
    )


_add_order(PourCommand.HOLD, "Hold a pour", "Stops the pump and waits for a restart, a stop or an abort.")
_add_order(
    PourCommand.RESTART, "Go on with a held pour", "After the same glass was found back on the platform."
)
_add_order(PourCommand.STOP, "Stop a pour in order", "Stops the pump and keeps the settled mass.")
_add_order(PourCommand.ABORT, "End a pour at once", "Stops the pump and keeps the last mass known.")
