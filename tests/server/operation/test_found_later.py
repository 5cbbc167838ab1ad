"""What lands after a pour was cut short, over the whole machine: the simulator knows what is in the glass."""

import asyncio
from collections.abc import Awaitable, Callable
from pathlib import Path
from random import Random

import pytest

from records_samples import dose_ended, new_pour, open_store, trace
from stepped_bar import Bar, bar
from stepped_loop import run_stepped
from tarewell.dosing.events import Balanced, DoseBegan, PourCommand, PourStateChanged, Tared
from tarewell.dosing.states import PourState
from tarewell.dosing.traces import TraceEntry
from tarewell.machine.found_later import unweighed
from tarewell.machine.pour_log import PourLog
from tarewell.machine.pour_record import Certainty, FoundLater, FoundRecord, PourRecord
from tarewell.machine.requests import CommandPour, ReleaseLatchedStop, TriggerEmergencyStop
from tarewell.menu.values import Bottle
from tarewell.operation.known import load

WEIGHED_S = 4.5
"""After the end the load comes to rest, and rests for 3 s."""


async def _weld(place: Bar, record: PourRecord, random: Random) -> None:
    """The driver sticks while its pump runs, until somebody pulls the plug."""
    place.machine.bench.stuck_relay(1, True)
    await place.over(record)
    await asyncio.sleep(random.uniform(0.0, 1.5))
    place.machine.bench.stuck_relay(1, False)


async def _cut_link(place: Bar, record: PourRecord, random: Random) -> None:
    place.unplug()
    await place.over(record)
    await asyncio.sleep(random.uniform(0.0, 1.5))
    place.plugged = True
    await place.linked()


async def _kill(place: Bar, record: PourRecord, random: Random) -> None:
    await place.kill()
    await asyncio.sleep(random.uniform(0.0, 1.5))
    await place.restart()
    await place.linked()


async def _close(place: Bar, record: PourRecord, random: Random) -> None:
    """The daemon is asked to end and aborts the pour, with no time to weigh it."""
    await place.interpreter.close()
    await place.store.close()
    await place.restart()
    await place.linked()


async def _press_emergency_stop(place: Bar, record: PourRecord, random: Random) -> None:
    await place.ask(TriggerEmergencyStop())
    await place.over(record)


async def _abort(place: Bar, record: PourRecord, random: Random) -> None:
    await place.ask(CommandPour(record.id, PourCommand.ABORT))
    await place.over(record)


async def _feeding(place: Bar, random: Random, target_g: float = 25.0) -> PourRecord:
    await place.ready()
    record = await place.feeding(target_g)
    await place.until(lambda: place.state(record) is PourState.COARSE_FEED)
    await asyncio.sleep(random.uniform(0.3, 1.6))
    return record


async def _found(place: Bar, record: PourRecord) -> FoundRecord | None:
    await place.events("found_later")
    return (await place.store.pours.get(record.id)).found_later


Way = Callable[[Bar, PourRecord, Random], Awaitable[None]]


@pytest.mark.parametrize(
    ("way", "seed"),
    [
        *[(way, seed) for way in (_weld, _cut_link, _kill) for seed in (11, 12, 13)],
        (_close, 11),
        (_press_emergency_stop, 12),
        (_abort, 13),
    ],
)
def test_recorded_and_found_are_what_is_in_the_glass(tmp_path: Path, way: Way, seed: int) -> None:
    async def main() -> None:
        async with bar(tmp_path, seed=seed) as place:
            await place.store.bottles.put(Bottle("jug", "house-water", 5000.0, 5000.0, 100.0, channel=1))
            random = Random(seed)
            record = await _feeding(place, random)
            await way(place, record, random)
            await asyncio.sleep(WEIGHED_S)
            found = await _found(place, record)
            assert found is not None
            assert (found.certainty, found.dose_index) == (Certainty.WEIGHED, 0)
            ended = (await place.store.pours.get(record.id)).outcome
            assert ended is not None
            assert ended.delivered_g is not None
            assert found.found_g is not None
            true_g = place.machine.truth.glass_contents_g
            assert ended.delivered_g + found.found_g == pytest.approx(true_g, abs=0.5)
            jug = await place.store.bottles.get("jug")
            assert 5000.0 - jug.content_g == pytest.approx(true_g, abs=0.5)

    run_stepped(main)


@pytest.mark.parametrize("seed", [11, 12])
def test_a_driver_that_sticks_before_the_tare(tmp_path: Path, seed: int) -> None:
    """The pour never had a glass, or tared it with what had come; what stood there is known."""

    async def main() -> None:
        async with bar(tmp_path, seed=seed) as place:
            await place.ready()
            place.machine.bench.place_glass(mass_g=250.0)
            await asyncio.sleep(3.0)
            record = await place.pour()
            await asyncio.sleep(0.1)
            await _weld(place, record, Random(seed))
            await asyncio.sleep(WEIGHED_S)
            found = await _found(place, record)
            ended = (await place.store.pours.get(record.id)).outcome
            assert found is not None
            assert found.found_g is not None
            assert ended is not None
            assert ended.glass_g is None
            assert (found.certainty, found.dose_index) == (Certainty.WEIGHED, None)
            true_g = place.machine.truth.glass_contents_g
            assert true_g > 5.0
            assert found.found_g == pytest.approx(true_g, abs=0.5)

    run_stepped(main)


