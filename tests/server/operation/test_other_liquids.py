"""A channel that is swapped to another liquid, on a simulated machine with the theatre's interval bar."""

from pathlib import Path
from typing import Any

import pytest

from api_app import planning_with
from stepped_bar import Bar, bar
from stepped_loop import run_stepped
from tarewell.dosing.maintenance import ChannelNeed, Remains, TubeState
from tarewell.dosing.plan import Agent, DosePlan, PlanError, PourPlan, Purpose
from tarewell.exchange.round_planning import RoundPlanner
from tarewell.machine.pour_record import PourRecord
from tarewell.machine.requests import PourRequest
from tarewell.menu.compiling import compile_recipe
from tarewell.menu.drink import Drink
from tarewell.menu.values import Bottle
from tarewell.quantities.units import SmallMeasures
from tarewell.settings import GuestSettings
from tarewell.setup_file.example import INTERVAL_BAR
from tarewell.setup_file.exchange import apply_import, plan_import

SYRUP, WATER = "dress-circle-syrup", "house-water"
HOLDS = r"channel 3 still holds Dress Circle Syrup \(nuts\): flush it with a cleaner"


async def open_the_bar(place: Bar) -> None:
    """The interval bar, with a second bottle of water on the shelf."""
    text = INTERVAL_BAR.read_text("utf-8")
    await apply_import(place.store, await plan_import(place.store, text, SmallMeasures()))
    await place.store.bottles.put(Bottle("water-2", WATER, 900.0, 1000.0, 100.0, opened_at="2031-03-14T18Z"))
    await place.ready()


async def begin(
    place: Bar, liquid_id: str, purpose: Purpose, target_g: float, agent: Agent | None = None
) -> PourRecord:
    plan = PourPlan((DosePlan(3, liquid_id, target_g),), purpose=purpose, agent=agent)
    return await place.ask(PourRequest(plan, "test"))


async def do(place: Bar, *what: Any) -> PourRecord:
    record = await begin(place, *what)
    place.machine.bench.place_glass(mass_g=250.0)
    done = await place.over(record)
    await place.lift()
    return done


async def drink(place: Bar, recipe_id: str) -> Drink:
    planner = RoundPlanner(place.store, place.interpreter, planning_with(GuestSettings()))
    return compile_recipe(await planner.menu(), recipe_id)


def test_from_nut_syrup_to_water(tmp_path: Path) -> None:
    """Refused, flushed with a cleaner, flushed with water, purged, primed, poured."""

    async def main() -> None:
        async with bar(tmp_path) as place:
            await open_the_bar(place)
            await place.store.bottles.swap(3, "water-2")
            assert place.interpreter.state.tubes[3] == TubeState().filled(SYRUP)
            for purpose in (Purpose.DRINK, Purpose.PRIME):
                with pytest.raises(PlanError, match=HOLDS):
                    await begin(place, WATER, purpose, 30.0)
            await do(place, WATER, Purpose.FLUSH, 120.0, Agent.WATER)
            with pytest.raises(PlanError, match=HOLDS):  # water is not enough for nuts
                await begin(place, WATER, Purpose.DRINK, 30.0)
            await do(place, WATER, Purpose.FLUSH, 120.0, Agent.CLEANER)
            assert place.interpreter.state.tubes[3] == TubeState(ChannelNeed.RINSE, {SYRUP: Remains.CLEANED})
            with pytest.raises(PlanError, match="unfit for drinks"):
                await begin(place, WATER, Purpose.DRINK, 30.0)
            await do(place, WATER, Purpose.FLUSH, 120.0, Agent.WATER)
            place.machine.bench.swap_bottle(3, mass_g=0.0)
            await do(place, WATER, Purpose.PURGE, 100.0)
            with pytest.raises(PlanError, match="prime it"):
                await begin(place, WATER, Purpose.DRINK, 30.0)
            place.machine.bench.swap_bottle(3, mass_g=900.0)
            await do(place, WATER, Purpose.PRIME, 10.0)
            assert place.interpreter.state.tubes[3] == TubeState(
                holds={SYRUP: Remains.CLEANED, WATER: Remains.FILLED}
            )
            poured = await do(place, WATER, Purpose.DRINK, 30.0)
            assert poured.state == "complete"
            assert await place.store.pours.tubes() == place.interpreter.state.tubes
            cooler = await drink(place, "green-room-cooler")  # channel 3 has less in its bottle
            assert ([dose.channel for dose in cooler.doses], cooler.blockers) == ([4, 1], ())

    run_stepped(main)


def test_the_plan_takes_the_clean_channel_and_blocks_without_one(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await open_the_bar(place)
            before = await drink(place, "green-room-cooler")
            assert [dose.channel for dose in before.doses] == [4, 1]
            await place.store.bottles.swap(3, "water-2")
            after = await drink(place, "green-room-cooler")
            assert ([dose.channel for dose in after.doses], after.blockers) == ([4, 1], ())
            await place.store.bottles.unmount("water-1")
            await place.store.channels.assign(1, None, "far left")
            (blocker,) = (await drink(place, "green-room-cooler")).blockers
            assert blocker.code == "tube_holds_another"
            with pytest.raises(PlanError) as refused:
                await begin(place, WATER, Purpose.DRINK, 30.0)
            assert blocker.message == f"{refused.value}; drinks with House Water wait until then"

    run_stepped(main)


def test_a_swap_back_without_a_pour_changes_nothing(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await open_the_bar(place)
            await place.store.bottles.swap(3, "water-2")
            await place.store.bottles.swap(3, "circle-1")
            poured = await do(place, SYRUP, Purpose.DRINK, 30.0)
            assert poured.state == "complete"

    run_stepped(main)


def test_an_import_and_an_assignment_count_like_a_swap(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await open_the_bar(place)
            swapped = (
                INTERVAL_BAR.read_text("utf-8")
                .replace('name = "third from left"\nliquid_id = "dress-circle-syrup"',
                         'name = "third from left"\nliquid_id = "house-water"')
                .replace("tare_g = 455\nchannel = 3", "tare_g = 455")
            )  # fmt: skip
            plan = await plan_import(place.store, swapped, SmallMeasures())
            assert [note for note in plan.notes if "channel 3 changes" in note]
            await place.store.bottles.unmount("circle-1")
            await apply_import(place.store, await plan_import(place.store, swapped, SmallMeasures()))
            with pytest.raises(PlanError, match=HOLDS):
                await begin(place, WATER, Purpose.DRINK, 30.0)
            await place.store.channels.assign(3, None, "spare")
            await place.store.channels.assign(3, "prompters-cordial", "spare")
            with pytest.raises(PlanError, match=HOLDS):
                await begin(place, "prompters-cordial", Purpose.DRINK, 30.0)

    run_stepped(main)


def test_a_restart_in_the_middle_of_a_swap_forgets_nothing(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await open_the_bar(place)
            await place.store.bottles.swap(3, "water-2")
            await place.interpreter.close()
            place.use()
            await place.start()
            await place.ready()
            with pytest.raises(PlanError, match=HOLDS):
                await begin(place, WATER, Purpose.DRINK, 30.0)

    run_stepped(main)


def test_what_is_assigned_while_the_machine_runs_is_known_as_after_a_restart(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await open_the_bar(place)
            known = await place.store.pours.tubes()
            assert known[3] == TubeState().filled(SYRUP)
            assert sorted(known) == list(range(1, 9))
            assert place.interpreter.state.tubes == known

    run_stepped(main)
