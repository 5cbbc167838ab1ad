"""A process that dies in the middle of a pour, and the next one that finds its records."""

import subprocess
import sys
from datetime import timedelta
from pathlib import Path

import pytest

from records_samples import COMPLETE, Clock, dose_ended, new_pour, open_store, trace
from tarewell.dosing.events import DoseEnded, Tared
from tarewell.dosing.traces import TraceEntry
from tarewell.records.errors import StoreInUseError
from tarewell.records.store import Store
from tarewell.records.values import INTERRUPTED

DYING = """
import asyncio, os, signal, sys
from pathlib import Path
from records_samples import new_pour, open_store, trace

async def main():
    store = await open_store(Path(sys.argv[1]))
    await store.pours.close_interrupted()
    pour = await store.pours.begin(new_pour("key-1", "print-1"))
    await store.pours.append_trace(pour.id, trace(start_s=100.0), 10.5)
    await store.pours.append_trace(pour.id, trace(start_s=101.0), 21.25)
    print(pour.id, flush=True)
    os.kill(os.getpid(), signal.SIGKILL)

asyncio.run(main())
"""


async def test_a_killed_process_leaves_a_pour_that_is_closed_with_the_last_mass(path: Path) -> None:
    support = str(Path(__file__).parents[2] / "support")
    died = subprocess.run(
        [sys.executable, "-c", f"import sys; sys.path.insert(0, {support!r})\n{DYING}", path],
        capture_output=True,
        text=True,
    )
    assert died.returncode == -9, died.stderr
    pour_id = died.stdout.strip()

    store = await open_store(path)
    (closed,) = await store.pours.close_interrupted()
    assert closed.id == pour_id
    assert closed.outcome is not None
    assert (closed.state, closed.outcome.delivered_g, closed.outcome.glass_g) == (INTERRUPTED, 21.25, 251.3)
    assert await store.pours.trace(pour_id) == trace(start_s=100.0) + trace(start_s=101.0)
    assert (await store.pours.begin(new_pour("key-1", "print-1"))).state == INTERRUPTED
    assert (await store.journal.of_pour(pour_id))[-1].kind == "pour_interrupted"
    assert (await store.journal.verify()).intact
    assert await store.pours.close_interrupted() == []
    await store.close()


async def test_only_open_pours_are_closed_oldest_first(store: Store) -> None:
    first = await store.pours.begin(new_pour())
    done = await store.pours.begin(new_pour())
    third = await store.pours.begin(new_pour())
    done = await store.pours.finish(done.id, COMPLETE, [], 251.3)
    assert [pour.id for pour in await store.pours.close_interrupted()] == [first.id, third.id]
    assert await store.pours.get(done.id) == done


async def test_with_no_trace_no_mass_is_known(store: Store, clock: Clock) -> None:
    pour = await store.pours.begin(new_pour())
    clock.advance(3600)
    (closed,) = await store.pours.close_interrupted()
    assert closed.outcome is not None
    assert (closed.outcome.delivered_g, closed.outcome.glass_g) == (None, None)
    assert closed.outcome.ended_at == pour.created_at


async def test_the_end_is_the_last_sign_of_life(store: Store, clock: Clock) -> None:
    pour = await store.pours.begin(new_pour())
    clock.advance(2)
    await store.pours.append_trace(pour.id, trace(), 10.5)
    clock.advance(1)
    await store.pours.append_trace(pour.id, [TraceEntry(103.0, Tared(251.0))], None)
    clock.advance(36000)
    (closed,) = await store.pours.close_interrupted()
    assert closed.outcome is not None
    assert closed.outcome.ended_at == pour.created_at + timedelta(seconds=3)
    assert (closed.outcome.delivered_g, closed.outcome.glass_g) == (10.5, 251.0)


async def test_doses_that_had_ended_keep_their_outcome(store: Store) -> None:
    pour = await store.pours.begin(new_pour())
    ended: DoseEnded = dose_ended(0)
    await store.pours.append_trace(pour.id, [*trace(), TraceEntry(107.25, ended)], 40.2)
    (closed,) = await store.pours.close_interrupted()
    assert [dose.outcome for dose in closed.doses] == [ended, None]


async def test_one_process_at_a_time_runs_the_machine(store: Store, path: Path) -> None:
    await store.pours.close_interrupted()
    pour = await store.pours.begin(new_pour())
    other = await open_store(path)
    with pytest.raises(StoreInUseError, match="end it first"):
        await other.pours.close_interrupted()
    assert (await other.pours.get(pour.id)).outcome is None
    await store.close()
    assert [closed.id for closed in await other.pours.close_interrupted()] == [pour.id]
    await other.close()
