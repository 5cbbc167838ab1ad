"""A bottle that runs dry in the middle of a drink is swapped while the pour is held, and the pour goes on."""

import asyncio
from pathlib import Path

import pytest

from stepped_bar import bar
from stepped_loop import run_stepped
from tarewell.dosing.events import PourCommand
from tarewell.dosing.states import PourState
from tarewell.machine.requests import CommandPour
from tarewell.menu.values import Bottle
from tarewell.records.verify import verify

FETCH_S = 5.0
"""What it takes to bring the next bottle."""


def test_each_bottle_is_charged_with_what_it_gave_and_the_empty_one_is_gone(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            truth, bottles = place.machine.truth, place.store.bottles
            await place.ready()
            await bottles.put(Bottle("dry", "house-water", 700.0, 700.0, 50.0, channel=1))
            await bottles.put(Bottle("next", "house-water", 700.0, 700.0, 50.0))
            place.machine.bench.swap_bottle(1, mass_g=40.0)  # the ledger believes it to be full
            record = await place.pour(120.0)
            place.machine.bench.place_glass(mass_g=250.0)
            await place.until(lambda: place.state(record) is PourState.HELD, 60)
            assert [event.body["name"] for event in await place.events("alarm")] == ["flow_lost"]
            await asyncio.sleep(FETCH_S)
            from_dry_g = truth.delivered_g[1]
            place.machine.bench.swap_bottle(1, mass_g=700.0)
            await bottles.swap(1, "next", emptied=True)
            for _ in range(2):  # the air that the tube drew may hold it once more
                if place.state(record) is PourState.HELD:
                    await place.ask(CommandPour(record.id, PourCommand.RESTART))
                    await place.until(lambda: place.state(record) in (None, PourState.HELD), 60)
            done = await place.over(record)
            assert done.state == "complete"
            await asyncio.sleep(3.0)  # the last drops
            from_next_g = truth.delivered_g[1] - from_dry_g
            assert min(from_dry_g, from_next_g) > 20.0
            (written_off, drawn, _) = await bottles.movements("dry")
            assert (written_off.kind, drawn.pour_id) == ("correction", record.id)
            assert drawn.change_g == pytest.approx(-from_dry_g, abs=0.5)
            (rest, _) = await bottles.movements("next")
            assert rest.change_g == pytest.approx(-from_next_g, abs=0.5)
            assert done.outcome is not None
            assert drawn.change_g + rest.change_g == pytest.approx(-(done.outcome.delivered_g or 0.0))
            assert [bottle.id for bottle in await bottles.all()] == ["next"]
        assert verify(place.path).intact

    run_stepped(main)
