"""What tubes hold, read from the records of the past, in the order in which it happened."""

from dataclasses import replace
from pathlib import Path

import pytest

from records_samples import BOTTLE, CALIBRATION, LIQUIDS, MACHINE, VERSION, Clock
from sample_databases import restore, revisions
from tarewell.dosing.drips import Dripped
from tarewell.dosing.events import PourEnded
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.maintenance import NEW_TUBE, ChannelNeed, Remains, TubeState
from tarewell.dosing.plan import Agent, DosePlan, PourPlan, Purpose
from tarewell.dosing.setup import PourSetup
from tarewell.machine.needs import TUBE_CHANGED
from tarewell.machine.pour_record import NewPour
from tarewell.records.error_history import ChangeKind
from tarewell.records.migrate import upgrade
from tarewell.records.statistics import Period
from tarewell.records.store import Store
from tarewell.records.values import Change, Channel

ELDER, BITTER = (liquid.id for liquid in LIQUIDS)
FILLED, TRACES = Remains.FILLED, Remains.TRACES
NONE, PURGE = ChannelNeed.NONE, ChannelNeed.PURGE


async def begun(store: Store, liquid_id: str, purpose: Purpose, agent: Agent | None = None) -> str:
    plan = PourPlan((DosePlan(1, liquid_id, 150.0),), purpose=purpose, agent=agent)
    return (await store.pours.begin(NewPour(PourSetup(plan, CALIBRATION), "test"))).id


async def ran(store: Store, liquid_id: str, purpose: Purpose, agent: Agent | None = None) -> None:
    pour_id = await begun(store, liquid_id, purpose, agent)
    await store.pours.finish(pour_id, PourEnded("complete", "target", 150.0), [], 250.0)


async def test_the_first_liquid_is_in_the_tube_and_a_later_one_once_it_ran(bare: Store) -> None:
    assert await bare.pours.tubes() == {}
    await bare.channels.assign(1, None, "left")
    assert await bare.pours.tubes() == {}
    await bare.channels.assign(1, ELDER, "left")
    await bare.channels.assign(2, BITTER, "right")
    assert await bare.pours.tubes() == {1: TubeState().filled(ELDER), 2: TubeState().filled(BITTER)}
    await bare.channels.assign(1, BITTER, "left")
    assert (await bare.pours.tubes())[1].holds == {ELDER: FILLED}
    await ran(bare, BITTER, Purpose.PRIME)
    assert (await bare.pours.tubes())[1].holds == {ELDER: FILLED, BITTER: FILLED}


async def test_flushes_count_in_their_order(bare: Store) -> None:
    await bare.channels.assign(1, ELDER, "left")
    await ran(bare, ELDER, Purpose.DRINK)
    await ran(bare, ELDER, Purpose.FLUSH, Agent.WATER)
    await bare.channels.assign(1, BITTER, "left")
    assert (await bare.pours.tubes())[1] == TubeState(PURGE, {ELDER: TRACES})
    await ran(bare, BITTER, Purpose.PURGE)
    await ran(bare, BITTER, Purpose.PRIME)
    await ran(bare, BITTER, Purpose.DRINK)
    assert (await bare.pours.tubes())[1] == TubeState(NONE, {ELDER: TRACES, BITTER: FILLED})
    await ran(bare, BITTER, Purpose.FLUSH, Agent.CLEANER)
    assert (await bare.pours.tubes())[1] == TubeState(
        ChannelNeed.RINSE, {ELDER: Remains.CLEANED, BITTER: Remains.CLEANED}
    )


async def test_drinks_of_a_liquid_that_was_never_flushed_out_are_not_forgotten(bare: Store) -> None:
    """Earlier programs poured after a swap without a flush."""
    await bare.channels.assign(1, ELDER, "left")
    await bare.channels.assign(1, BITTER, "left")
    await ran(bare, BITTER, Purpose.DRINK)
    await bare.channels.assign(1, ELDER, "left")
    assert (await bare.pours.tubes())[1].holds == {ELDER: FILLED, BITTER: FILLED}


async def test_a_flush_that_the_program_did_not_survive_is_broken_off(bare: Store) -> None:
    await bare.channels.assign(1, ELDER, "left")
    await begun(bare, ELDER, Purpose.FLUSH, Agent.CLEANER)
    await bare.pours.close_interrupted()
    assert (await bare.pours.tubes())[1] == TubeState(ChannelNeed.RINSE, {ELDER: FILLED})


async def test_an_import_counts_like_an_assignment(bare: Store) -> None:
    left = Channel(1, ELDER, "left")
    await bare.apply([Change(None, left), Change(None, replace(BOTTLE, channel=1))])
    mounted = (await bare.bottles.all())[0]
    await bare.apply(
        [Change(left, replace(left, liquid_id=BITTER)), Change(mounted, replace(mounted, channel=None))]
    )
    assert [channel.liquid_id for channel in await bare.channels.all()] == [BITTER]
    assert (await bare.pours.tubes())[1].holds == {ELDER: FILLED}


async def test_what_came_before_a_new_tube_is_forgotten_whatever_the_clock_did(
    bare: Store, clock: Clock
) -> None:
    await bare.channels.assign(1, ELDER, "left")
    pour_id = await begun(bare, ELDER, Purpose.DRINK)
    await bare.pours.finish(pour_id, PourEnded("complete", "target", 150.0), [], 250.0)
    await bare.inflight.add(1, ELDER, InFlight(0.3, 0.02, 8.0, 9), pour_id)
    clock.advance(-3600)
    await bare.journal.append(TUBE_CHANGED, {"channel": 1})
    await bare.pours.add_late_drips(pour_id, Dripped(0, 2.0, 0.2, 0.2))
    assert await bare.pours.tubes() == {1: NEW_TUBE}
    assert not await bare.inflight.current()
    assert not await bare.pours.seen_drips()
    for purpose, agent in ((Purpose.FLUSH, Agent.WATER), (Purpose.PURGE, None), (Purpose.PRIME, None)):
        await ran(bare, ELDER, purpose, agent)
    assert await bare.pours.tubes() == {1: TubeState().filled(ELDER)}
    changes = (await bare.errors.of(1, ELDER, Period(), 10)).changes
    assert (ChangeKind.TUBE, None) in [(change.kind, change.what) for change in changes]


@pytest.mark.parametrize("revision", revisions())
async def test_databases_of_earlier_programs_are_read(tmp_path: Path, revision: str) -> None:
    path = restore(revision, tmp_path / "bar.sqlite")
    upgrade(path)
    store = await Store.open(path, MACHINE, VERSION, Clock())
    await store.pours.close_interrupted()
    assigned = {channel.number: channel.liquid_id for channel in await store.channels.all()}
    tubes = await store.pours.tubes()
    assert {number: list(tube.holds) for number, tube in tubes.items()} == {
        number: [liquid_id] for number, liquid_id in assigned.items() if liquid_id is not None
    }
    await store.close()
