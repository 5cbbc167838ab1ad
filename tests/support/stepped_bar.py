"""The machine with a real store on simulated hardware, all in the simulated time of `stepped_loop`."""

import asyncio
from collections.abc import AsyncIterator, Callable, Coroutine
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any, TypeVar, cast

from empty_database import copy_empty
from stepped_loop import SteppedLoop, SteppedPort
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.plan import DosePlan, PourPlan
from tarewell.dosing.states import FEEDING, PourState
from tarewell.machine.link_status import LinkState
from tarewell.machine.pour_record import PourRecord
from tarewell.machine.requests import MachineRequest, MachineStatus, PourRequest
from tarewell.menu.values import Liquid
from tarewell.operation.interpreter import Interpreter
from tarewell.quantities.density import of_water
from tarewell.records.store import Store
from tarewell.records.values import StoredEvent
from tarewell.settings import Settings
from tarewell.settings_sources import load_settings
from tarewell.weighing.calibration import Calibration
from tarewell_sim.machine import SimulatedMachine
from tarewell_sim.scenario import load_scenario

A = TypeVar("A")

CALIBRATION = Calibration(-84_107.0, 2214.28)
"""The calibration by 500 g on the scenario's scale."""

TAUGHT = InFlight(lag_s=0.07, spread_s=0.05, flow_g_per_s=8.2, count=3)
"""About what three doses of 60 g teach of channel 1, by which a bar can begin."""


def theatre_bar(seed: int) -> SimulatedMachine:
    """The machine of a bar, unless another is asked for."""
    return SimulatedMachine(load_scenario("theatre_bar"), seed)


def settings(path: Path, **options: Any) -> Settings:
    """Settings with the database at `path`."""
    return load_settings(None, {"device": "tcp://127.0.0.1:1", "database": path, **options})


class Tasks:
    """A double of a task group: an error in one of its tasks fails the test but does not cancel the
    others."""

    def __init__(self) -> None:
        self._tasks: list[asyncio.Task[Any]] = []

    def create_task(self, work: Coroutine[Any, Any, Any], *, name: str) -> "asyncio.Task[Any]":
        self._tasks.append(asyncio.create_task(work, name=name))
        return self._tasks[-1]

    def check(self) -> None:
        """Raise the error of a failed task."""
        for task in self._tasks:
            if task.done() and not task.cancelled() and (error := task.exception()) is not None:
                raise error


