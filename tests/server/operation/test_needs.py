"""A channel that was flushed gives no drink before it is rinsed, purged and primed, come what may."""

from pathlib import Path
from typing import Any

import pytest

from stepped_bar import Bar, bar
from stepped_loop import run_stepped
from tarewell.dosing.events import PourCommand
from tarewell.dosing.maintenance import ChannelNeed, Remains, TubeState
from tarewell.dosing.plan import Agent, DosePlan, PlanError, PourPlan, Purpose
from tarewell.dosing.states import PourState
from tarewell.machine.pour_record import PourRecord
from tarewell.machine.requests import CommandPour, NotReadyError, PourRequest
from tarewell.records.store import Store


async def _begin(place: Bar, purpose: Purpose, target_g: float, agent: Agent | None = None) -> PourRecord:
    plan = PourPlan((DosePlan(1, "house-water", target_g),), purpose=purpose, agent=agent)
    return await place.ask(PourRequest(plan, "test"))


async def _do(place: Bar, *what: Any) -> PourRecord:
    record = await _begin(place, *what)
    place.machine.bench.place_glass(mass_g=250.0)
    done = await place.over(record)
    await place.lift()
    return done


def test_the_way_from_a_cleaner_to_a_drink(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            flushed = await _do(place, Purpose.FLUSH, 50.0, Agent.CLEANER)
            assert (flushed.state, flushed.purpose) == ("complete", "flush")
            assert place.interpreter.state.tubes[1].need is ChannelNeed.RINSE
            with pytest.raises(PlanError, match="is unfit for drinks"):
                await place.pour()
            await _do(place, Purpose.FLUSH, 120.0, Agent.WATER)
            assert place.interpreter.state.tubes[1].need is ChannelNeed.PURGE
            place.machine.bench.swap_bottle(1, mass_g=0.0)
            purged = await _do(place, Purpose.PURGE, 100.0)
            assert purged.outcome is not None
            assert purged.outcome.cause == "dry"
            assert place.interpreter.state.tubes[1].need is ChannelNeed.PRIME
            with pytest.raises(PlanError, match="prime it"):
                await place.pour()
            place.machine.bench.swap_bottle(1, mass_g=500.0)
            await _do(place, Purpose.PRIME, 10.0)
            assert place.interpreter.state.tubes[1].need is ChannelNeed.NONE
            record = await place.pour(30.0)
            place.machine.bench.place_glass(mass_g=250.0)
            assert (await place.over(record)).state == "complete"

    run_stepped(main)


def test_a_flush_that_was_broken_off_counts_and_one_without_a_cup_does_not(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            waiting = await _begin(place, Purpose.FLUSH, 50.0, Agent.CLEANER)
            assert place.interpreter.state.tubes[1].need is ChannelNeed.RINSE
            await place.ask(CommandPour(waiting.id, PourCommand.STOP))
            await place.over(waiting)
            assert place.interpreter.state.tubes[1].need is ChannelNeed.NONE
            record = await _begin(place, Purpose.FLUSH, 50.0, Agent.CLEANER)
            place.machine.bench.place_glass(mass_g=250.0)
            await place.until(lambda: place.machine.truth.pump_on)
            await place.ask(CommandPour(record.id, PourCommand.ABORT))
            await place.over(record)
            assert place.interpreter.state.tubes[1].need is ChannelNeed.RINSE

    run_stepped(main)


def test_a_restart_of_the_daemon_forgets_nothing(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            await _do(place, Purpose.FLUSH, 50.0, Agent.CLEANER)
            await _do(place, Purpose.FLUSH, 120.0, Agent.WATER)
            known = dict(place.interpreter.state.tubes)
        store = await Store.open(tmp_path / "bar.db", "interval-bar", "0.1.0")
        assert await store.pours.tubes() == known
        assert known == {1: TubeState(ChannelNeed.PURGE, {"house-water": Remains.TRACES})}
        await store.close()

    run_stepped(main)


def test_a_rescaled_pour_is_told_in_the_journal(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            await _do(place, Purpose.PRIME, 10.0)
            doses = (DosePlan(1, "house-water", 20.0), DosePlan(1, "house-water", 30.0))
            plan = PourPlan(doses, keep_proportions=True)
            record = await place.ask(PourRequest(plan, "test"))
            place.machine.bench.place_glass(mass_g=250.0)
            before_g = place.machine.truth.delivered_g[1]
            await place.until(lambda: place.machine.truth.delivered_g[1] > before_g + 10.0)
            await place.until(lambda: not place.machine.truth.pump_on)
            place.machine.bench.stuck_relay(1, True)
            await place.until(lambda: place.machine.truth.delivered_g[1] > before_g + 21.5)
            place.machine.bench.stuck_relay(1, False)
            done = await place.over(record)
            (told,) = await place.events("pour_rescaled")
            assert told.pour_id == record.id
            assert told.body["from_dose"] == 1
            assert told.body["targets_g"] == [pytest.approx(done.doses[1].poured_to_g)]
            assert told.body["targets_g"][0] > 31.5

    run_stepped(main)


def test_a_drink_never_runs_into_what_was_poured_before_unless_somebody_says_so(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            place.machine.bench.place_glass(mass_g=250.0)
            await place.over(await place.pour(10.0))
            with pytest.raises(NotReadyError, match="take it off"):
                await place.pour(10.0)
            on_top = await place.pour(10.0, onto_contents=True)
            assert (await place.over(on_top)).state == "complete"
            await place.lift()
            plan = PourPlan((DosePlan(1, "house-water", 30.0),), purpose=Purpose.FLUSH, agent=Agent.WATER)
            flushed = await place.ask(PourRequest(plan, "test"))
            place.machine.bench.place_glass(mass_g=300.0)
            await place.over(flushed)
            again = await place.ask(PourRequest(plan, "test"))
            assert (await place.over(again)).state == "complete", "one cup takes a flush after the other"

    run_stepped(main)


def test_a_glass_that_was_put_down_before_the_request_is_taken(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            place.machine.bench.place_glass(mass_g=250.0)
            waiting = await place.pour(20.0)
            await place.until(lambda: place.state(waiting) is PourState.TARING)
            await place.ask(CommandPour(waiting.id, PourCommand.STOP))
            await place.over(waiting)
            assert (await place.over(await place.pour(10.0))).state == "complete"

    run_stepped(main)
