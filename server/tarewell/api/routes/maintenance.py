"""Maintenance of channels: prime, flush, purge, a new tube, and what each needs next."""

from hashlib import sha256
from typing import Annotated

from fastapi import APIRouter, Path, Response

from tarewell.api.context import Machine, Services
from tarewell.api.errors import pour_link
from tarewell.api.kept import OCCUPIED, IdempotencyKey, begun, set_start_headers
from tarewell.api.problems import responses
from tarewell.api.routes.pours import begin, shown
from tarewell.api.schemas.maintenance import FlushBody, NeedView, PrimeBody, PurgeBody
from tarewell.api.schemas.pours import PourView
from tarewell.dosing.plan import Agent, DosePlan, PlanError, PourPlan, Purpose
from tarewell.machine.requests import ChangeTube

router = APIRouter(prefix="/v1", tags=["maintenance"])

Number = Annotated[int, Path(ge=1, le=255, description="of the channel", examples=[4])]
_STARTED = begun("pour", PourView, "It waits for a cup; follow and command it like any pour", *OCCUPIED)


@router.get("/maintenance", summary="What each channel needs before it may pour a drink")
async def read_needs(machine: Machine) -> list[NeedView]:
    """By channel; `need` is `none` where it is ready."""
    return [NeedView.of(facts) for facts in (await machine.planner.menu()).channels.values()]


@router.post(
    "/channels/{number}/prime", summary="Fill a tube with its liquid", status_code=201, responses=_STARTED
)
async def prime(
    number: Number,
    machine: Machine,
    response: Response,
    body: PrimeBody | None = None,
    idempotency_key: IdempotencyKey = None,
) -> PourView:
    """Runs until liquid has reached the cup, and some more."""
    amount_g = (
        body.amount_g if body is not None and body.amount_g is not None else machine.planning.dosing.prime_g
    )
    return await _start(machine, response, number, Purpose.PRIME, amount_g, None, idempotency_key)


@router.post(
    "/channels/{number}/flush",
    summary="Run water or a cleaner through a channel",
    status_code=201,
    responses=_STARTED,
)
async def flush(
    number: Number,
    body: FlushBody,
    machine: Machine,
    response: Response,
    idempotency_key: IdempotencyKey = None,
) -> PourView:
    """Put the tube's end into the water or the cleaner. The channel pours no drink until it is rinsed, purged
    and primed; GET /v1/maintenance names the next step."""
    return await _start(machine, response, number, Purpose.FLUSH, body.amount_g, body.agent, idempotency_key)


@router.post("/channels/{number}/purge", summary="Empty a tube", status_code=201, responses=_STARTED)
async def purge(
    number: Number,
    machine: Machine,
    response: Response,
    body: PurgeBody | None = None,
    idempotency_key: IdempotencyKey = None,
) -> PourView:
    """Lift the tube's end out of the liquid; it ends when nothing more comes."""
    max_g = body.max_g if body is not None and body.max_g is not None else machine.planning.dosing.max_purge_g
    return await _start(machine, response, number, Purpose.PURGE, max_g, None, idempotency_key)


@router.post(
    "/channels/{number}/change-tube",
    summary="Say that a channel has a new tube",
    responses=responses("not-found", "machine-busy", "machine-not-ready", "invalid-request"),
)
async def change_tube(number: Number, machine: Machine) -> NeedView:
    """What the channel has taught and what its tube held is forgotten. It pours no drink until the new tube
    is rinsed, purged and primed. A tube that waits for its first rinse is new already: nothing changes."""
    await machine.store.channels.get(number)
    await machine.client.ask(ChangeTube(number))
    return NeedView.of((await machine.planner.menu()).channels[number])


async def _start(
    machine: Services,
    response: Response,
    number: int,
    purpose: Purpose,
    target_g: float,
    agent: Agent | None,
    key: str | None,
) -> PourView:
    asked = f"{purpose} {number} {target_g!r} {agent}"
    mark = None if key is None else sha256(asked.encode()).hexdigest()
    planned = _plan(machine, number, purpose, target_g, agent)
    record = await begin(planned, key, mark, machine)
    set_start_headers(response, pour_link(record.id), record.replayed)
    return await shown(machine, record)


async def _plan(
    machine: Services, number: int, purpose: Purpose, target_g: float, agent: Agent | None
) -> PourPlan:
    liquids = {channel.number: channel.liquid_id for channel in await machine.store.channels.all()}
    liquid_id = liquids.get(number)
    if liquid_id is None:
        raise PlanError(
            f"channel {number} is not set up or has no liquid; PUT /v1/channels/{number} assigns one", 0
        )
    dose = DosePlan(number, liquid_id, target_g)
    return PourPlan((dose,), purpose=purpose, agent=agent)
