"""Every kind of alarm is provoked here by name, most of them by a fault of the simulated machine."""

import asyncio
from collections.abc import Callable, Coroutine
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from fruit import drop
from rig import Rig
from stepped_bar import Bar, bar
from stepped_loop import run_stepped
from tarewell.dosing import events as e
from tarewell.dosing.alarm_kinds import ALARMS
from tarewell.dosing.plan import Purpose
from tarewell.dosing.setup import DosingSettings
from tarewell.dosing.states import PourState
from tarewell.machine.requests import ReleaseLatchedStop, TriggerEmergencyStop
from tarewell.records.engine import Database
from tarewell.records.errors import DiskFullError
from tarewell.records.writer import SetAside
from tarewell_protocol.codec import encode_request
from tarewell_protocol.messages import Direction, EmergencyStop, Request, ResetCause, Run, StopCause


def _no_glass(rig: Rig) -> None:
    rig.begin([(1, 45.0)], DosingSettings(glass_wait_s=2.0), glass_g=None)


def _too_heavy(rig: Rig) -> None:
    rig.begin([(1, 600.0)], glass_g=450.0)


def _shaken(rig: Rig) -> None:
    rig.begin([(1, 45.0)])
    for knock in range(90):
        rig.machine.bench.bump(0.02 if knock % 2 else -0.02)
        rig.run_for(0.08)


def _feeding(rig: Rig, target_g: float = 90.0, **plan: Any) -> None:
    rig.begin([(1, target_g)], **plan)
    rig.run_until_state(PourState.COARSE_FEED)
    rig.run_for(1.0)


def _while_feeding(act: Callable[[Rig], Any]) -> Callable[[Rig], None]:
    def scene(rig: Rig) -> None:
        rig.begin([(1, 45.0)])
        rig.finish()
        rig.run_for(2.0)
        _feeding(rig)
        act(rig)

    return scene


def _told(event: e.PourEvent) -> Callable[[Rig], None]:
    """The board reports it in the middle of a feed."""
    return _while_feeding(lambda rig: rig.feed(event))


def _changed(rig: Rig) -> None:
    _feeding(rig)
    rig.machine.bench.lift_glass()
    rig.run_until_state(PourState.HELD, 1.0)
    rig.machine.bench.place_glass(mass_g=310.0)
    rig.run_for(1.0)
    rig.command(e.PourCommand.RESTART)


def _settling_with(act: Callable[[Rig], Any]) -> Callable[[Rig], None]:
    def scene(rig: Rig) -> None:
        rig.begin([(1, 45.0)])
        rig.run_until_state(PourState.SETTLING)
        act(rig)

    return scene


def _kinked(rig: Rig) -> None:
    rig.machine.bench.kink(1, 0.0)
    rig.begin([(1, 45.0)])


def _still_on(rig: Rig) -> None:
    """The board goes on reporting the pump after the stop."""
    _feeding(rig)
    rig.command(e.PourCommand.HOLD)
    pour, result, now_s = rig.pour, rig.result, rig.now_s
    assert pour is not None
    assert result is not None
    on = replace(rig.samples[-1], running=1)
    for step in range(80):
        if not pour.finished:
            result.log += [(now_s, item) for item in pour.handle(e.Weighed(on), now_s + step / 80)]


def _siphon(rig: Rig) -> None:
    _feeding(rig)
    rig.command(e.PourCommand.HOLD)
    rig.run_until_state(PourState.HELD, 1.0)
    rig.machine.bench.stuck_relay(1, True)


def _missed(keep: bool, holds_g: float, over_g: float) -> Callable[[Rig], None]:
    """A driver of a learned channel sticks after the first dose until it is `over_g` over."""

    def scene(rig: Rig) -> None:
        for channel in (1, 2):
            rig.begin([(channel, 10.0)], purpose=Purpose.PRIME)
            rig.finish()
            rig.begin([(channel, 30.0)])
            rig.finish()
            rig.run_for(3.0)
        truth = rig.machine.truth
        before_g = truth.delivered_g[1]
        rig.begin([(1, 20.0), (2, 60.0)], keep_proportions=keep, glass_holds_g=holds_g)
        rig.run_until_state(PourState.SETTLING)
        rig.machine.bench.stuck_relay(1, True)
        rig.until(lambda: truth.delivered_g[1] - before_g > 20.0 + over_g, 3.0)
        rig.machine.bench.stuck_relay(1, False)

    return scene


