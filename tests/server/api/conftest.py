import asyncio
import shutil
from collections.abc import AsyncIterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
import pytest
from fastapi import FastAPI

from api_app import Poured, app_with, client_of
from machine_double import MachineDouble
from tarewell.menu.values import Liquid
from tarewell.quantities.density import from_brix, from_strength, of_water
from tarewell.records.store import Store

LIQUIDS = (
    (1, Liquid("house-water", "House Water", of_water(), abv_percent=0.0)),
    (2, Liquid("footlight-spirit", "Footlight Spirit", from_strength(40.0), abv_percent=40.0)),
    (4, Liquid("prompters-cordial", "Prompter's Cordial", from_brix(30.0), abv_percent=0.0)),
)


class MinuteClock:
    """UTC that moves on by a minute with every look."""

    def __init__(self) -> None:
        self.now = datetime(2031, 3, 14, 19, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.now += timedelta(minutes=1)
        return self.now


async def set_up(path: Path) -> None:
    store = await Store.open(path, "interval-bar", "0.1.0", MinuteClock())
    for number, liquid in LIQUIDS:
        await store.liquids.put(liquid)
        await store.channels.assign(number, liquid.id, f"bottle {number}")
    await store.close()


@pytest.fixture(scope="session")
def bar_database(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file with liquids and channels to copy, so that not every test migrates and writes them."""
    path = tmp_path_factory.mktemp("template") / "bar.db"
    asyncio.run(set_up(path))
    return path


@pytest.fixture
async def store(tmp_path: Path, bar_database: Path) -> AsyncIterator[Store]:
    shutil.copy(bar_database, tmp_path / "bar.db")
    store = await Store.open(tmp_path / "bar.db", "interval-bar", "0.1.0", MinuteClock())
    yield store
    await store.close()


@pytest.fixture
def machine(store: Store) -> MachineDouble:
    return MachineDouble(store)


@pytest.fixture
def app(machine: MachineDouble) -> FastAPI:
    return app_with(machine)


@pytest.fixture
async def client(app: FastAPI) -> AsyncIterator[httpx.AsyncClient]:
    async with client_of(app) as client:
        yield client


@pytest.fixture
async def guarded(machine: MachineDouble) -> AsyncIterator[httpx.AsyncClient]:
    """A daemon with the token "second-bell"."""
    async with client_of(app_with(machine, "second-bell")) as client:
        yield client


@pytest.fixture
def poured(client: httpx.AsyncClient, machine: MachineDouble) -> Poured:
    """Pours one dose through the API and ends it."""

    async def pour(channel: int = 1, amount_g: float = 50.0, **finish: Any) -> dict[str, Any]:
        reply = await client.post("/v1/pours", json={"doses": [{"channel": channel, "amount_g": amount_g}]})
        assert reply.status_code == 201, reply.text
        await machine.finish([amount_g + 0.4], **finish)
        body: dict[str, Any] = reply.json()
        return body

    return pour