@dataclass
class Bar:
    """One machine. `ports` has every port that the program has opened; `plugged` allows it to open one."""

    path: Path
    machine: SimulatedMachine
    store: Store
    chop: int | None = None
    plugged: bool = True
    ports: list[SteppedPort] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.tasks = Tasks()
        self.use()

    def writes(self) -> bool:
        """Whether records are being written."""
        return _writes(self.store)

    def use(self, **options: Any) -> None:
        """Make the machine anew, with these settings."""
        if self.store.writer is None:
            raise TypeError("a bar writes its records")
        config = settings(self.path, **options).machine
        self.interpreter = Interpreter(config, self.store, self.store.writer, self._port)

    def _port(self) -> SteppedPort:
        self.ports.append(SteppedPort(self.machine, self.chop, present=lambda: self.plugged))
        return self.ports[-1]

    async def start(self) -> None:
        """Start the machine."""
        await self.interpreter.start(cast(Any, self.tasks))

    @property
    def status(self) -> MachineStatus:
        """The machine at a glance."""
        return self.interpreter.state.status

    async def ask(self, request: MachineRequest[A]) -> A:
        """Carry out a request."""
        return await self.interpreter.ask(request)

    def block(self, seconds: float) -> None:
        """Keep the program from running for a while, as other programs do on a busy computer."""
        loop = asyncio.get_running_loop()
        if not isinstance(loop, SteppedLoop):
            raise TypeError("only a stepped loop can be blocked")
        loop.skip(seconds)

    def unplug(self) -> None:
        """Unplug the cable, as the host sees it."""
        self.plugged = False
        self.ports[-1].hang_up(OSError("the device is gone"))

    async def kill(self) -> None:
        """End the program at once: it hears, sends and decides nothing more, and its outcomes stay open."""
        self.ports[-1].cut()
        dead: Any = self.interpreter
        dead._take = lambda *_: None
        dead._disarm()
        dead._fault.cancel()
        dead._board_task.cancel()
        await asyncio.wait({dead._board_task})
        await self.store.close()

    async def restart(self) -> None:
        """Start the program again over the same database."""
        self.store = await Store.open(self.path, "interval-bar", "0.1.0", retry_s=0.01)
        self.use()
        await self.start()

    async def until(self, condition: Callable[[], Any], limit_s: float = 30.0) -> None:
        """Let simulated time pass until the condition holds."""
        async with asyncio.timeout(limit_s):
            while not condition():
                await asyncio.sleep(0.02)

    async def ready(self) -> None:
        """Wait until nothing blocks a pour."""
        await self.until(lambda: not self.status.blockers)

    async def linked(self) -> None:
        """Wait for the link."""
        await self.until(lambda: self.status.link.state is LinkState.OPEN)

    async def pour(self, target_g: float = 30.0, **request: Any) -> PourRecord:
        """Begin a pour of water."""
        plan = PourPlan((DosePlan(1, "house-water", target_g),))
        return await self.ask(PourRequest(plan, "test", **request))

    async def feeding(self, target_g: float = 30.0) -> PourRecord:
        """Begin a pour and wait until a pump turns."""
        record = await self.pour(target_g)
        self.machine.bench.place_glass(mass_g=250.0)
        await self.until(lambda: self.state(record) in FEEDING and self.running)
        return record

    def state(self, record: PourRecord) -> PourState | None:
        """The state of the pour."""
        progress = self.interpreter.state.pour_progress(record.id)
        return None if progress is None else progress.state

    async def in_mid_dose(self, target_g: float = 60.0) -> PourRecord:
        """Begin a pour from a taught channel and wait until it has run for a while."""
        record = await self.pour(target_g)
        self.machine.bench.place_glass(mass_g=250.0)
        await self.until(lambda: self.state(record) is PourState.COARSE_FEED)
        await asyncio.sleep(2.5)
        return record

    async def lift(self) -> None:
        """Take the glass away, and leave the platform empty until the scale rests."""
        self.machine.bench.lift_glass()
        await asyncio.sleep(1.5)

    @property
    def running(self) -> bool:
        """Whether the board drives a pump."""
        return bool(self.machine.truth.pump_on)

    async def over(self, record: PourRecord) -> PourRecord:
        """Wait until the pour's outcome is in the records."""
        await self.until(lambda: self.interpreter.state.pour_progress(record.id) is None, 60)
        return await self.store.pours.get(record.id)

    async def events(self, kind: str) -> list[StoredEvent]:
        """The journal's events of a kind, once the writer's queue is empty."""
        await asyncio.sleep(0.1)
        return [event for event in await self.store.journal.since(0, 1000) if event.kind == kind]


def _writes(store: Store) -> bool:
    return store.writer is not None and store.writer.busy


@asynccontextmanager
async def bar(
    folder: Path,
    calibrated: bool = True,
    chop: int | None = None,
    seed: int = 1,
    started: bool = True,
    make: Callable[[int], SimulatedMachine] = theatre_bar,
    calibration: Calibration = CALIBRATION,
    taught: InFlight | None = None,
) -> AsyncIterator[Bar]:
    """A running bar, closed at the end. `taught` is what it knows of channel 1."""
    loop = asyncio.get_running_loop()
    if not isinstance(loop, SteppedLoop):
        raise TypeError("a bar needs `run_stepped`")
    machine = make(seed)
    if machine.truth.glass_present:
        machine.bench.lift_glass()
    path = copy_empty(folder / "bar.db")
    store = await Store.open(path, "interval-bar", "0.1.0", retry_s=0.01)
    loop.at_work.append(partial(_writes, store))
    try:
        await store.liquids.put(Liquid("house-water", "House Water", of_water()))
        await store.channels.assign(1, "house-water", "left")
        if calibrated:
            await store.calibrations.add(calibration, "two_point")
        if taught is not None:
            await store.inflight.add(1, "house-water", taught, None)
        place = Bar(path, machine, store, chop)
        loop.passing.append(machine.advance)
        loop.at_work.append(place.writes)
        if started:
            await place.start()
        try:
            yield place
        finally:
            await place.interpreter.close()
        place.tasks.check()
    finally:
        await place.store.close()
