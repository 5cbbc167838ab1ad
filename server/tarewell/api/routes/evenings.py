"""The plan of an evening: as JSON, or as a page to print."""

import asyncio
from random import Random
from typing import Annotated

from fastapi import APIRouter, Header
from fastapi.responses import HTMLResponse

from tarewell.api.context import Machine
from tarewell.api.problems import ProblemError, responses
from tarewell.api.schemas.evenings import EveningBody, EveningView
from tarewell.menu.evening import faults_of_evening
from tarewell.menu.evening_plan import plan_evening
from tarewell.printing.evening_page import evening_page
from tarewell.setup_file.forms import require_none

from .cards import HTML, PAGE, html_page
from .exports import JSON, preferred

router = APIRouter(prefix="/v1/evenings", tags=["evening"])


@router.post(
    "/plan",
    summary="Plan an evening",
    response_model=EveningView,
    responses={200: PAGE, **responses("invalid-request", "not-acceptable")},
)
async def plan(
    body: EveningBody, machine: Machine, accept: Annotated[str | None, Header()] = None
) -> EveningView | HTMLResponse:
    """Drinks, bottles to buy, ice, cost, work and waiting; with `Accept: text/html` a page to print."""
    form = preferred(accept, (JSON, HTML))
    if form is None:
        raise ProblemError("not-acceptable", f"a plan is available as {JSON} or {HTML}; accept one of them")
    menu = await machine.store.menu(machine.planning.scale_max_g, machine.planning.dosing)
    bottles = await machine.store.bottles.all()
    evening = body.evening()
    require_none(faults_of_evening(menu, evening))
    found = await asyncio.to_thread(
        plan_evening, menu, bottles, evening, Random(body.seed).random, machine.planning.small
    )
    each_g = machine.planning.standard_drink_g
    if form == HTML:
        return html_page(evening_page(found, body.title, each_g))
    return EveningView.of(found, body.title, each_g)
