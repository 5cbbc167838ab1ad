"""The application: routes, problems, guard and the OpenAPI description."""

import asyncio
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, PlainTextResponse
from starlette.middleware.cors import CORSMiddleware

from tarewell import __version__
from tarewell.exchange.client import MachineClient
from tarewell.exchange.order_desk import OrderDesk
from tarewell.exchange.planning_config import PlanningConfig
from tarewell.exchange.round_planning import RoundPlanner
from tarewell.records.store import Store
from tarewell.weighing.scale import ScaleRating

from . import errors, reference
from .access import Role, stated_role
from .context import BarFacts, Services
from .guard import Guard
from .importing import Importer
from .journal_check import JournalCheck, Verify
from .page import FOLDER, Page
from .problems import MEDIA_TYPE, PROBLEMS, ProblemError, responses
from .routes import (
    alarms,
    cards,
    evenings,
    events,
    exports,
    guest,
    guests,
    journal,
    liquids,
    machine,
    maintenance,
    menu,
    now,
    orders,
    pours,
    recipes,
    recordings,
    rounds,
    scale,
    service,
    sessions,
    setup,
    statistics,
    stock,
)
from .sign_in_tries import SignInTries
from .visitors import COOKIE, GuestKeyValid, Visitors, no_guests

CORS_METHODS = ("GET", "POST", "PUT", "DELETE")
CORS_SENT = (
    "Authorization",
    "Content-Type",
    "Idempotency-Key",
    "If-Match",
    "If-None-Match",
    "Last-Event-ID",
    "Tarewell-Origin",
)
CORS_READ = ("ETag", "Idempotency-Replayed", "Link", "Location", "Retry-After", "WWW-Authenticate")
"""What pages of the allowed origins may send and read. No cookie: they need the token."""

ANY_BAR = BarFacts("Tarewell", ScaleRating(), None)
"""A bar with the default settings."""

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
    *,
    allowed_origins: Sequence[str] = (),
    bar: BarFacts = ANY_BAR,
    page_folder: Path = FOLDER,
    guest_key_valid: GuestKeyValid = no_guests,
    verify: Verify | None = None,
) -> FastAPI:
    """The API for a machine and an open store, and the page beside it; it starts and stops neither.

    `guest_key_valid` says whether a key is that of the link of the evening. `verify` checks the journal; by
    default a thread of this process does.
    """
    app = FastAPI(
        title="Tarewell",
        version=__version__,
        description=DESCRIPTION,
        docs_url=None,
        redoc_url=None,
        responses=responses("internal-error", "records-unavailable"),
    )
    planner = RoundPlanner(store, client, planning)
    visitors, page = Visitors(token, guest_key_valid), Page(page_folder)
    check, desk = JournalCheck(verify or store.journal.verify), OrderDesk(store, client, planner, planning)
    app.state.services = Services(
        client, store, planner, desk, planning, importer, check, visitors, SignInTries(), bar, page
    )
    errors.install(app)
    for module in (
        machine,
        now,
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
        service,
        orders,
        guest,
        pours,
        statistics,
        journal,
        exports,
        recordings,
        events,
        sessions,
    ):
        app.include_router(module.router)
    app.include_router(sessions.links)
    app.add_api_route("/problems/{name}", _explain, include_in_schema=False)
    app.add_api_route("/docs", _reference, include_in_schema=False)
    page.install(app)
    app.add_middleware(Guard, visitors=visitors, host=host, hosts=hosts, origins=frozenset(allowed_origins))
    if allowed_origins:
        app.add_middleware(
            CORSMiddleware,
            allow_origins=allowed_origins,
            allow_methods=CORS_METHODS,
            allow_headers=CORS_SENT,
            expose_headers=CORS_READ,
        )
    _describe(app, with_token=token is not None)
    return app


async def _explain(name: str) -> PlainTextResponse:
    """The meaning of a problem's type, for a person who follows its URI."""
    if name not in PROBLEMS:
        raise ProblemError("not-found", f"there is no problem {name!r}, only {', '.join(PROBLEMS)}")
    kind = PROBLEMS[name]
    return PlainTextResponse(f"{kind.title} (HTTP {kind.status})\n\n{kind.meaning}\n")


async def _reference(request: Request) -> HTMLResponse:
    """The description as a page to read."""
    return cards.html_page(await asyncio.to_thread(lambda: reference.page_of(request.app.openapi())))


def _describe(app: FastAPI, with_token: bool) -> None:
    """FastAPI's OpenAPI with problems under their own media type, and the token."""
    make = app.openapi

    def openapi() -> dict[str, Any]:
        if app.openapi_schema is not None:
            return app.openapi_schema
        schema = make()
        for path, item in schema["paths"].items():
            for method, operation in item.items():
                for status, response in operation["responses"].items():
                    if int(status) >= 400:
                        response["content"] = {
                            MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}
                        }
                if with_token and stated_role(method.upper(), path) is Role.NOBODY:
                    operation["security"] = []
        for unused in ("HTTPValidationError", "ValidationError"):
            schema["components"]["schemas"].pop(unused, None)
        if with_token:
            schema["components"]["securitySchemes"] = {
                "token": {"type": "http", "scheme": "bearer"},
                "session": {"type": "apiKey", "in": "cookie", "name": COOKIE},
            }
            schema["security"] = [{"token": []}, {"session": []}]
        return schema

    app.openapi = openapi  # type: ignore[method-assign]
