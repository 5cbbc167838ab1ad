"""The application: routes, problems, guard and the OpenAPI description."""

from collections.abc import Sequence
from typing import Any

from fastapi import FastAPI
from fastapi.responses import PlainTextResponse

from tarewell import __version__
from tarewell.exchange.client import MachineClient
from tarewell.exchange.planning_config import PlanningConfig
from tarewell.exchange.round_planning import RoundPlanner
from tarewell.records.store import Store

from . import errors
from .context import Services
from .guard import OPEN_PATHS, Guard
from .importing import Importer
from .problems import MEDIA_TYPE, PROBLEMS, ProblemError, responses
from .routes import (
    alarms,
    cards,
    evenings,
    events,
    exports,
    guests,
    liquids,
    machine,
    maintenance,
    menu,
    pours,
    recipes,
    recordings,
    rounds,
    scale,
    setup,
    stock,
)

DESCRIPTION = """Pours drinks to target mass from peristaltic pumps over a load cell, and keeps every
pour for audit.

Masses are in g, volumes in ml, densities in g/ml, strength in % by volume, times in UTC (RFC 3339). Every
error is a problem of RFC 9457, whose `detail` says what to do."""


def create_app(
    client: MachineClient,
    store: Store,
    planning: PlanningConfig,
    importer: Importer,
    token: str | None = None,
    host: str = "127.0.0.1",
    hosts: Sequence[str] = (),
) -> FastAPI:
    """The API for a machine and an open store; it starts and stops neither."""
    app = FastAPI(
        title="Tarewell",
        version=__version__,
        description=DESCRIPTION,
        redoc_url=None,
        responses=responses("internal-error", "records-unavailable"),
    )
    planner = RoundPlanner(store, client, planning)
    app.state.services = Services(client, store, planner, planning, importer)
    errors.install(app)
    for module in (
        machine,
        alarms,
        scale,
        liquids,
        maintenance,
        recipes,
        cards,
        stock,
        menu,
        evenings,
        setup,
        rounds,
        guests,
        pours,
        exports,
        recordings,
        events,
    ):
        app.include_router(module.router)
    app.add_api_route("/problems/{name}", _explain, include_in_schema=False)
    app.add_middleware(Guard, token=token, host=host, hosts=hosts)
    _describe(app, with_token=token is not None)
    return app


async def _explain(name: str) -> PlainTextResponse:
    """The meaning of a problem's type, for a person who follows its URI."""
    if name not in PROBLEMS:
        raise ProblemError("not-found", f"there is no problem {name!r}, only {', '.join(PROBLEMS)}")
    kind = PROBLEMS[name]
    return PlainTextResponse(f"{kind.title} (HTTP {kind.status})\n\n{kind.meaning}\n")


def _describe(app: FastAPI, with_token: bool) -> None:
    """FastAPI's OpenAPI with problems under their own media type, and the token."""
    make = app.openapi

    def openapi() -> dict[str, Any]:
        if app.openapi_schema is not None:
            return app.openapi_schema
        schema = make()
        for path, item in schema["paths"].items():
            for operation in item.values():
                for status, response in operation["responses"].items():
                    if int(status) >= 400:
                        response["content"] = {
                            MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}
                        }
                if with_token and path in OPEN_PATHS:
                    operation["security"] = []
        for unused in ("HTTPValidationError", "ValidationError"):
            schema["components"]["schemas"].pop(unused, None)
        if with_token:
            schema["components"]["securitySchemes"] = {"token": {"type": "http", "scheme": "bearer"}}
            schema["security"] = [{"token": []}]
        return schema

    app.openapi = openapi  # type: ignore[method-assign]
