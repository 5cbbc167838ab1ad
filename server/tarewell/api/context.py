"""What the routes work with, found through the app that serves them."""

from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends
from starlette.requests import HTTPConnection

from tarewell.dosing.setup import DosingSettings
from tarewell.operation.operation import Operation
from tarewell.operation.rounds import Rounds
from tarewell.records.store import Store
from tarewell.settings import MenuSettings


@dataclass(frozen=True, slots=True)
class Services:
    """The machine, its rounds, its records, and what planning and maintenance take from the settings."""

    operation: Operation
    rounds: Rounds
    store: Store
    menu: MenuSettings
    scale_max_g: float
    dosing: DosingSettings


def services(connection: HTTPConnection) -> Services:
    """The services of the app that takes this request."""
    found: Services = connection.app.state.services
    return found


Machine = Annotated[Services, Depends(services)]
