"""The API over a double of the machine, and clients for it without a network."""

from collections.abc import Awaitable, Callable
from typing import Any

import httpx
from fastapi import FastAPI

from machine_double import MachineDouble
from tarewell.api.app import create_app
from tarewell.api.context import Services
from tarewell.dosing.setup import DosingSettings
from tarewell.exchange.planning_config import PlanningConfig
from tarewell.exchange.round_planning import RoundPlanner
from tarewell.records.store import Store
from tarewell.settings import GuestSettings, MenuSettings
from tarewell.setup_file.exchange import ImportPlan, plan_import

_APPS: dict[str | None, FastAPI] = {}
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
    machine: MachineDouble, token: str | None = None, guests: GuestSettings | None = None
) -> FastAPI:
    """The API over this machine, until the next call: one app for each token serves all tests in turn, since
    it costs more to make its routes than to call them."""
    store, planning = machine.store, planning_with(guests or GuestSettings())
    importer = ImporterHere(store)
    if token not in _APPS:
        _APPS[token] = create_app(machine, store, planning, importer, token, hosts=("bar.test",))
    planner = RoundPlanner(store, machine, planning)
    _APPS[token].state.services = Services(machine, store, planner, planning, importer)
    return _APPS[token]


def client_of(app: FastAPI, **headers: str) -> httpx.AsyncClient:
    transport = httpx.ASGITransport(app, raise_app_exceptions=False)
    return httpx.AsyncClient(transport=transport, base_url="http://bar.test", headers=headers)
