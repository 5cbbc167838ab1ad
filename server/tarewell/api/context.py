"""The services that the routes use, found through the app."""

from dataclasses import dataclass, replace
from typing import Annotated

from fastapi import Depends
from starlette.requests import HTTPConnection

from tarewell.exchange.client import MachineClient
from tarewell.exchange.order_desk import OrderDesk
from tarewell.exchange.planning_config import PlanningConfig
from tarewell.exchange.round_planning import RoundPlanner
from tarewell.records.store import Store
from tarewell.weighing.scale import ScaleRating

from .importing import Importer
from .journal_check import JournalCheck
from .page import Page
from .sign_in_tries import SignInTries
from .visitors import Visitor, Visitors


@dataclass(frozen=True, slots=True)
class BarFacts:
    """What people are told of the bar: its name, the rating of its scale, its currency (ISO 4217; None: not
    set)."""

    name: str
    scale: ScaleRating
    currency: str | None


ORIGINS = ("api", "page", "command_line")
"""Who may order through the API, as the header `Tarewell-Origin` says; the first where it says none of
them."""


@dataclass(frozen=True, slots=True)
class Services:
    """The machine, its records and their check, planning of rounds, the order desk; the bar, its page, and
    who may ask. `origin` is who orders, for the records."""

    client: MachineClient
    store: Store
    planner: RoundPlanner
    desk: OrderDesk
    planning: PlanningConfig
    importer: Importer
    journal_check: JournalCheck
    visitors: Visitors
    tries: SignInTries
    bar: BarFacts
    page: Page
    origin: str = ORIGINS[0]


def services(connection: HTTPConnection) -> Services:
    """The services of the app that handles this request."""
    found: Services = connection.app.state.services
    origin = connection.headers.get("Tarewell-Origin")
    return replace(found, origin=origin) if origin in ORIGINS else found


Machine = Annotated[Services, Depends(services)]


async def _visitor(connection: HTTPConnection) -> Visitor:
    found: Visitor = connection.state.visitor
    return found


CurrentVisitor = Annotated[Visitor, Depends(_visitor)]
"""Who sends the request, as the guard found; not for addresses that anybody may ask for."""
