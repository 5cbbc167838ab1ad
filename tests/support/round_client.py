"""A bar of two drinks over the API, on a machine that does what the test says, and the hands at it."""

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass, replace
from typing import Any

import httpx

from api_app import app_with, client_of
from machine_double import MachineDouble
from tarewell.menu.hands import Hand, HandStep
from tarewell.menu.values import Bottle, Glass, Liquid, Recipe, RecipeDose
from tarewell.quantities.density import from_strength, of_water
from tarewell.quantities.units import parse_amount
from tarewell.settings import GuestSettings

WATER = Liquid("spring", "Spring", of_water(), 0.0, 0.0, frozenset())
SPIRIT = Liquid("dry", "Dry", from_strength(40), 40.0, 0.0, frozenset())
CUCUMBER = HandStep(Hand.GARNISH, "a slice of <b>cucumber</b>")
RECIPES = (
    Recipe("cooler", "Cooler", (RecipeDose("spring", "100 ml", parse_amount("100 ml")), CUCUMBER), "beaker"),
    Recipe("bell", "Bell", (RecipeDose("dry", "25 ml", parse_amount("25 ml")),), "beaker"),
)


@dataclass
class RoundClient:
    """A client, and the hands at the machine."""

    client: httpx.AsyncClient
    machine: MachineDouble

    async def post(self, path: str, body: Any = None, **headers: str) -> httpx.Response:
        return await self.client.post(path, json=body, headers=headers)

    async def begin(self, *glasses: dict[str, Any], **more: Any) -> dict[str, Any]:
        answer = await self.post("/v1/rounds", {"glasses": list(glasses), **more})
        assert answer.status_code == 201, answer.text
        shown: dict[str, Any] = answer.json()
        return shown

    async def shown(self, shown: dict[str, Any]) -> dict[str, Any]:
        answer: dict[str, Any] = (await self.client.get(shown["links"]["self"])).json()
        return answer

    async def rests(self, mass_g: float) -> None:
        """Something lies on the platform."""
        shown = self.machine.indication
        assert shown is not None
        self.machine.indication = replace(shown, gross_g=mass_g, rest_g=mass_g)
        await self.look()

    async def look(self) -> None:
        """Let the round look at the machine, as with every reading."""
        await self.machine.look()

    async def until(
        self, shown: dict[str, Any], condition: Callable[[dict[str, Any]], bool]
    ) -> dict[str, Any]:
        """Ask until it is so."""
        for _ in range(300):
            await self.look()
            now = await self.shown(shown)
            if condition(now):
                return now
        raise AssertionError(f"it never was: {now}")

    async def step(self, shown: dict[str, Any], step: str) -> dict[str, Any]:
        """Ask until the round stands at a step."""
        return await self.until(shown, lambda now: (now["progress"] or {}).get("step") == step)

    async def pours(self, shown: dict[str, Any], *delivered_g: float, **more: Any) -> None:
        """Wait for the pour and end it."""
        await self.until(shown, lambda _: self.machine.running is not None)
        await self.step(shown, "pouring")
        await self.until(shown, lambda now: now["progress"]["pour"] is not None)
        await self.machine.finish(delivered_g, **more)


@asynccontextmanager
async def round_client(machine: MachineDouble, guests: GuestSettings) -> AsyncIterator[RoundClient]:
    """The bar, set up, and a client for it."""
    store = machine.store
    for liquid, number in ((WATER, 6), (SPIRIT, 7)):
        await store.liquids.put(liquid)
        await store.channels.assign(number, liquid.id, "")
        await store.bottles.put(Bottle(f"{liquid.id}-1", liquid.id, 700.0, 700.0, 50.0))
        await store.bottles.mount(f"{liquid.id}-1", number)
    await store.glasses.put(Glass("beaker", "Beaker", 250.0, 20.0, 230.0, 270.0))
    for recipe in RECIPES:
        await store.recipes.put(recipe)
    async with client_of(app_with(machine, guests=guests)) as client:
        yield RoundClient(client, machine)
    await machine.writer.drain(5.0)


SEAT = "seat 14"
COOLER = {"recipe_id": "cooler"}
BELL = {"recipe_id": "bell", "guest": SEAT}