def _taught_feed(rig: Rig, channel: int) -> None:
    for _ in range(2):
        rig.begin([(channel, 60.0)])
        rig.finish()
        rig.run_for(2.0)
    rig.begin([(channel, 60.0)])
    rig.run_until_state(PourState.COARSE_FEED)
    rig.run_for(1.8)


def _fruit(rig: Rig) -> None:
    _taught_feed(rig, 1)
    drop(rig.machine, 8.0, 0.0)


def _spilt(rig: Rig) -> None:
    _taught_feed(rig, 1)
    rig.machine.bench.lift_glass()
    rig.run_until_state(PourState.HELD, 1.0)
    rig.run_for(2.0)
    rig.machine.bench.put_back()
    rig.command(e.PourCommand.RESTART)


def _short(rig: Rig) -> None:
    rig.begin([(1, 10.0)], purpose=Purpose.PRIME)
    rig.finish()
    rig.begin([(1, 15.0), (2, 45.0)])
    rig.run_until_state(PourState.COARSE_FEED)
    rig.run_until_state(PourState.SETTLING)
    rig.machine.bench.kink(1, 0.0)


def _asleep(rig: Rig) -> None:
    """The computer does nothing for longer than the lease; then it reads what has come in the meantime."""
    rig.machine.advance(0.6)


POUR_SCENES: dict[str, tuple[str, Callable[[Rig], None]]] = {
    "no_glass": ("theatre_bar", _no_glass),
    "too_heavy": ("theatre_bar", _too_heavy),
    "glass_full": ("theatre_bar", _missed(keep=False, holds_g=80.0, over_g=6.0)),
    "not_at_rest": ("theatre_bar", _shaken),
    "glass_lifted": ("theatre_bar", _while_feeding(lambda rig: rig.machine.bench.lift_glass())),
    "glass_changed": ("theatre_bar", _changed),
    "disturbed": ("theatre_bar", _while_feeding(lambda rig: rig.machine.bench.hand(0.25, 5.0))),
    "mass_falling": ("theatre_bar", _settling_with(lambda rig: rig.machine.bench.leak(2.0))),
    "no_flow": ("theatre_bar", _kinked),
    "flow_lost": ("theatre_bar", _while_feeding(lambda rig: rig.machine.bench.swap_bottle(1, mass_g=20.0))),
    "not_emptied": ("theatre_bar", lambda rig: rig.begin([(1, 30.0)], purpose=Purpose.PURGE)),
    "took_too_long": ("theatre_bar", _told(e.BoardStopped(1, StopCause.TIME))),
    "ceiling_reached": ("theatre_bar", _told(e.BoardStopped(1, StopCause.CEILING))),
    "interlock_open": ("theatre_bar", _told(e.BoardStopped(1, StopCause.INTERLOCK))),
    "supply_lost": ("theatre_bar", _told(e.BoardStopped(1, StopCause.SUPPLY))),
    "pump_stopped": ("theatre_bar", _told(e.BoardStopped(1, StopCause.SESSION))),
    "adc_silent": ("theatre_bar", _while_feeding(lambda rig: rig.machine.bench.stop_conversions(True))),
    "lease_ended": ("theatre_bar", _told(e.BoardStopped(1, StopCause.LEASE))),
    "host_late": ("theatre_bar", _while_feeding(_asleep)),
    "pump_refused": ("theatre_bar", _told(e.BoardRefused(1, "latched"))),
    "stale_reading": ("theatre_bar", _while_feeding(lambda rig: rig.machine.bench.silence(True))),
    "frozen_reading": ("theatre_bar", _while_feeding(lambda rig: rig.machine.bench.freeze_reading(True))),
    "unexpected_mass": ("theatre_bar", _siphon),
    "pump_stuck": ("theatre_bar", _still_on),
    "overload": ("theatre_bar", _settling_with(lambda rig: rig.machine.bench.hand(9.0, 3.0))),
    "emergency_stop": (
        "theatre_bar",
        _settling_with(lambda rig: rig.session.outbox.ask(EmergencyStop(), rig.now_s)),
    ),
    "link_lost": (
        "theatre_bar",
        _settling_with(lambda rig: rig.machine.bench.restart_board(ResetCause.BROWNOUT)),
    ),
    "under_target": ("rehearsal", _short),
    "over_target": ("theatre_bar", _missed(keep=True, holds_g=300.0, over_g=1.5)),
    "mass_added": ("theatre_bar", _fruit),
    "mass_in_doubt": ("theatre_bar", _missed(keep=True, holds_g=300.0, over_g=1.5)),
    "spilt": ("theatre_bar", _spilt),
    "taste_not_kept": ("theatre_bar", _missed(keep=True, holds_g=82.0, over_g=3.0)),
}


