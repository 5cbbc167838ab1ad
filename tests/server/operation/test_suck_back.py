"""Suck-back on the whole machine: its reverse runs are commanded ones, and what they leave is kept."""

import asyncio
from pathlib import Path

from stepped_bar import bar
from stepped_loop import run_stepped
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.runs import RunOffset

TAUGHT = InFlight(0.06, 0.02, 8.2, 9, runs=(RunOffset(255, 0.03, 0.01, 9),))


def test_it_raises_no_alarm_and_what_runs_from_a_gap_teach_is_stored(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path, started=False, taught=TAUGHT) as place:
            place.use(dosing={"suck_back_g": 0.6})
            await place.start()
            await place.ready()
            for target_g in (30.0, 5.0):
                record = await place.pour(target_g)
                place.machine.bench.place_glass(mass_g=250.0)
                assert (await place.over(record)).state == "complete"
                await asyncio.sleep(3)
                await place.lift()
            states = [event.body["state"] for event in await place.events("pour_state")]
            assert states.count("suck_back") == 2
            assert await place.events("alarm") == []
            known = (await place.store.inflight.current())[1, "house-water"]
            assert any(run.after_gap for run in known.runs)
            assert not known.drawn_back, "after a restart nobody counts on a gap"

    run_stepped(main)