def test_a_driver_that_sticks_after_the_pour(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            done = await place.over(await place.feeding(20.0))
            await asyncio.sleep(3.0)
            place.machine.bench.stuck_relay(2, True)
            await place.until(lambda: place.status.latched)
            place.machine.bench.stuck_relay(2, False)
            await asyncio.sleep(WEIGHED_S)
            found = await _found(place, done)
            assert done.outcome is not None
            assert done.outcome.delivered_g is not None
            assert found is not None
            assert found.found_g is not None
            assert (found.certainty, found.dose_index) == (Certainty.WEIGHED, None)
            true_g = place.machine.truth.glass_contents_g
            assert done.outcome.delivered_g + found.found_g == pytest.approx(true_g, abs=0.5)

    run_stepped(main)


def test_a_glass_that_is_taken_before_it_was_weighed_is_told(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            random = Random(14)
            record = await _feeding(place, random)
            await _abort(place, record, random)
            await asyncio.sleep(0.5)
            place.machine.bench.lift_glass()
            await asyncio.sleep(WEIGHED_S)
            found = await _found(place, record)
            assert found is not None
            assert (found.certainty, found.found_g, found.reason) == (Certainty.UNKNOWN, None, "lifted")

    run_stepped(main)


def test_fruit_that_falls_in_after_the_end_is_no_drink_for_certain(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            random = Random(15)
            record = await _feeding(place, random)
            await _abort(place, record, random)
            await asyncio.sleep(1.2)
            glass = place.machine.plant.glass
            assert glass is not None
            glass.contents_g += 5.0
            await asyncio.sleep(WEIGHED_S)
            found = await _found(place, record)
            assert found is not None
            assert (found.certainty, found.reason) == (Certainty.DOUBTFUL, "touched")

    run_stepped(main)


def test_what_somebody_added_to_a_held_pour_is_no_drink_for_certain(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            random = Random(16)
            record = await _feeding(place, random)
            await place.ask(CommandPour(record.id, PourCommand.HOLD))
            await place.until(lambda: place.state(record) is PourState.HELD)
            await asyncio.sleep(2.0)
            place.machine.bench.lift_glass()
            await asyncio.sleep(2.0)
            place.machine.bench.put_back()
            await asyncio.sleep(2.0)
            glass = place.machine.plant.glass
            assert glass is not None
            glass.contents_g += 20.0
            await _abort(place, record, random)
            await asyncio.sleep(WEIGHED_S)
            found = await _found(place, record)
            assert found is not None
            assert found.certainty is not Certainty.WEIGHED

    run_stepped(main)


def test_two_aborts_into_one_glass_count_every_gram_once(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            random = Random(17)
            first = await _feeding(place, random)
            await _press_emergency_stop(place, first, random)
            await place.ask(ReleaseLatchedStop())
            await place.ready()
            second = await place.pour(onto_contents=True)
            await place.until(lambda: place.running)
            await asyncio.sleep(1.0)
            await _abort(place, second, random)
            await asyncio.sleep(WEIGHED_S)
            recorded_g = 0.0
            for record in (first, second):
                done = await place.store.pours.get(record.id)
                assert done.outcome is not None
                assert done.found_later is not None
                assert done.found_later.certainty is Certainty.WEIGHED
                recorded_g += (done.outcome.delivered_g or 0.0) + (done.found_later.found_g or 0.0)
            assert recorded_g == pytest.approx(place.machine.truth.glass_contents_g, abs=0.5)

    run_stepped(main)


async def test_what_an_interrupted_pour_left_is_known_by_its_trace(tmp_path: Path) -> None:
    """8 g of fruit had fallen in, and the second dose was under way."""
    store = await open_store(tmp_path / "bar.db")
    pour = await store.pours.begin(new_pour())
    more = [Balanced(0, 8.0, 0.0, 0.5), dose_ended(0, 40.25), DoseBegan(1, 2.4)]
    entries = [*trace(0.1), *(TraceEntry(105.0, item) for item in more)]
    await store.pours.append_trace(pour.id, entries, 52.75)
    left = (await load(store)).unweighed
    assert left is not None
    assert (left.pour_id, left.glass_g, left.stands_g, left.dose_index) == (pour.id, 251.3, 312.05, 1)
    await store.pours.add_found_later(FoundLater(pour.id, Certainty.WEIGHED, 3.0, 1))
    assert (await load(store)).unweighed is None
    await store.close()


@pytest.mark.parametrize(
    ("state", "weighed", "cause", "flow_g_per_s"),
    [
        ("coarse_feed", False, "abort", 8.25),
        ("held", True, "abort", 0.0),
        ("held", False, "abort", 8.25),
        ("held", True, "unexpected_mass", 8.25),
    ],
)
def test_no_flow_goes_on_where_a_held_pour_was_weighed(
    state: str, weighed: bool, cause: str, flow_g_per_s: float
) -> None:
    log = PourLog()
    for item in (Tared(251.3), DoseBegan(0, 2.4), PourStateChanged(state), PourStateChanged("aborting")):
        log.note(item)
    left = unweighed("p", new_pour().setup, log, cause=cause, stands_g=260.0, held_weighed=weighed)
    assert left is not None
    assert left.flow_g_per_s == flow_g_per_s
