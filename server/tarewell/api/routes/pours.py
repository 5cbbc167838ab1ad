"""Pours: start, follow, command, and the history."""

from collections.abc import Awaitable, Callable
from hashlib import sha256
from typing import Annotated

from fastapi import APIRouter, Query, Response

from tarewell.api.context import Machine, Services
from tarewell.api.errors import pour_link
from tarewell.api.kept import (
    OCCUPIED,
    IdempotencyKey,
    RecordId,
    begun,
    command_route,
    listed,
    set_page_links,
    set_start_headers,
)
from tarewell.api.planning import plan_of
from tarewell.api.problems import responses
from tarewell.api.schemas.pour_requests import PourBody, PourFilter
from tarewell.api.schemas.pours import InGlassView, PourView
from tarewell.dosing.events import PourCommand
from tarewell.dosing.plan import PlanError, PourPlan, Purpose
from tarewell.machine.pour_record import PourRecord
from tarewell.machine.requests import CommandPour, PourRequest
from tarewell.rounds.serving import serving_of

router = APIRouter(prefix="/v1/pours", tags=["pours"])


async def view(services: Services, pour_id: str) -> PourView:
    """The present state of a pour."""
    return await shown(services, await services.store.pours.get(pour_id))


async def shown(services: Services, record: PourRecord) -> PourView:
    """A pour with its progress, its alarms, who holds it, its steps and its seal."""
    progress = services.client.state.pour_progress(record.id)
    events = await services.store.journal.of_pour(record.id)
    picture = await services.store.pours.picture(record.id)
    in_glass = await _in_glass(services, record)
    return PourView.of(record, progress, events, picture.steps, in_glass)


async def _in_glass(services: Services, record: PourRecord) -> InGlassView | None:
    if record.purpose != Purpose.DRINK or record.final is None:
        return None
    standard_drink_g = services.planning.standard_drink_g
    serving = None if record.recipe is None else serving_of(record.recipe.serving_id)
    if serving is None:
        liquids = {liquid.id: liquid for liquid in await services.store.liquids.all(retired=True)}
        return InGlassView.of_doses(record, liquids, standard_drink_g)
    glass = (await services.store.rounds.get(serving.round_id)).glasses[serving.glass]
    attempt = next((found for found in glass.attempts if record.id in found.pour_ids), None)
    return None if attempt is None else InGlassView.of_round(glass.plan.drink, attempt, standard_drink_g)


async def begin(
    planned: Awaitable[PourPlan],
    key: str | None,
    fingerprint: str | None,
    services: Services,
    onto_contents: bool = False,
) -> PourRecord:
    """Send the pour to the machine; a repeated request gets the pour of its key, whatever has changed since.

    Raises:
        PlanError, MachineBusyError, NotReadyError, IdempotencyConflict, StoreError: nothing has begun.
    """
    try:
        plan = await planned
    except PlanError:
        if key is None or (earlier := await services.store.pours.find(key, fingerprint)) is None:
            raise
        return earlier
    request = PourRequest(plan, services.origin, key, fingerprint, onto_contents=onto_contents)
    return await services.client.ask(request)


@router.post(
    "",
    summary="Pour a drink",
    status_code=201,
    responses=begun("pour", PourView, "The pour has begun", *OCCUPIED),
)
async def start(
    body: PourBody, machine: Machine, response: Response, idempotency_key: IdempotencyKey = None
) -> PourView:
    """Its intent is on the disk when this returns, and the machine waits for a glass.

    With an `Idempotency-Key` the request may be sent again after a broken connection or a restart.
    """
    mark = (
        None
        if idempotency_key is None
        else sha256(body.model_dump_json(exclude_none=True).encode()).hexdigest()
    )
    planned = plan_of(body, machine.store)
    record = await begin(planned, idempotency_key, mark, machine, onto_contents=bool(body.onto_contents))
    set_start_headers(response, pour_link(record.id), record.replayed)
    return await shown(machine, record)


@router.get(
    "",
    summary="The history of pours, newest first",
    responses=listed("`next` to older, `prev` to newer pours"),
)
async def list_pours(
    asked: Annotated[PourFilter, Query()], machine: Machine, response: Response
) -> list[PourView]:
    """Follow the Link header for the other pages."""
    page = await machine.store.pours.list(asked.query())
    kept = asked.model_dump(mode="json", exclude_none=True, exclude={"before", "after"})
    set_page_links(response, router.prefix, kept, page.older, page.newer)
    return [PourView.of(record, machine.client.state.pour_progress(record.id)) for record in page.pours]


@router.get("/{pour_id}", summary="One pour", responses=responses("not-found"))
async def read_pour(pour_id: RecordId, machine: Machine) -> PourView:
    """With its progress while it is under way, all alarms that it raised, its steps, and its seal."""
    return await view(machine, pour_id)


def _add(command: PourCommand, summary: str, description: str) -> None:
    async def give(pour_id: RecordId, machine: Machine) -> PourView:
        await machine.store.pours.get(pour_id)
        await machine.client.ask(CommandPour(pour_id, command, machine.origin))
        return await view(machine, pour_id)

    endpoint: Callable[[str, Services], Awaitable[PourView]] = give
    router.add_api_route(
        f"/{{pour_id}}/{command}",
        endpoint,
        methods=["POST"],
        name=f"{command}_pour",
        summary=summary,
        description=description,
        **command_route("pour"),
    )


_add(PourCommand.HOLD, "Hold a pour", "Stops the pump and waits for a restart, a stop or an abort.")
_add(PourCommand.RESTART, "Restart a held pour", "It goes on once the same glass is back on the platform.")
_add(PourCommand.STOP, "Stop a pour in order", "Stops the pump and keeps the settled mass.")
_add(PourCommand.ABORT, "End a pour at once", "Stops the pump and keeps the last mass known.")
