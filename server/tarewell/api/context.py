"""The services that the routes use, found through the app."""

from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends
from starlette.requests import HTTPConnection

from tarewell.exchange.client import MachineClient
from tarewell.exchange.planning_config import PlanningConfig
from tarewell.exchange.round_planning import RoundPlanner
from tarewell.records.store import Store

from .importing import Importer


@dataclass(frozen=True, slots=True)
class Services:
    """The machine, its records, and the planning of rounds."""

    client: MachineClient
    store: Store
    planner: RoundPlanner
    planning: PlanningConfig
    importer: Importer


def services(connection: HTTPConnection) -> Services:
    """The services of the app that handles this request."""
    found: Services = connection.app.state.services
    return found


Machine = Annotated[Services, Depends(services)]