@pytest.mark.parametrize("name", POUR_SCENES)
def test_a_fault_of_a_pour_raises_its_alarm(name: str) -> None:
    scenario, scene = POUR_SCENES[name]
    rig = Rig(scenario, seed=66)
    scene(rig)
    result = rig.result
    assert result is not None
    rig.until(lambda: name in result.alarms, 40.0)
    (raised,) = [item.alarm for item in result.of(e.Raised) if item.alarm.name == name][:1]
    assert raised.channel == (1 if ALARMS[name].of_channel else None)


async def _rise(place: Bar) -> None:
    place.machine.bench.place_glass(mass_g=250.0)
    await asyncio.sleep(5.0)
    place.machine.bench.stuck_relay(1, True)


async def _leak(place: Bar) -> None:
    place.machine.bench.place_glass(mass_g=250.0)
    await asyncio.sleep(5.0)
    place.machine.bench.drift(-60.0)


async def _two_at_once(place: Bar) -> None:
    await place.over(await place.feeding(60.0))
    await place.lift()
    record = await place.pour(200.0)
    place.machine.bench.place_glass(mass_g=250.0)
    await place.until(lambda: place.state(record) is PourState.COARSE_FEED)
    place.machine.bench.stuck_relay(2, True)
    await place.until(lambda: place.state(record) is PourState.HELD)
    place.machine.bench.stuck_relay(2, False)


async def _uncommanded(place: Bar) -> None:
    run = Run(2, Direction.FORWARD, 255, 400, 1_500_000, 5000)
    place.machine.write(encode_request(Request(250, run)))


async def _late(place: Bar) -> None:
    place.interpreter.host_late(0.3)


async def _pressed(place: Bar) -> None:
    await place.ask(TriggerEmergencyStop())


async def _full_disk(place: Bar) -> None:
    def full(*_: Any, **__: Any) -> Any:
        raise DiskFullError("the database bar.db cannot grow, the disk is full; free some space")

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(Database, "write", full)
        await place.ask(TriggerEmergencyStop())
        await place.until(lambda: "records_failing" in _active(place))
    await place.ask(ReleaseLatchedStop())


async def _set_aside(place: Bar) -> None:
    listener = place.interpreter.writer.listener
    assert listener is not None
    listener(SetAside("append_event", "a fault"))


MACHINE_SCENES: dict[str, Callable[[Bar], Coroutine[Any, Any, None]]] = {
    "unexpected_mass": _rise,
    "mass_falling": _leak,
    "excess_flow": _two_at_once,
    "uncommanded_pump": _uncommanded,
    "host_busy": _late,
    "emergency_stop": _pressed,
    "records_failing": _full_disk,
    "record_set_aside": _set_aside,
}


def _active(place: Bar) -> list[str]:
    return [found.alarm.name for found in place.status.alarms]


@pytest.mark.parametrize("name", MACHINE_SCENES)
def test_a_fault_between_pours_raises_its_alarm(name: str, tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            await MACHINE_SCENES[name](place)
            await place.until(lambda: name in _active(place))
            await place.interpreter.writer.drain(10)
            assert [event for event in await place.events("alarm") if event.body["name"] == name]

    run_stepped(main)


def test_every_kind_is_provoked() -> None:
    assert POUR_SCENES.keys() | MACHINE_SCENES.keys() == ALARMS.keys()
