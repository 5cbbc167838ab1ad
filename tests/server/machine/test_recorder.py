"""The flight recorder: what it keeps around an alarm, and that it replays."""

import asyncio
from pathlib import Path
from typing import Any

import pytest

from machine_at_rest import STEP_S, At
from stepped_bar import Bar, bar
from stepped_loop import run_stepped
from tarewell.dosing.events import PourCommand
from tarewell.machine import events as ev
from tarewell.machine.effects import AddRecording, AppendEvent, Effect, Persist
from tarewell.machine.pour_record import PourRecord
from tarewell.machine.recorder import FlightRecorder
from tarewell.machine.recording import RecordingError, Step, joined, kept, pack_state, pack_steps, read
from tarewell.machine.replay import replay_recording
from tarewell.machine.requests import (
    CommandPour,
    NotReadyError,
    ReleaseLatchedStop,
    SetTare,
    SetZero,
    TriggerEmergencyStop,
)
from tarewell_protocol import session as s


class Recorded:
    """A machine at rest with its recorder; `made` has the recordings."""

    def __init__(self) -> None:
        self.at = At(load_g=250.0)
        self.recorder = FlightRecorder(self.at.machine, self.at.now_s)
        self.made: list[AddRecording] = []

    def take(self, event: ev.MachineEvent) -> list[Effect]:
        """Let it happen a sample's time later."""
        self.at.now_s += STEP_S
        effects = self.at.machine.handle(event, self.at.now_s)
        for effect in self.recorder.note(event, effects, self.at.now_s):
            assert isinstance(effect, Persist)
            assert isinstance(effect.change, AddRecording)
            self.made.append(effect.change)
        return effects

    def rest(self, seconds: float) -> None:
        """Nothing happens."""
        for number in range(round(seconds / STEP_S)):
            self.take(ev.Woken() if number % 80 == 0 else self.at.sample(250.0))


def test_an_alarm_is_kept_with_the_time_around_it_and_replays() -> None:
    recorded = Recorded()
    recorded.rest(60.0)
    caused_s = recorded.at.now_s + STEP_S
    recorded.take(ev.HostLate(0.4))
    recorded.rest(9.5)
    assert not recorded.made
    recorded.rest(1.0)
    (made,) = recorded.made
    assert (made.cause, made.pour_id, made.caused_s) == ("host_busy", None, pytest.approx(caused_s))
    assert 20 <= made.caused_s - made.begun_s <= 31
    assert 10 <= made.ended_s - made.caused_s <= 11
    report = replay_recording(made.data)
    assert report.difference is None
    assert report.events == pytest.approx((made.ended_s - made.begun_s) / STEP_S, abs=3)
    assert len(made.data) < 60_000


def test_what_happens_again_and_again_makes_one_recording_a_minute() -> None:
    recorded = Recorded()
    alarm: list[Effect] = [Persist(AppendEvent("alarm", {"name": "no_glass"}))]
    made: list[Effect] = []
    for number in range(20):
        made += recorded.recorder.note(ev.Woken(), alarm, recorded.at.now_s + 5.0 * number)
    assert len(made) == 2


def test_one_cause_after_the_other_makes_one_recording() -> None:
    recorded = Recorded()
    recorded.take(ev.HostLate(0.4))
    recorded.rest(5.0)
    recorded.take(ev.RecordSetAside("a pour", "no such channel", "dead-letter.jsonl"))
    recorded.rest(16.0)
    (made,) = recorded.made
    assert made.ended_s - made.caused_s == pytest.approx(15.0, abs=1.0)


def test_a_fault_in_the_program_is_recorded_up_to_its_end() -> None:
    recorded = Recorded()
    recorded.rest(3.0)
    (effect,) = recorded.recorder.finish("program_fault", recorded.at.now_s)
    assert isinstance(effect, Persist)
    assert isinstance(effect.change, AddRecording)
    assert replay_recording(effect.change.data).difference is None


