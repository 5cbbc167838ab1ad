"""Liquid that nobody commanded, over the whole machine: told, latched, and no pour until it is released."""

import asyncio
from pathlib import Path

import pytest

import uncommanded
from stepped_bar import Bar, bar
from stepped_loop import run_stepped
from tarewell.dosing.states import TABLE as DOSED
from tarewell.dosing.states import PourState
from tarewell.machine.requests import ReleaseLatchedStop
from tarewell.rounds.states import TABLE as ROUNDS
from tarewell.rounds.states import RoundState

FLOWS_G_PER_S = (8.0, 0.3, 2.0, 20.0, 0.8)


async def _alarms(place: Bar) -> list[str]:
    return [event.body["name"] for event in await place.events("alarm")]


CASES = [
    *((where, None) for where in uncommanded.REPORTED),
    *((where, FLOWS_G_PER_S[n % len(FLOWS_G_PER_S)]) for n, where in enumerate(uncommanded.STUCK_ON)),
]


@pytest.mark.parametrize(("where", "flow_g_per_s"), CASES)
def test_a_flow_is_told_in_time_and_latches_wherever_it_begins(
    tmp_path: Path, where: str, flow_g_per_s: float | None
) -> None:
    found = run_stepped(lambda: uncommanded.begin(tmp_path, where, flow_g_per_s, seed=7))
    assert found.is_safe, found


WAYS = [where.replace("_", " ") for where in (*uncommanded.REPORTED, *uncommanded.STUCK_ON)]
PASSING = {PourState.IDLE, *DOSED.terminal, RoundState.IDLE, *ROUNDS.terminal}


@pytest.mark.parametrize(
    ("what", "state"),
    [
        *(("pour", state) for state in PourState if state not in PASSING),
        *(("round", state) for state in RoundState if state not in PASSING),
    ],
)
def test_a_way_leads_to_every_state(what: str, state: PourState | RoundState) -> None:
    words = state.value.replace("_", " ")
    assert any(where.startswith(what) and words in where for where in WAYS)


def test_a_rise_that_was_told_leaves_the_watch_awake_for_a_running_pump(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            place.machine.bench.place_glass(mass_g=250.0)
            await asyncio.sleep(4)
            place.machine.bench.drift(120.0)
            await place.until(lambda: place.status.latched, 5)
            place.machine.bench.drift(0.0)
            await place.ask(ReleaseLatchedStop())
            await place.ready()
            place.machine.write(uncommanded.FOREIGN)
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
