"""Liquid that nobody commanded, begun in every state of machine, pour and round of a whole bar.

Either the board reports a pump that somebody else commanded, or a driver sticks or a bottle siphons behind
the board's back. What lands without a glass runs off the platform and is not weighed, so where none stands
there the pump is a reported one; and while somebody works on the glass by hand, rising mass is theirs.
"""

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable, Sequence
from contextlib import asynccontextmanager
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from random import Random

from stepped_bar import TAUGHT, Bar, bar, settings
from tarewell.dosing.events import PourCommand
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.plan import DosePlan, PourPlan
from tarewell.dosing.states import PourState
from tarewell.exchange.round_planning import RoundPlanner, RoundRequest
from tarewell.machine.pour_record import PourRecord
from tarewell.machine.requests import CommandPour, CommandRound, NotReadyError, PourRequest
from tarewell.machine.round_record import RoundRecord
from tarewell.menu.hands import Hand, HandStep
from tarewell.menu.values import Bottle, Glass, Liquid, Recipe, RecipeDose
from tarewell.quantities.density import from_strength, of_water
from tarewell.quantities.units import parse_amount
from tarewell.rounds.events import RoundCommand
from tarewell.rounds.feasible import Wanted
from tarewell.rounds.states import RoundState
from tarewell_protocol.codec import encode_request
from tarewell_protocol.messages import Direction, Request, Run

STUCK = 5
FULL_G_PER_S = 22.0
"""What a stuck driver makes of that channel's pump, about; a kink makes less of it."""

FOREIGN = encode_request(Request(250, Run(3, Direction.FORWARD, 255, 400, 1_500_000, 5000)))
NAMES = {"uncommanded_pump", "unexpected_mass", "excess_flow", "pump_stuck"}
LANDED_S = 1.0
AFTER_HAND_S = 3.0
"""After a hand put the glass on, the watch wants to see the platform calm down."""

PATIENCE_S = 40.0
TARGET_G = 45.0


@dataclass
class StockedBar:
    """A bar with a menu."""

    place: Bar
    random: Random
    planner: RoundPlanner

    def put(self, mass_g: float = 250.0) -> None:
        self.place.machine.bench.place_glass(mass_g=mass_g)

    async def pour(self, *targets_g: float) -> PourRecord:
        doses = (DosePlan(*dose, target_g) for dose, target_g in zip(DOSES, targets_g, strict=False))
        plan = PourPlan(tuple(doses))
        return await self.place.ask(PourRequest(plan, "test"))

    async def reach(self, record: PourRecord, state: PourState, dose: int = 0) -> None:
        def there() -> bool:
            progress = self.place.interpreter.state.pour_progress(record.id)
            return progress is not None and (progress.state, progress.dose or 0) == (state, dose)

        await self.place.until(there, 60)

    async def round(self, recipe: str, glasses: int = 1, auto_start: bool = True) -> RoundRecord:
        wanted = [Wanted(recipe, guest="seat 14") for _ in range(glasses)]
        return await self.planner.begin(RoundRequest(wanted, "test", auto_start))

    async def comes_to(self, record: RoundRecord, state: RoundState) -> None:
        def there() -> bool:
            progress = self.place.interpreter.state.round_progress(record.id)
            return progress is not None and progress.state is state

        await self.place.until(there, 60)

    async def waits(self, most_s: float) -> None:
        await asyncio.sleep(self.random.uniform(0.0, most_s))


DOSES = ((1, "house-water"), (2, "footlight-spirit"))
Way = Callable[[StockedBar], Awaitable[object]]


# Ways to each state


async def _idle(at: StockedBar, glass: bool) -> None:
    if glass:
        at.put()
        await asyncio.sleep(AFTER_HAND_S)
    await at.waits(2.0)


async def _pour_state(
    at: StockedBar, state: PourState, most_s: float = 0.3, target_g: float = TARGET_G
) -> PourRecord:
    record = await at.pour(target_g)
    at.put()
    await at.reach(record, state)
    await at.waits(most_s)
    return record


async def _between_doses(at: StockedBar) -> None:
    record = await at.pour(20.0, 20.0)
    at.put()
    await at.reach(record, PourState.SETTLING, dose=0)
    await at.waits(0.3)


async def _second_dose(at: StockedBar) -> None:
    record = await at.pour(20.0, 20.0)
    at.put()
    await at.reach(record, PourState.SETTLING, dose=1)


async def _commanded(
    at: StockedBar, commands: Sequence[PourCommand], reached: PourState | None = None
) -> None:
    record = await _pour_state(at, PourState.COARSE_FEED, 1.5)
    for command in commands:
        if command is PourCommand.RESTART:
            await at.reach(record, PourState.HELD)
            await at.waits(1.0)
        await at.place.ask(CommandPour(record.id, command))
    if reached is not None:
        await at.reach(record, reached)
        await at.waits(2.0)


