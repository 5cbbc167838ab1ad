import asyncio
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from records_samples import (
    COMPLETE,
    LIQUIDS,
    MACHINE,
    VERSION,
    Clock,
    dose_ended,
    new_pour,
    open_store,
    trace,
)
from tarewell.dosing.events import PourEnded
from tarewell.dosing.plan import PlanError
from tarewell.dosing.states import TABLE
from tarewell.machine.pour_record import OPEN
from tarewell.quantities.density import entered
from tarewell.records.errors import IdempotencyConflict, PourOverError, StoreError, UnknownRecordError
from tarewell.records.store import Store
from tarewell.records.values import PourQuery


async def test_an_intent_is_on_record_before_anything_else(store: Store, clock: Clock) -> None:
    pour = await store.pours.begin(new_pour())
    assert pour == await store.pours.get(pour.id)
    assert (pour.state, pour.outcome, pour.replayed) == (OPEN, None, False)
    assert (pour.machine_id, pour.program_version, pour.created_at) == (MACHINE, VERSION, clock.at)
    assert (pour.board_id, pour.board_firmware, pour.origin) == ("foyer-01", "0.1.0", "api")
    assert [(dose.index, dose.channel, dose.target_g, dose.abv_percent) for dose in pour.doses] == [
        (0, 1, 40.0, None),
        (1, 3, 41.0, 24.0),
    ]
    assert pour.target_g == 81.0


async def test_the_setup_comes_back_as_it_was_given(store: Store) -> None:
    new = new_pour()
    pour = await store.pours.begin(new)
    assert await store.pours.setup(pour.id) == new.setup


async def test_a_record_keeps_what_the_liquid_was_then(store: Store) -> None:
    pour = await store.pours.begin(new_pour())
    await store.pours.finish(pour.id, COMPLETE, [dose_ended(0)], 251.3)
    await store.liquids.put(replace(LIQUIDS[0], name="Elderflower, new bottling", density=entered(1.05)))
    (first, _) = (await store.pours.get(pour.id)).doses
    assert (first.liquid_name, first.density_g_per_ml) == ("Elderflower water", 1.02)


async def test_trace_and_outcome_follow(store: Store, clock: Clock) -> None:
    pour = await store.pours.begin(new_pour())
    first, second, last = trace(start_s=100.0), trace(start_s=101.0), trace(0.1, 102.0)
    await store.pours.append_trace(pour.id, first, 10.5)
    await store.pours.append_trace(pour.id, second, 21.25)
    clock.advance(31)
    doses = [dose_ended(0), replace(dose_ended(1), cut_off_s=None, verdict=None, cause="stop")]
    done = await store.pours.finish(pour.id, COMPLETE, doses, 251.3, last)
    assert done == await store.pours.get(pour.id)
    assert done.outcome is not None
    assert (done.state, done.outcome.cause, done.outcome.delivered_g) == ("complete", "target", 81.3)
    assert (done.outcome.glass_g, done.outcome.ended_at) == (251.3, pour.created_at + timedelta(seconds=31))
    assert [dose.outcome for dose in done.doses] == doses
    assert await store.pours.trace(pour.id) == first + second + last


@pytest.mark.parametrize("state", sorted(TABLE.terminal))
async def test_every_terminal_state_can_be_kept(store: Store, state: str) -> None:
    pour = await store.pours.begin(new_pour())
    assert (await store.pours.finish(pour.id, PourEnded(state, "stop", 3.0), [], None)).state == state


async def test_a_pour_without_a_trace_has_an_empty_one(store: Store) -> None:
    pour = await store.pours.begin(new_pour())
    await store.pours.finish(pour.id, PourEnded("stopped", "no_glass", 0.0), [], None)
    assert await store.pours.trace(pour.id) == []


async def test_what_ended_stays_as_it_is(store: Store) -> None:
    pour = await store.pours.begin(new_pour())
    done = await store.pours.finish(pour.id, COMPLETE, [dose_ended(0)], 251.3)
    with pytest.raises(PourOverError, match="complete"):
        await store.pours.finish(pour.id, PourEnded("aborted", "abort", 1.0), [], None)
    with pytest.raises(PourOverError):
        await store.pours.append_trace(pour.id, trace(), 1.0)
    assert await store.pours.get(pour.id) == done
    assert await store.pours.trace(pour.id) == []


async def test_unknown_pours_and_doses_are_refused(store: Store) -> None:
    pour = await store.pours.begin(new_pour())
    for attempt in (
        store.pours.get("none"),
        store.pours.setup("none"),
        store.pours.trace("none"),
        store.pours.append_trace("none", trace(), 1.0),
        store.pours.finish("none", COMPLETE, [], None),
        store.pours.finish(pour.id, COMPLETE, [dose_ended(2)], None),
    ):
        with pytest.raises(UnknownRecordError):
            await attempt
    assert (await store.pours.get(pour.id)).state == OPEN


