"""What the routes work with, found through the app that serves them."""

from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends
from starlette.requests import HTTPConnection

from tarewell.operation.operation import Operation
from tarewell.records.store import Store


@dataclass(frozen=True, slots=True)
class Services:
    """The machine and its records."""

    operation: Operation
    store: Store


def services(connection: HTTPConnection) -> Services:
    """The services of the app that takes this request."""
    found: Services = connection.app.state.services
    return found


Machine = Annotated[Services, Depends(services)]