async def _over(at: StockedBar) -> None:
    await at.place.over(await _pour_state(at, PourState.SETTLING))
    await at.waits(2.0)


async def _awaiting(at: StockedBar) -> None:
    await at.pour(TARGET_G)
    await at.waits(2.0)


async def _round_at(
    at: StockedBar, state: RoundState, recipe: str = "still", glass: bool = True, **more: object
) -> None:
    record = await at.round(recipe, glasses=2, auto_start=not more)
    if glass:
        at.put()
    await at.comes_to(record, state)
    waits_for_person = state in (RoundState.GLASS_READY, RoundState.AWAITING_RELEASE)
    await asyncio.sleep(AFTER_HAND_S if waits_for_person and glass else 0.0)
    await at.waits(1.0)


async def _round_commanded(
    at: StockedBar, commands: Sequence[RoundCommand] = (), reached: RoundState | None = None
) -> None:
    record = await at.round("still", glasses=2)
    at.put()
    await at.comes_to(record, RoundState.POURING)
    await at.place.until(lambda: at.place.running)
    await at.waits(1.0)
    for command in commands:
        await at.place.ask(CommandRound(record.id, command))
    if reached is not None:
        await at.comes_to(record, reached)
        await at.waits(2.0)


HOLD, RESTART, STOP, ABORT = PourCommand.HOLD, PourCommand.RESTART, PourCommand.STOP, PourCommand.ABORT

REPORTED: dict[str, Way] = {
    "idle, no glass": partial(_idle, glass=False),
    "idle, glass": partial(_idle, glass=True),
    "pour awaiting glass": _awaiting,
    "pour held": partial(_commanded, commands=(HOLD,), reached=PourState.HELD),
    "pour taring": partial(_pour_state, state=PourState.TARING),
    "pour settling": partial(_pour_state, state=PourState.SETTLING, most_s=0.0),
    "pour over": _over,
    "round awaiting glass": partial(_round_at, state=RoundState.AWAITING_GLASS, glass=False),
    "round awaiting release": partial(
        _round_at, state=RoundState.AWAITING_RELEASE, recipe="strong", glass=False
    ),
    "round by hand": partial(_round_at, state=RoundState.BY_HAND, recipe="garnished"),
    "round awaiting removal": partial(_round_at, state=RoundState.AWAITING_REMOVAL),
    "round glass ready": partial(_round_at, state=RoundState.GLASS_READY, auto_start=False),
    "round held": partial(_round_commanded, commands=(RoundCommand.HOLD,), reached=RoundState.HELD),
}

STUCK_ON: dict[str, Way] = {
    "idle, glass": partial(_idle, glass=True),
    "pour taring": partial(_pour_state, state=PourState.TARING),
    "pour in jog feed": partial(_pour_state, state=PourState.JOG_FEED, target_g=20.0),
    "pour in coarse feed": partial(_pour_state, state=PourState.COARSE_FEED, most_s=2.0),
    "pour in fine feed": partial(_pour_state, state=PourState.FINE_FEED),
    "pour settling": partial(_pour_state, state=PourState.SETTLING),
    "pour between doses": _between_doses,
    "pour settling after its last dose": _second_dose,
    "pour holding": partial(_commanded, commands=(HOLD,)),
    "pour held": partial(_commanded, commands=(HOLD,), reached=PourState.HELD),
    "pour restarting": partial(
        _commanded,
        commands=(
            HOLD,
            RESTART,
        ),
    ),
    "pour stopping": partial(_commanded, commands=(STOP,)),
    "pour aborting": partial(_commanded, commands=(ABORT,)),
    "pour over": _over,
    "round awaiting removal": partial(_round_at, state=RoundState.AWAITING_REMOVAL),
    "round awaiting release": partial(_round_at, state=RoundState.AWAITING_RELEASE, recipe="strong"),
    "round glass ready": partial(_round_at, state=RoundState.GLASS_READY, auto_start=False),
    "round pouring": _round_commanded,
    "round holding": partial(_round_commanded, commands=(RoundCommand.HOLD,)),
    "round skipping": partial(_round_commanded, commands=(RoundCommand.SKIP,)),
    "round stopping": partial(_round_commanded, commands=(RoundCommand.STOP,)),
    "pour in suck back": partial(_pour_state, state=PourState.SUCK_BACK, most_s=0.1),
}
"""Where mass can show it."""

SCATTERING = replace(TAUGHT, spread_s=0.15).with_share(100, 0.3)
"""Its stops scatter so much that a fine feed pays."""

KNOWN = {"pour in jog feed": None, "pour in fine feed": SCATTERING}
"""What is known of the channel, where it is not `TAUGHT`."""

DOSING: dict[str, dict[str, float]] = {"pour in suck back": {"suck_back_g": 2.0}}
"""Settings, where they are not the usual ones."""


