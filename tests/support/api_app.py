"""The API over a double of the machine, and clients for it without a network."""

from collections.abc import Awaitable, Callable
from dataclasses import replace
from typing import Any
from urllib.parse import unquote

import httpx
from fastapi import FastAPI
from starlette.types import Message

from machine_double import MachineDouble
from tarewell.api.app import create_app
from tarewell.api.journal_check import JournalCheck
from tarewell.api.sign_in_tries import SignInTries
from tarewell.api.visitors import GuestKeyValid, no_guests
from tarewell.dosing.setup import DosingSettings
from tarewell.exchange.order_desk import OrderDesk
from tarewell.exchange.planning_config import PlanningConfig
from tarewell.exchange.round_planning import RoundPlanner
from tarewell.records.store import Store
from tarewell.settings import GuestSettings, MenuSettings
from tarewell.setup_file.exchange import ImportPlan, plan_import

Key = tuple[str | None, frozenset[tuple[str, Any]]]
_APPS: dict[Key, FastAPI] = {}
_KEY_VALID: dict[Key, GuestKeyValid] = {}
Poured = Callable[..., Awaitable[dict[str, Any]]]


class ImporterHere:
    """Plans an import in this process."""

    def __init__(self, store: Store) -> None:
        self._store = store

    async def plan(self, text: str) -> ImportPlan:
        return await plan_import(self._store, text, MenuSettings().small)


def planning_with(guests: GuestSettings) -> PlanningConfig:
    """The default settings, except for the guests."""
    return PlanningConfig(
        scale_max_g=1000.0,
        dosing=DosingSettings(),
        small=MenuSettings().small,
        standard_drink_g=MenuSettings().standard_drink_g,
        max_standard_drinks=guests.limit_standard_drinks,
        guests_window_h=guests.window_h,
    )


def app_with(
    machine: MachineDouble,
    token: str | None = None,
    guests: GuestSettings | None = None,
    guest_key_valid: GuestKeyValid = no_guests,
    **options: Any,
) -> FastAPI:
    """The API of a bar known as bar.test, until the next call with the same token and `options`, which are
    more of `create_app`: one app serves all these tests in turn, since it costs more to make its routes than
    to call them."""
    store, planning = machine.store, planning_with(guests or GuestSettings())
    importer = ImporterHere(store)
    key = (token, frozenset(options.items()))
    _KEY_VALID[key] = guest_key_valid
    if key not in _APPS:
        _APPS[key] = create_app(
            machine,
            store,
            planning,
            importer,
            token,
            hosts=("bar.test",),
            guest_key_valid=lambda guest_key: _KEY_VALID[key](guest_key),
            **options,
        )
    state = _APPS[key].state
    planner = RoundPlanner(store, machine, planning)
    state.services = replace(
        state.services,
        client=machine,
        store=store,
        planner=planner,
        desk=OrderDesk(store, machine, planner, planning),
        planning=planning,
        importer=importer,
        journal_check=JournalCheck(store.journal.verify),
        tries=SignInTries(),
    )
    return _APPS[key]


def client_of(app: FastAPI, **headers: str) -> httpx.AsyncClient:
    transport = httpx.ASGITransport(app, raise_app_exceptions=False)
    return httpx.AsyncClient(transport=transport, base_url="http://bar.test", headers=headers)


async def got_raw(app: FastAPI, path: str, **headers: str) -> tuple[int, dict[str, str], bytes]:
    """Status, headers and body of a GET whose path arrives as written: clients tidy dots and slashes up."""
    sent: list[Message] = []

    async def receive() -> Message:
        return {"type": "http.request"}

    async def send(message: Message) -> None:
        sent.append(message)

    named = {"host": "bar.test"} | {name.lower(): value for name, value in headers.items()}
    raw, _, query = path.partition("?")
    scope = {
        "type": "http",
        "method": "GET",
        "scheme": "http",
        "path": unquote(raw),
        "raw_path": raw.encode(),
        "query_string": query.encode(),
        "headers": [(name.encode(), value.encode()) for name, value in named.items()],
    }
    await app(scope, receive, send)
    begun, *parts = sent
    told = {name.decode(): value.decode() for name, value in begun["headers"]}
    return begun["status"], told, b"".join(part.get("body", b"") for part in parts)
