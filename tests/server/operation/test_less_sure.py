"""After a start and with another bottle, a channel pours by what it has taught, but less sure of it."""

from pathlib import Path

from stepped_bar import Bar, bar
from stepped_loop import run_stepped
from tarewell.dosing.inflight import FEW_STOPS, InFlight
from tarewell.menu.values import Bottle


async def known(place: Bar) -> InFlight:
    """What a pour starts from; it is poured to its end."""
    record = await place.pour(40.0)
    place.machine.bench.place_glass(mass_g=250.0)
    assert (await place.over(record)).state == "complete"
    await place.lift()
    return (await place.store.pours.setup(record.id)).known[1]


def test_a_start_and_another_bottle_make_a_channel_less_sure(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            taught = InFlight(0.05, 0.02, 8.0, 9)
            await place.store.inflight.add(1, "house-water", taught, None)
            await place.kill()
            await place.restart()
            await place.ready()
            started = await known(place)
            assert (started.count, started.lag_s) == (FEW_STOPS - 1, taught.lag_s)
            assert started.spread_s > taught.spread_s
            sure = await known(place)
            assert sure.count == FEW_STOPS
            await place.store.bottles.put(Bottle("next", "house-water", 700.0, 700.0, 50.0))
            await place.store.bottles.mount("next", 1)
            swapped = await known(place)
            assert swapped.count == FEW_STOPS - 1

    run_stepped(main)