@dataclass(frozen=True)
class Found:
    """What became of one flow; times in s since it began. `pump_off_s` is when liquid of a commanded pump had
    landed last: before, a flow beside it can't be told from its own."""

    flow_g_per_s: float
    told_s: float | None
    latched_s: float | None
    pump_off_s: float
    names: tuple[str, ...]
    was_refused: bool

    @property
    def allowed_s(self) -> float:
        """3 s, or the time of 3 g."""
        return max(3.0, 3.0 / self.flow_g_per_s)

    @property
    def in_time(self) -> bool:
        """Whether it was told in the time allowed."""
        return self.told_s is not None and self.told_s - self.pump_off_s <= self.allowed_s

    @property
    def is_safe(self) -> bool:
        """Whether it was told in time, latched, and kept the next pour away."""
        return self.in_time and self.latched_s is not None and self.was_refused


@asynccontextmanager
async def counter(
    folder: Path, seed: int, taught: InFlight | None, dosing: dict[str, float] | None
) -> AsyncIterator[StockedBar]:
    """A bar with a menu, ready, and with a limit that the strong drink exceeds."""
    async with bar(folder, seed=seed, taught=taught, started=dosing is None) as place:
        if dosing is not None:
            place.use(dosing=dosing)
            await place.start()
        store = place.store
        spirit = Liquid("footlight-spirit", "Footlight Spirit", from_strength(40), 40.0, 0.0, frozenset())
        for liquid in (spirit, Liquid("house-water", "House Water", of_water(), 0.0, 0.0, frozenset())):
            await store.liquids.put(liquid)
        await store.channels.assign(2, spirit.id, "right")
        await store.glasses.put(Glass("tumbler", "Tumbler", 250.0, 20.0, 230.0, 270.0))
        for channel, liquid_id in DOSES:
            await store.bottles.put(
                Bottle(f"bottle-{channel}", liquid_id, 600.0, 1000.0, 50.0, channel=channel)
            )
        water = RecipeDose("house-water", "40 ml", parse_amount("40 ml"))
        strong = RecipeDose(spirit.id, "60 ml", parse_amount("60 ml"))
        garnish = HandStep(Hand.GARNISH, "a slice of cucumber")
        for name, steps in (
            ("still", (water,)),
            ("garnished", (water, garnish)),
            ("strong", (strong, water)),
        ):
            await store.recipes.put(Recipe(name, name.title(), steps, "tumbler"))
        guests = {"limit_standard_drinks": 0.5, "window_h": 4.0}
        await place.ready()
        yield StockedBar(
            place,
            Random(seed),
            RoundPlanner(store, place.interpreter, settings(place.path, guests=guests).planning),
        )


async def begin(folder: Path, where: str, flow_g_per_s: float | None, seed: int) -> Found:
    """Bring a bar to a state, and begin a flow there, of about this size: behind the board's back, or, with
    None, of a pump that it reports."""
    async with counter(folder, seed, KNOWN.get(where, TAUGHT), DOSING.get(where)) as at:
        await (REPORTED if flow_g_per_s is None else STUCK_ON)[where](at)
        return await _follow(at, flow_g_per_s)


async def _follow(at: StockedBar, flow_g_per_s: float | None) -> Found:
    place, truth, loop = at.place, at.place.machine.truth, asyncio.get_running_loop()
    if place.status.alarms:
        raise RuntimeError(f"an alarm before the flow: {place.status.alarms}")
    began_s, before_g = loop.time(), truth.delivered_g[STUCK]
    if flow_g_per_s is None:
        place.machine.write(FOREIGN)
    else:
        place.machine.bench.kink(STUCK, flow_g_per_s / FULL_G_PER_S)
        place.machine.bench.stuck_relay(STUCK, True)
    told_s = latched_s = None
    pump_off_s, names = 0.0, set[str]()
    while latched_s is None and loop.time() < began_s + PATIENCE_S:
        await asyncio.sleep(0.05)
        now_s = loop.time() - began_s
        names |= {found.alarm.name for found in place.status.alarms}
        if told_s is None and names & NAMES:
            told_s = now_s
        if told_s is None and flow_g_per_s is not None and truth.pump_on - {STUCK}:
            pump_off_s = now_s + LANDED_S
        if place.status.latched:
            latched_s = now_s
    lasted_s = loop.time() - began_s
    measured_g_per_s = (truth.delivered_g[STUCK] - before_g) / lasted_s
    await asyncio.sleep(2.0)
    if place.status.round_id is not None:
        await place.ask(CommandRound(place.status.round_id, RoundCommand.STOP))
        await asyncio.sleep(0.5)
    try:
        await place.pour()
        refused = False
    except NotReadyError as error:
        refused = "latched" in str(error)
    flow = FULL_G_PER_S if flow_g_per_s is None else measured_g_per_s
    return Found(flow, told_s, latched_s, pump_off_s, tuple(sorted(names)), refused)
