"""Recordings of the running machine: from the alarm to the command line, and that they disturb nothing."""

import asyncio
import sqlite3
from pathlib import Path
from typing import Any

import pytest

from api_app import ImporterHere, client_of, planning_with
from command_line import runner
from stepped_bar import Bar, bar
from stepped_loop import run_stepped
from tarewell.api.app import create_app
from tarewell.dosing.events import PourCommand
from tarewell.dosing.states import PourState
from tarewell.machine import events as ev
from tarewell.machine.effects import Effect
from tarewell.machine.machine import Machine
from tarewell.machine.recorder import FlightRecorder
from tarewell.machine.requests import CommandPour
from tarewell.records.recordings import RecordingSummary
from tarewell.records.store import Store
from tarewell.settings import GuestSettings


async def from_api(place: Bar, path: str) -> Any:
    planning, importer = planning_with(GuestSettings()), ImporterHere(place.store)
    app = create_app(place.interpreter, place.store, planning, importer, hosts=("bar.test",))
    async with client_of(app) as client:
        reply = await client.get(path)
        assert reply.status_code == 200, reply.text
        return reply.json()


def test_an_alarm_during_a_pour_is_listed_read_and_replayed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    found: dict[str, Any] = {}

    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            record = await place.feeding(60.0)
            place.machine.bench.lift_glass()
            await place.until(lambda: place.state(record) is PourState.HELD)
            await asyncio.sleep(10.5)
            (raised,) = await place.events("alarm")
            (listed,) = await from_api(place, "/v1/recordings")
            assert (listed["cause"], listed["pour_id"]) == (raised.body["name"], record.id)
            found.update(await from_api(place, listed["links"]["self"]))

    run_stepped(main)
    samples = [entry for entry in found["entries"] if entry["what"] == "sample"]
    assert {"", "1"} <= {entry["running"] for entry in samples}
    assert max(entry["gross_g"] for entry in samples) > 250
    alarms = [
        entry["host_s"]
        for entry in found["entries"]
        if entry["what"] == "Persist" and entry["detail"]["change"].get("kind") == "alarm"
    ]
    assert found["entries"][-1]["host_s"] - found["ends_s"] == pytest.approx(alarms[0], abs=0.001)

    run, database = runner(monkeypatch, capsys), str(tmp_path / "bar.db")
    code, out, err = run("replay", found["id"], "--database", database)
    assert (code, out.split(":")[0], err) == (0, "same", "")
    with sqlite3.connect(database) as connection:
        connection.execute("UPDATE recording SET program_version = '0.0.9'")
    code, out, err = run("replay", found["id"], "--database", database)
    assert (code, out.split(":")[0]) == (0, "same")
    assert "program version 0.0.9 wrote this recording" in err


class FailingRecorder:
    """Takes the place of the flight recorder, and fails."""

    def note(self, *_: object) -> list[Effect]:
        raise MemoryError("no room for another chunk")


def test_a_recorder_that_fails_disturbs_neither_pour_nor_machine(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            record = await place.feeding(20.0)
            monkeypatch.setattr(place.interpreter, "_recorder", FailingRecorder())
            assert (await place.over(record)).state == "complete"
            await place.lift()
            await place.ready()
            await place.ask(CommandPour((await place.pour()).id, PourCommand.ABORT))
            assert place.status.alarms == ()

    run_stepped(main)
    (told,) = (entry for entry in caplog.records if entry.levelname == "ERROR")
    assert "the flight recorder failed" in told.message


def fails_when_late(monkeypatch: pytest.MonkeyPatch) -> None:
    """From now on the machine has a fault in what it does when the computer was late."""
    handle = Machine.handle

    def broken(machine: Machine, event: ev.MachineEvent, now_s: float) -> list[Effect]:
        if isinstance(event, ev.HostLate):
            raise ZeroDivisionError("by a test")
        return handle(machine, event, now_s)

    monkeypatch.setattr(Machine, "handle", broken)


def test_an_error_in_the_machine_is_in_the_records_before_the_process_ends(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            await place.feeding(60.0)
            fails_when_late(monkeypatch)
            place.interpreter.host_late(0.4)

    async def left() -> list[RecordingSummary]:
        store = await Store.open(tmp_path / "bar.db", "interval-bar", "0.1.0")
        try:
            return await store.recordings.list()
        finally:
            await store.close()

    with pytest.raises(ZeroDivisionError, match="by a test"):
        run_stepped(main)
    (found,) = [item for item in asyncio.run(left()) if item.cause == "program_fault"]
    code, _, err = runner(monkeypatch, capsys)("replay", found.id, "--database", str(tmp_path / "bar.db"))
    assert code == 1
    assert "ZeroDivisionError: by a test" in err, "the machine fails again as it did"


def test_an_error_in_the_machine_ends_the_process_even_if_the_recorder_fails_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            monkeypatch.setattr(FlightRecorder, "finish", FailingRecorder.note)
            fails_when_late(monkeypatch)
            place.interpreter.host_late(0.4)

    with pytest.raises(ZeroDivisionError, match="by a test"):
        run_stepped(main)
