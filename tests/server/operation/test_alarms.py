"""Alarms of the running machine: named, in its status, in the journal, acknowledged by what people do."""

from pathlib import Path
from typing import Any

import pytest

from stepped_bar import Bar, bar
from stepped_loop import run_stepped
from tarewell.dosing.events import PourCommand
from tarewell.dosing.states import PourState
from tarewell.machine.alarms import AlarmState, UnknownAlarmError
from tarewell.machine.requests import (
    AcknowledgeAlarm,
    CommandPour,
    NotReadyError,
    ReleaseLatchedStop,
    ShelveAlarm,
    TriggerEmergencyStop,
)
from tarewell.menu.values import Bottle
from tarewell.records.engine import Database
from tarewell.records.errors import DiskFullError


def active(place: Bar) -> dict[str, AlarmState]:
    return {found.id: found.state for found in place.status.alarms}


async def journaled(place: Bar) -> list[tuple[str, str]]:
    await place.interpreter.writer.drain(10)
    events = await place.store.journal.since(0, 1000)
    return [(event.kind, event.body["id"]) for event in events if event.kind.startswith("alarm")]


def test_a_pour_that_gets_nothing_names_channel_liquid_and_bottle_until_it_goes_on(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            await place.store.bottles.put(Bottle("water-1", "house-water", 700.0, 1000.0, 50.0))
            await place.store.bottles.mount("water-1", 1)
            place.machine.bench.kink(1, 0.0)
            record = await place.pour(60.0)
            place.machine.bench.place_glass(mass_g=250.0)
            await place.until(lambda: place.state(record) is PourState.HELD, 60)
            (found,) = place.status.alarms
            assert (found.id, found.pour_id) == (f"{found.alarm.name}-1", record.id)
            assert found.alarm.subject == "channel 1, House Water, bottle water-1"
            progress = place.interpreter.state.pour_progress(record.id)
            assert progress is not None
            assert progress.alarm == found.alarm
            (event,) = await place.events("alarm")
            assert event.body["text"] == found.alarm.text
            assert event.pour_id == record.id
            place.machine.bench.kink(1, 1.0)
            await place.ask(CommandPour(record.id, PourCommand.RESTART))
            assert active(place) == {}
            told = [kind for kind, alarm_id in await journaled(place) if alarm_id == found.id]
            assert told == ["alarm", "alarm_returned", "alarm_acknowledged"]

    run_stepped(main)


def test_what_ended_a_pour_stays_until_somebody_has_seen_it(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            record = await place.feeding()
            place.unplug()
            await place.over(record)
            assert active(place) == {"link_lost": AlarmState.RETURNED}
            with pytest.raises(UnknownAlarmError, match="link_lost"):
                await place.ask(AcknowledgeAlarm("no_flow-1"))
            await place.ask(ShelveAlarm("link_lost", 60.0))
            assert active(place) == {"link_lost": AlarmState.SHELVED}
            await place.ask(AcknowledgeAlarm("link_lost"))
            assert active(place) == {}

    run_stepped(main)


def test_a_full_disk_hides_no_alarm_and_is_one_itself(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()

            def full(*_: Any, **__: Any) -> Any:
                raise DiskFullError("the disk is full; free some space")

            monkeypatch.setattr(Database, "write", full)
            place.interpreter.host_late(0.3)
            await place.until(lambda: len(active(place)) == 2, 10)
            worst, other = place.status.alarms
            assert (worst.id, other.id) == ("records_failing", "host_busy")
            assert "the disk is full" in worst.alarm.text
            assert worst.alarm.cure in worst.alarm.text
            monkeypatch.undo()
            assert await place.interpreter.writer.drain(10), "it tries again in real time"
            await place.until(lambda: active(place)["records_failing"] is AlarmState.RETURNED, 10)
            assert ("alarm", "records_failing") in await journaled(place)

    run_stepped(main)


def test_a_latched_stop_says_why_wherever_it_stands_in_the_way(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            record = await place.feeding(20.0)
            await place.until(lambda: place.state(record) is PourState.SETTLING)
            place.machine.bench.stuck_relay(1, True)
            assert (await place.over(record)).state == "aborted"
            place.machine.bench.stuck_relay(1, False)
            await place.until(lambda: place.status.latched)
            name = (await place.over(record)).outcome.cause  # type: ignore[union-attr]
            with pytest.raises(NotReadyError, match=rf"latched \({name}: .*g/s.*then release it"):
                await place.pour()
            await place.ask(AcknowledgeAlarm(name))
            assert active(place) == {name: AlarmState.LATCHED}
            await place.ask(ReleaseLatchedStop())
            assert active(place) == {}

    run_stepped(main)


def test_a_stop_by_a_person_is_an_alarm_until_it_is_released(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            await place.ask(TriggerEmergencyStop())
            await place.until(lambda: active(place))
            await place.until(lambda: active(place) == {"emergency_stop": AlarmState.LATCHED}, 3)
            await place.ask(ReleaseLatchedStop())
            assert active(place) == {}

    run_stepped(main)