def test_a_machine_that_decides_otherwise_is_told_as_a_playbook_tells_it() -> None:
    recorded = Recorded()
    machine, now_s = recorded.at.machine, recorded.at.now_s
    state = pack_state(machine)
    event = ev.HostLate(0.4)
    machine.handle(event, now_s)
    report = replay_recording(
        joined(state, [pack_steps([Step(now_s, s.ReportsMissed(1)), Step(now_s, event)])])
    )
    assert report.difference is not None
    assert report.events == 1
    first, *others = report.difference.lines
    assert "HostLate" in first
    assert all(line.startswith(" + << Persist") for line in others)


def test_a_recording_that_is_cut_short_or_of_another_version_is_refused() -> None:
    recorded = Recorded()
    recorded.take(ev.HostLate(0.4))
    recorded.rest(11.0)
    data = recorded.made[0].data
    for broken in (data[:-1], data[:100], b"", b"\xff" + data[1:], data[:40] + b"?" + data[41:]):
        with pytest.raises(RecordingError, match="version"):
            read(broken)


class Everything:
    """Takes the place of the flight recorder and keeps all steps."""

    def __init__(self, machine: Any) -> None:
        self.state = pack_state(machine)
        self.steps: list[Step] = []

    def note(self, event: ev.MachineEvent, effects: list[Effect], now_s: float) -> list[Effect]:
        self.steps.append(Step(now_s, event, kept(effects)))
        return []

    @property
    def data(self) -> bytes:
        return joined(self.state, [pack_steps(self.steps)])


async def running(place: Bar, target_g: float) -> PourRecord:
    """Begin a pour and wait until a pump turns."""
    record = await place.pour(target_g)
    place.machine.bench.place_glass(mass_g=250.0)
    await place.until(lambda: place.running)
    return record


async def evening(place: Bar) -> None:
    """Drinks, a lifted glass, a hold, a refusal, a lost link, an emergency stop and its release."""
    bench = place.machine.bench
    await place.ready()
    await asyncio.sleep(2.0)
    await place.ask(SetZero())
    first = await place.pour(20.0)
    bench.place_glass(mass_g=250.0)
    await place.over(first)
    with pytest.raises(NotReadyError):
        await place.pour(20.0)
    await place.lift()
    second = await running(place, 40.0)
    await place.ask(CommandPour(second.id, PourCommand.HOLD))
    await asyncio.sleep(2.0)
    await place.ask(CommandPour(second.id, PourCommand.RESTART))
    await place.over(second)
    await asyncio.sleep(2.0)
    await place.ask(SetTare())
    await place.lift()
    third = await running(place, 60.0)
    place.unplug()
    await place.over(third)
    place.plugged = True
    await place.ready()
    await place.lift()
    fourth = await running(place, 60.0)
    await place.ask(TriggerEmergencyStop())
    await place.over(fourth)
    await place.ask(ReleaseLatchedStop())
    await place.lift()
    bench.place_glass(mass_g=250.0)
    await asyncio.sleep(3.0)
    bench.stuck_relay(channel=1, on=True)
    await asyncio.sleep(4.0)
    assert place.status.latched


def test_a_whole_evening_replays_to_the_same_effects(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async def main() -> None:
        async with bar(tmp_path, started=False) as place:
            await place.start()
            everything = Everything(place.interpreter._machine)
            monkeypatch.setattr(place.interpreter, "_recorder", everything)
            await evening(place)
            report = replay_recording(everything.data)
            assert report.difference is None, "\n".join(report.difference.lines)
            assert report.events == len(everything.steps) > 3000
            assert report.effects > 150

    run_stepped(main)


def test_an_aborted_pour_is_kept_in_the_records_and_replays(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            record = await running(place, 60.0)
            await place.ask(CommandPour(record.id, PourCommand.ABORT))
            await place.over(record)
            await asyncio.sleep(12.0)
            (added,) = await place.events("recording_added")
            (found,) = await place.store.recordings.list()
            assert (found.id, found.cause, found.pour_id) == (added.body["id"], "aborted", record.id)
            _, data = await place.store.recordings.get(found.id)
            assert replay_recording(data).difference is None

    run_stepped(main)
