"""A driver that sticks on, over the whole machine: told, latched, and no pour until somebody releases it."""

import asyncio
from pathlib import Path

import pytest

from stepped_bar import Bar, bar
from stepped_loop import run_stepped
from tarewell.dosing import events as e
from tarewell.dosing.states import PourState
from tarewell.machine.requests import CommandPour, NotReadyError, ReleaseLatchedStop
from tarewell_protocol.codec import encode_request
from tarewell_protocol.messages import Direction, Request, Run

FOREIGN = encode_request(Request(250, Run(2, Direction.FORWARD, 255, 400, 1_500_000, 5000)))
"""A run that somebody else commands on the line."""


async def _alarms(place: Bar) -> list[str]:
    return [event.body["name"] for event in await place.events("alarm")]


async def _bring_to(place: Bar, where: str) -> None:
    await place.ready()
    if where == "idle":
        place.machine.bench.place_glass(mass_g=250.0)
        await asyncio.sleep(4)
        return
    record = await place.feeding()
    if where == "held":
        await place.until(lambda: place.state(record) is PourState.COARSE_FEED)
        await place.ask(CommandPour(record.id, e.PourCommand.HOLD))
        await place.until(lambda: place.state(record) is PourState.HELD)
    elif where == "over":
        await place.over(record)
    else:
        await place.until(lambda: place.state(record) is PourState(where))


@pytest.mark.parametrize("where", ["idle", "settling", "held", "over"])
def test_a_stuck_driver_latches_and_no_pour_begins_before_the_release(tmp_path: Path, where: str) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await _bring_to(place, where)
            place.machine.bench.stuck_relay(2, True)
            await place.until(lambda: place.status.latched, 4)
            assert "unexpected_mass" in await _alarms(place)
            await place.until(lambda: place.status.pour_id is None, 2)
            place.machine.bench.stuck_relay(2, False)
            with pytest.raises(NotReadyError, match="latched"):
                await place.pour()
            await place.ask(ReleaseLatchedStop())
            await place.ready()
            await place.lift()
            await place.pour()

    run_stepped(main)


def test_a_rise_that_was_told_leaves_the_watch_awake_for_a_running_pump(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await _bring_to(place, "idle")
            place.machine.bench.drift(120.0)
            await place.until(lambda: place.status.latched, 5)
            place.machine.bench.drift(0.0)
            await place.ask(ReleaseLatchedStop())
            await place.ready()
            place.machine.write(FOREIGN)
            await place.until(lambda: place.status.latched, 1)
            await place.until(lambda: not place.running, 0.2)

    run_stepped(main)


def test_topping_up_before_a_pour_is_no_alarm_after_it(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            place.machine.bench.place_glass(mass_g=250.0)
            place.machine.bench.drift(180.0)
            record = await place.pour()
            place.machine.at(place.machine.now_s + 0.8, lambda: place.machine.bench.drift(0.0))
            done = await place.over(record)
            assert done.state == "complete"
            assert await _alarms(place) == []

    run_stepped(main)