async def test_an_outcome_that_cannot_be_kept_leaves_the_pour_open(store: Store) -> None:
    pour = await store.pours.begin(new_pour())
    before = await store.journal.last_seq()
    with pytest.raises(ValueError, match="JSON"):
        await store.pours.finish(pour.id, COMPLETE, [dose_ended(0, float("inf"))], 1.0, trace())
    with pytest.raises(StoreError):
        await store.pours.finish(pour.id, PourEnded("evaporated", "heat", 1.0), [dose_ended(0)], 1.0, trace())
    assert (await store.pours.get(pour.id)).state == OPEN
    assert await store.pours.trace(pour.id) == []
    assert await store.journal.last_seq() == before


async def test_a_dose_of_an_unknown_liquid_is_refused(store: Store) -> None:
    new = new_pour()
    plan = replace(new.setup.plan, doses=(replace(new.setup.plan.doses[0], liquid_id="greasepaint"),))
    with pytest.raises(PlanError, match="channel 1 holds elderflower, not greasepaint"):
        await store.pours.begin(replace(new, setup=replace(new.setup, plan=plan)))
    assert (await store.pours.list(PourQuery())).pours == ()


async def test_a_channel_that_the_board_does_not_have_is_refused(store: Store) -> None:
    with pytest.raises(PlanError, match="no channel 3"):
        await store.pours.begin(replace(new_pour(), board_channels=2))
    assert (await store.pours.begin(replace(new_pour(), board_channels=3))).state == OPEN


async def test_a_key_without_its_fingerprint_is_refused(store: Store) -> None:
    with pytest.raises(ValueError, match="fingerprint"):
        await store.pours.begin(replace(new_pour(), idempotency_key="k"))
    assert (await store.pours.list(PourQuery())).pours == ()


async def test_the_same_request_twice_is_one_pour(store: Store) -> None:
    first = await store.pours.begin(new_pour("key-1", "print-1"))
    again = await store.pours.begin(new_pour("key-1", "print-1"))
    assert again == replace(first, replayed=True)
    assert (await store.pours.list(PourQuery())).pours == (first,)


async def test_the_answer_to_a_repetition_tells_how_it_ended_and_survives_a_restart(path: Path) -> None:
    store = await open_store(path)
    first = await store.pours.begin(new_pour("key-1", "print-1"))
    await store.pours.finish(first.id, COMPLETE, [dose_ended(0), dose_ended(1)], 251.3)
    await store.close()
    store = await open_store(path)
    again = await store.pours.begin(new_pour("key-1", "print-1"))
    assert (again.id, again.state, again.replayed) == (first.id, "complete", True)
    with pytest.raises(IdempotencyConflict) as caught:
        await store.pours.begin(new_pour("key-1", "print-2"))
    assert caught.value.owner_id == first.id
    await store.close()


async def test_repetitions_at_the_same_moment_are_one_pour(store: Store) -> None:
    pours = await asyncio.gather(*(store.pours.begin(new_pour("key-1", "print-1")) for _ in range(8)))
    assert len({pour.id for pour in pours}) == 1
    assert sum(not pour.replayed for pour in pours) == 1


async def test_a_key_is_looked_up_without_beginning_anything(store: Store) -> None:
    assert await store.pours.find("key-1", "print-1") is None
    first = await store.pours.begin(new_pour("key-1", "print-1"))
    assert await store.pours.find("key-1", "print-1") == replace(first, replayed=True)
    with pytest.raises(IdempotencyConflict):
        await store.pours.find("key-1", "print-2")
    assert (await store.pours.list(PourQuery())).pours == (first,)


async def test_without_a_key_each_request_is_a_pour(store: Store) -> None:
    ids = [(await store.pours.begin(new_pour())).id for _ in range(3)]
    assert len(set(ids)) == 3
    assert ids == sorted(ids)


@pytest.mark.parametrize("turns", range(0, 60, 4))
async def test_a_cancelled_begin_is_whole_or_nothing(store: Store, turns: int) -> None:
    task = asyncio.create_task(store.pours.begin(new_pour()))
    for _ in range(turns):
        await asyncio.sleep(0)
    task.cancel()
    await asyncio.gather(task, return_exceptions=True)
    later = await store.pours.begin(new_pour())
    assert later in (await store.pours.list(PourQuery())).pours
    assert (await store.journal.verify()).intact
