"""Rounds: check, begin, follow, command, and the history."""

from collections.abc import Awaitable, Callable
from typing import Annotated

from fastapi import APIRouter, Query, Response

from tarewell.api.context import Machine, Services
from tarewell.api.errors import round_link
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
from tarewell.api.problems import FieldError, ProblemError, responses
from tarewell.api.schemas.round_requests import GlassesBody, RoundBody
from tarewell.api.schemas.rounds import CheckView, RoundView
from tarewell.exchange.round_planning import RoundNotPossibleError, RoundRequest
from tarewell.machine.requests import CommandRound
from tarewell.machine.round_record import RoundRecord
from tarewell.menu.errors import MenuError
from tarewell.records.values import MAX_ROUNDS
from tarewell.rounds.events import RoundCommand
from tarewell.rounds.progress import RoundProgress

router = APIRouter(prefix="/v1/rounds", tags=["rounds"])


def shown(services: Services, record: RoundRecord) -> RoundView:
    """A round with its progress."""
    return _with(services, record, services.client.state.round_progress(record.id))


async def view(services: Services, round_id: str) -> RoundView:
    """The present state of a round."""
    progress = services.client.state.round_progress(round_id)
    return _with(services, await services.store.rounds.get(round_id), progress)


def _with(services: Services, record: RoundRecord, progress: RoundProgress | None) -> RoundView:
    planning = services.planning
    return RoundView.of(record, progress, planning.standard_drink_g, planning.dosing.accuracy_class)


@router.post(
    "/check",
    summary="Check which glasses of a round can be poured now",
    responses=responses("malformed-json", "invalid-request", "round-not-possible"),
)
async def check(body: GlassesBody, machine: Machine) -> CheckView:
    """Bottles are drawn down glass after glass, in order. Pours nothing."""
    try:
        found = await machine.planner.check([wish for _, wish in body.wanted()], body.orders)
    except MenuError as error:
        raise ProblemError("round-not-possible", str(error)) from error
    return CheckView.of(found, await machine.planner.forecast(found.glasses), machine.planning.currency)


@router.post(
    "",
    summary="Begin a round",
    status_code=201,
    responses=begun("round", RoundView, "The round has begun", *OCCUPIED),
)
async def begin(
    body: RoundBody, machine: Machine, response: Response, idempotency_key: IdempotencyKey = None
) -> RoundView:
    """Its intent is on the disk when this returns, and the machine waits for the first glass."""
    wanted = body.wanted()
    mark = None if idempotency_key is None else body.fingerprint
    request = RoundRequest(
        [wish for _, wish in wanted],
        machine.origin,
        body.auto_start,
        body.allow_short,
        idempotency_key,
        mark,
        body.orders,
    )
    try:
        record = await machine.planner.begin(request)
    except MenuError as error:
        raise ProblemError("round-not-possible", str(error)) from error
    except RoundNotPossibleError as error:
        errors = [
            FieldError(detail="; ".join(short.reasons), pointer=body.pointer_to(short.index))
            for short in error.feasibility.short
        ]
        raise ProblemError("round-not-possible", str(error), errors=errors) from error
    set_start_headers(response, round_link(record.id), record.replayed)
    return shown(machine, record)


@router.get("", summary="The history of rounds, newest first", responses=listed("`next` to older rounds"))
async def list_rounds(
    machine: Machine,
    response: Response,
    limit: Annotated[int, Query(ge=1, le=MAX_ROUNDS)] = 50,
    before: Annotated[str | None, Query(max_length=64, description="cursor of a next link")] = None,
) -> list[RoundView]:
    """Follow the Link header for older ones."""
    page = await machine.store.rounds.list(limit, before)
    set_page_links(response, router.prefix, {"limit": limit}, page.older)
    return [shown(machine, record) for record in page.rounds]


@router.post(
    "/{round_id}/confirm", summary="Confirm a step by hand", **command_route("round", "invalid-request")
)
async def confirm(
    round_id: RecordId,
    machine: Machine,
    glass: Annotated[int | None, Query(ge=1, description="as the progress shows it")] = None,
    leg: Annotated[int | None, Query(ge=1, description="as the progress shows it")] = None,
) -> RoundView:
    """The step that the round shows now; `glass` and `leg` make sure that it is no other, even when
    repeated."""
    await machine.store.rounds.get(round_id)
    progress = machine.client.state.round_progress(round_id)
    if progress is not None:
        for name, asked, now in (("glass", glass, progress.glass + 1), ("leg", leg, progress.leg + 1)):
            if asked not in (None, now):
                raise ProblemError(
                    "command-not-possible", f"the round is at {name} {now}, got {asked}; check its progress"
                )
    await machine.client.ask(CommandRound(round_id, RoundCommand.CONFIRM, machine.origin))
    return await view(machine, round_id)


@router.get("/{round_id}", summary="One round", responses=responses("not-found"))
async def read_round(round_id: RecordId, machine: Machine) -> RoundView:
    """Each glass as planned and as delivered, with the progress while it is under way."""
    return await view(machine, round_id)


def _add(command: RoundCommand, summary: str, description: str) -> None:
    async def give(round_id: RecordId, machine: Machine) -> RoundView:
        await machine.store.rounds.get(round_id)
        await machine.client.ask(CommandRound(round_id, command, machine.origin))
        return await view(machine, round_id)

    endpoint: Callable[[str, Services], Awaitable[RoundView]] = give
    router.add_api_route(
        f"/{{round_id}}/{command}",
        endpoint,
        methods=["POST"],
        name=f"{command}_round",
        summary=summary,
        description=description,
        **command_route("round"),
    )


_add(RoundCommand.START, "Pour into the glass that is ready", "For a round without `auto_start`.")
_add(RoundCommand.HOLD, "Hold a round", "Nothing new begins, and the pour under way is held.")
_add(RoundCommand.RESTART, "Restart a held round", "A pour that ended early is repeated with a fresh glass.")
_add(RoundCommand.SKIP, "Skip the current glass", "A pour under way is stopped first.")
_add(RoundCommand.STOP, "End a round", "A pour under way is stopped first; what was delivered is kept.")
