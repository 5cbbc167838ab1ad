"""A person at the board's knob, button and display, with machine and real records, in simulated time."""

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from stepped_bar import Bar, bar, settings
from stepped_loop import run_stepped
from tarewell.dosing.setup import DosingSettings
from tarewell.exchange.round_planning import RoundPlanner
from tarewell.local_panel.channels import ChannelChoices
from tarewell.local_panel.choices import Choices
from tarewell.local_panel.panel import LocalPanel
from tarewell.local_panel.recipes import RecipeChoices
from tarewell.machine.pour_record import PourRecord
from tarewell.quantities.units import SmallMeasures
from tarewell.records.values import PourQuery
from tarewell.weighing.scale import ScaleRating
from tarewell_sim.bench import Bench


@dataclass
class Bystander:
    """A person at the machine, who reads the display and turns the knob."""

    place: Bar
    planner: RoundPlanner

    @property
    def bench(self) -> Bench:
        """The actions of a person at the machine."""
        return self.place.machine.bench

    @property
    def display(self) -> list[str]:
        """The lines without trailing spaces."""
        return [line.rstrip() for line in self.place.machine.truth.lcd]

    @property
    def pumping(self) -> bool:
        """Whether a pump's motor has voltage."""
        return bool(self.place.machine.truth.pump_on)

    async def reads(self, *words: str, limit_s: float = 30.0) -> None:
        """Wait until the display shows all of these."""
        try:
            await self.place.until(lambda: all(word in "\n".join(self.display) for word in words), limit_s)
        except TimeoutError:
            raise AssertionError(f"waited for {words}, read {self.display}") from None

    async def reads_on(self, first: str, last: str) -> str:
        """Turn the pages of a text, from the one with `first` to the one with `last`, and return what they
        say, without their last line."""
        await self.reads(first)
        said: list[str] = []
        async with asyncio.timeout(60):
            while last not in " ".join(said):
                said += self.display[1:-1]
                await self.turn(1)
        return " ".join(said)

    async def turn(self, steps: int) -> None:
        self.bench.turn(steps)
        await asyncio.sleep(0.5)

    async def press(self, hold_s: float = 0.1) -> None:
        self.bench.press(hold_s)
        await asyncio.sleep(hold_s + 0.4)

    async def choose(self, title: str) -> None:
        """Turn until this is chosen, once it is available."""
        async with asyncio.timeout(30):
            while f"[{title}]" not in self.display:
                await self.turn(1)

    async def ask_for_water(self) -> None:
        """Pour the first amount shown."""
        await self.reads("[House Water]")
        await self.press()
        await self.press()

    async def pump(self) -> None:
        """Give the pour a glass of 250 g and wait for its pump."""
        self.bench.place_glass(mass_g=250.0)
        await self.place.until(lambda: self.pumping, 60)

    async def pours(self) -> list[PourRecord]:
        """All pours, newest first."""
        return list((await self.place.store.pours.list(PourQuery())).pours)

    async def only_pour(self) -> PourRecord:
        """The one pour in the records."""
        (record,) = await self.pours()
        return record


@asynccontextmanager
async def panel(place: Bar) -> AsyncIterator[Bystander]:
    """The panel of a running bar."""
    planner = RoundPlanner(place.store, place.interpreter, settings(place.path).planning)
    sources: list[Choices] = [
        RecipeChoices(place.store, ScaleRating(), DosingSettings(), SmallMeasures()),
        ChannelChoices(place.store, ScaleRating()),
    ]
    running = asyncio.create_task(LocalPanel(place.interpreter, planner, place.store, sources).run())
    try:
        yield Bystander(place, planner)
    finally:
        running.cancel()
        await asyncio.wait({running})
        if not running.cancelled() and (error := running.exception()) is not None:
            raise error


def at_the_counter(folder: Path, scene: Callable[[Bystander], Any], **options: Any) -> None:
    """Run a scene at a bar whose channel 1 has water."""

    async def main() -> None:
        async with bar(folder, **options) as place, panel(place) as counter:
            await scene(counter)

    run_stepped(main)
