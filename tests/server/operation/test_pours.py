"""Pours through the whole machine process: real records, simulated hardware, simulated time."""

import asyncio
from pathlib import Path
from typing import Any

import pytest

from stepped_bar import Bar, bar
from stepped_loop import run_stepped
from tarewell.api.schemas.pour_progress import HoldView, hold_of
from tarewell.device.link import Link
from tarewell.dosing.events import Learned, PourCommand, PourEnded, PourEvent
from tarewell.dosing.plan import PlanError
from tarewell.dosing.pour import Pour
from tarewell.dosing.states import PourState, UnexpectedPourEvent
from tarewell.dosing.weighing_pour import WeighingPour
from tarewell.machine.link_status import LinkState
from tarewell.machine.pour_record import PourRecord
from tarewell.machine.requests import (
    Calibrate,
    ClearTare,
    CommandPour,
    MachineBusyError,
    NotReadyError,
    NotUnderWayError,
    ReadCounters,
    ReadEmpty,
    ReleaseLatchedStop,
    SetTare,
    SetZero,
    TriggerEmergencyStop,
)
from tarewell.records.engine import Database
from tarewell.records.errors import DiskFullError, IdempotencyConflict, StoreError
from tarewell.records.store import Store
from tarewell.records.writer import Writer
from tarewell.weighing.calibration import UnlikelySpanError
from tarewell.weighing.scale import ScaleError
from tarewell_protocol.messages import Command, Run


def full(*_: Any, **__: Any) -> Any:
    raise DiskFullError("the database bar.db cannot grow, the disk is full; free some space")


@pytest.mark.parametrize("wire", ["byte by byte", "lossy"])
def test_a_pour_reaches_its_target_and_its_trace_replays(tmp_path: Path, wire: str) -> None:
    async def main() -> None:
        async with bar(tmp_path, chop=1 if wire == "byte by byte" else None, seed=2) as place:
            await place.ready()
            if wire == "lossy":
                place.machine.bench.wire(lose=0.01, byte_error_rate=0.0002, delay_s=0.004)
            record = await place.pour(15.0)
            place.machine.bench.place_glass(mass_g=250.0)
            done = await place.over(record)
            assert done.outcome is not None
            assert done.outcome.state == "complete"
            assert done.outcome.delivered_g == pytest.approx(15.0, abs=0.7)
            assert place.machine.truth.glass_contents_g == pytest.approx(15.0, abs=1.0)
            await place.events("pour_ended")
            await assert_replays(place.store, record.id)
            learned = (await place.store.inflight.current())[1, "house-water"]
            trace = await place.store.pours.trace(record.id)
            assert [entry.item.inflight for entry in trace if isinstance(entry.item, Learned)][-1] == learned

    run_stepped(main)


def test_what_drips_is_added_to_the_record_and_known_after_a_restart(tmp_path: Path) -> None:
    """Beyond three sigmas is one in 370 (JCGM 100:2008, Table G.1)."""

    async def main() -> None:
        async with bar(tmp_path, seed=2) as place:
            await place.ready()
            record = await place.pour(15.0)
            place.machine.bench.place_glass(mass_g=250.0)
            done = await place.over(record)
            assert done.outcome is not None and done.outcome.uncertainty_g is not None
            assert done.late_drips is None
            await asyncio.sleep(3.0)  # of simulated time
            assert len(await place.events("late_drips")) == 1
            done = await place.store.pours.get(record.id)
            final = done.final
            assert final is not None and final.uncertainty_g is not None and done.late_drips is not None
            error_g = final.mass_g - place.machine.truth.glass_contents_g
            assert abs(error_g) < 3 * final.uncertainty_g < 0.3
            await place.kill()
            await place.restart()
            await place.lift()
            await place.ready()
            again = await place.store.pours.setup((await place.pour(15.0)).id)
            assert {channel: seen.count for channel, seen in again.drips.items()} == {1: 1}

    run_stepped(main)


async def assert_replays(store: Store, pour_id: str) -> None:
    """The trace's events, fed to a fresh pour with the stored setup, give the trace's outputs."""
    pour = WeighingPour(await store.pours.setup(pour_id))
    trace = await store.pours.trace(pour_id)
    assert isinstance(trace[-1].item, PourEnded)
    at = 0
    while at < len(trace):
        event = trace[at].item
        assert isinstance(event, PourEvent)
        outputs = pour.handle(event, trace[at].now_s)
        at += 1
        assert [entry.item for entry in trace[at : at + len(outputs)]] == outputs
        at += len(outputs)


def test_no_pump_turns_before_the_intent_is_committed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            place.machine.bench.place_glass(mass_g=250.0)
            monkeypatch.setattr(Database, "write", full)
            with pytest.raises(StoreError, match="disk is full"):
                await place.pour()
            assert place.status.pour_id is None
            monkeypatch.undo()
            record = await place.feeding()
            events = await place.store.journal.of_pour(record.id)
            assert [event.kind for event in events][:2] == ["pour_begun", "pour_state"]

    run_stepped(main)


def test_what_hinders_a_pour_is_said_in_words(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path, calibrated=False, started=False) as place:
            place.plugged = False
            await place.start()
            await place.until(lambda: "no such device" in place.status.link.reason)
            with pytest.raises(NotReadyError, match=r"no such device.*not calibrated"):
                await place.pour()
            place.plugged = True
            await place.linked()
            assert len(place.status.blockers) == 1
            with pytest.raises(NotReadyError, match="calibrate it"):
                await place.pour()
            assert await place.events("pour_begun") == []

    run_stepped(main)


def test_a_plan_that_cannot_be_carried_out_leaves_no_record(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            with pytest.raises(PlanError, match="at least 2 g"):
                await place.pour(0.5)
            await place.store.channels.assign(1, None, "left")
            with pytest.raises(PlanError, match="there is no channel 1"):
                await place.pour()
            assert place.status.pour_id is None
            assert await place.events("pour_begun") == []
            await place.store.channels.assign(1, "house-water", "left")
            await place.feeding()

    run_stepped(main)


def test_a_calibration_that_is_not_kept_leaves_the_old_one_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Zero may be set within 40 g of the last calibration's zero (R 76-1, 4.5.1: 4 % of Max), and the empty
    reading of a calibration that could not be written is none."""

    async def main() -> None:
        async with bar(tmp_path) as place:
            bench = place.machine.bench
            await place.ready()
            kept = await place.store.calibrations.current()
            bench.place_glass(mass_g=60.0)
            await asyncio.sleep(3.0)
            empty_counts = await place.ask(ReadEmpty())
            bench.lift_glass()
            bench.place_glass(mass_g=560.0)
            await asyncio.sleep(3.0)
            with monkeypatch.context() as disk:
                disk.setattr(Database, "write", full)
                with pytest.raises(DiskFullError):
                    await place.ask(Calibrate(empty_counts, 500.0))
                with pytest.raises(ScaleError):
                    await place.ask(SetZero())
            shown = place.status.indication
            assert shown is not None
            assert shown.gross_g == pytest.approx(560.0, abs=0.5)
            bench.lift_glass()
            bench.place_glass(mass_g=60.0)
            await asyncio.sleep(3.0)
            with pytest.raises(ScaleError, match="take everything off"):
                await place.ask(SetZero())
            assert await place.store.calibrations.current() == kept
            bench.lift_glass()
            bench.place_glass(mass_g=30.0)
            await asyncio.sleep(3.0)
            assert (await place.ask(SetZero())).gross_g == pytest.approx(0.0, abs=0.1)

    run_stepped(main)


def test_a_zero_that_is_not_kept_is_not_used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            bench = place.machine.bench
            await place.ready()
            bench.place_glass(mass_g=30.0)
            await asyncio.sleep(3.0)
            with monkeypatch.context() as disk:
                disk.setattr(Database, "write", full)
                with pytest.raises(DiskFullError):
                    await place.ask(SetZero())
            shown = place.status.indication
            assert shown is not None
            assert shown.gross_g == pytest.approx(30.0, abs=0.3)

    run_stepped(main)


def test_calibration_from_nothing(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path, calibrated=False) as place:
            bench = place.machine.bench
            await place.linked()
            assert place.status.indication is None
            await asyncio.sleep(2.0)
            empty_counts = await place.ask(ReadEmpty())
            bench.place_glass(mass_g=500.0)
            await asyncio.sleep(3.0)
            with pytest.raises(UnlikelySpanError, match=r"did you put 200 g on\?.* makes it about 5\d\d g"):
                await place.ask(Calibrate(empty_counts, 200.0))
            assert not place.status.calibrated
            calibration = await place.ask(Calibrate(empty_counts, 500.0))
            assert await place.store.calibrations.current() == calibration
            await asyncio.sleep(0.1)
            shown = place.status.indication
            assert shown is not None
            assert shown.gross_g == pytest.approx(500.0, abs=0.3)
            assert place.status.blockers == ()

    run_stepped(main)


def test_without_a_reading_there_is_nothing_to_calibrate(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            await asyncio.sleep(2.0)
            await place.ask(ReadEmpty())
            place.unplug()
            await place.until(lambda: place.status.link.state is not LinkState.OPEN)
            with pytest.raises(NotReadyError, match="check the link"):
                await place.ask(ReadEmpty())
            with pytest.raises(NotReadyError, match="check the link"):
                await place.ask(Calibrate(0.0, 500.0))

    run_stepped(main)


def test_one_platform_and_one_pour_for_each_key(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            first = await place.pour(key="k1", fingerprint="f1")
            assert not first.replayed
            with pytest.raises(MachineBusyError) as busy:
                await place.pour(key="k2", fingerprint="f2")
            assert busy.value.owner_id == first.id
            again = await place.pour(key="k1", fingerprint="f1")
            assert (again.id, again.replayed) == (first.id, True)
            with pytest.raises(IdempotencyConflict):
                await place.pour(key="k1", fingerprint="other")
            with pytest.raises(MachineBusyError):
                await place.ask(SetZero())
            await place.ask(CommandPour(first.id, PourCommand.ABORT))
            await place.over(first)
            place.unplug()
            await place.until(lambda: place.status.blockers)
            again = await place.pour(key="k1", fingerprint="f1")
            assert (again.id, again.replayed, again.state) == (first.id, True, "aborted")
            with pytest.raises(NotReadyError):
                await place.pour(key="k2", fingerprint="f2")

    run_stepped(main)


def test_commands(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            with pytest.raises(NotUnderWayError, match="none is"):
                await place.ask(CommandPour("x", PourCommand.STOP))
            record = await place.feeding()
            with pytest.raises(UnexpectedPourEvent):
                await place.ask(CommandPour(record.id, PourCommand.RESTART))
            await place.ask(CommandPour(record.id, PourCommand.HOLD, "page"))
            await place.until(lambda: place.state(record) is PourState.HELD)
            assert not place.running
            assert (await held(place, record)).by == "page"
            await place.ask(CommandPour(record.id, PourCommand.RESTART))
            await place.until(lambda: place.running)
            await place.ask(CommandPour(record.id, PourCommand.STOP))
            done = await place.over(record)
            assert done.state == "stopped"
            assert place.interpreter.state.pour_progress(record.id) is None
            states = [event.body["state"] for event in await place.events("pour_state")]
            assert states[-2:] == ["stopping", "stopped"]
            assert states[3:6] == ["holding", "held", "restarting"]

    run_stepped(main)


async def held(place: Bar, record: PourRecord) -> HoldView:
    """Who holds a pour, by its events in the journal."""
    await asyncio.sleep(0.1)
    found = hold_of(await place.store.journal.of_pour(record.id))
    assert found is not None
    return found


def test_a_pour_that_an_alarm_holds_is_held_by_the_watch_whoever_held_it_before(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            record = await place.feeding()
            await place.ask(CommandPour(record.id, PourCommand.HOLD, "page"))
            await place.until(lambda: place.state(record) is PourState.HELD)
            first = await held(place, record)
            await place.ask(CommandPour(record.id, PourCommand.RESTART, "page"))
            await place.until(lambda: place.running)
            await place.lift()
            again = await held(place, record)
            assert (first.by, again.by) == ("page", "watch")
            assert again.at > first.at

    run_stepped(main)


def test_the_knob_that_stops_a_pour_is_told_with_it(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            record = await place.feeding()
            place.machine.bench.press()
            assert (await place.over(record)).state == "stopped"
            (told,) = await place.events("pour_commanded")
            assert (told.pour_id, told.body) == (record.id, {"command": "stop", "origin": "panel"})
            assert not await place.events("emergency_stop")

    run_stepped(main)


def test_emergency_stop_aborts_and_latches_until_it_is_released(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            record = await place.feeding()
            await place.ask(TriggerEmergencyStop("page"))
            assert not place.running
            done = await place.over(record)
            assert done.outcome is not None
            assert (done.state, done.outcome.cause) == ("aborted", "emergency_stop")
            with pytest.raises(NotReadyError, match="latched"):
                await place.pour()
            await place.ask(ReleaseLatchedStop("panel"))
            await place.ready()
            (latched,) = await place.events("emergency_stop")
            (released,) = await place.events("emergency_stop_released")
            assert (latched.body["origin"], released.body["origin"]) == ("page", "panel")

    run_stepped(main)


def test_emergency_stop_aborts_a_pour_that_waits_for_its_glass(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            record = await place.pour()
            await place.ask(TriggerEmergencyStop())
            assert (await place.over(record)).state == "aborted"

    run_stepped(main)


def test_a_lost_link_ends_the_pour_and_comes_back(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            record = await place.feeding()
            place.unplug()
            done = await place.over(record)
            assert done.outcome is not None
            assert (done.state, done.outcome.cause) == ("aborted", "link_lost")
            assert place.status.indication is None
            await place.until(lambda: not place.running, 0.5)
            place.plugged = True
            await place.ready()
            assert len(await place.events("link_lost")) == 1
            assert len(await place.events("link_opened")) == 2

    run_stepped(main)


def test_a_full_disk_leaves_the_pour_alone_and_the_machine_waits_for_room(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            record = await place.feeding()
            monkeypatch.setattr(Database, "write", full)
            await place.until(lambda: place.status.blockers, 5)
            await place.until(lambda: place.state(record) is PourState.COMPLETE, 60)
            assert not place.running
            with pytest.raises(NotReadyError, match="disk is full"):
                await place.pour()
            monkeypatch.undo()
            assert await place.interpreter.writer.drain(10), "it tries again in real time"
            assert (await place.over(record)).state == "complete"
            await place.ready()
            assert (
                len(await place.events("records_failed")) == len(await place.events("records_working")) == 1
            )
            assert not place.interpreter.writer.dead_letters.exists()
            await assert_replays(place.store, record.id)

    run_stepped(main)


def test_closing_stops_the_pump_and_keeps_the_outcome(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            record = await place.feeding()
            await place.interpreter.close()
            assert not place.running
            done = await place.store.pours.get(record.id)
            assert done.outcome is not None
            assert (done.state, done.outcome.cause) == ("aborted", "abort")
            with pytest.raises(NotReadyError):
                await place.pour()

    run_stepped(main)


def test_a_caller_that_goes_away_leaves_no_intent_without_a_pour(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            write, begun, go_on = Writer.write, asyncio.Event(), asyncio.Event()

            async def slow(writer: Writer, work: Any, *args: Any) -> Any:
                begun.set()
                await go_on.wait()
                return await write(writer, work, *args)

            monkeypatch.setattr(Writer, "write", slow)
            asking = asyncio.create_task(place.pour())
            await begun.wait()
            asking.cancel()
            await asyncio.wait({asking})
            assert place.status.pour_id is None
            go_on.set()
            await place.until(lambda: place.status.pour_id)

    run_stepped(main)


def test_an_error_in_the_program_stops_the_pump_and_is_recorded(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            record = await place.feeding()
            monkeypatch.setattr(Pour, "handle", lambda *_: 1 / 0)
            done = await place.over(record)
            assert done.outcome is not None
            assert (done.state, done.outcome.cause) == ("aborted", "program_fault")
            await place.until(lambda: not place.running, 0.2)

    run_stepped(main)


def test_a_command_that_cannot_be_sent_holds_the_pour_and_leaves_the_link_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            send, refused = Link.send, list[Command]()

            def send_once_less(link: Link, command: Command) -> object:
                if isinstance(command, Run) and not refused:
                    refused.append(command)
                    raise OverflowError("the time does not fit its field")
                return send(link, command)

            monkeypatch.setattr(Link, "send", send_once_less)
            record = await place.pour()
            place.machine.bench.place_glass(mass_g=250.0)
            await place.until(lambda: place.state(record) is PourState.HELD)
            progress = place.interpreter.state.pour_progress(record.id)
            assert progress is not None
            assert progress.alarm is not None
            assert progress.alarm.name == "pump_refused"
            assert "does not fit" in progress.alarm.detail
            assert not place.running
            await place.ask(CommandPour(record.id, PourCommand.RESTART))
            assert (await place.over(record)).state == "complete"
            assert len(place.ports) == 1
            await assert_replays(place.store, record.id)

    run_stepped(main)


def test_a_database_that_was_deleted_is_noticed_before_a_pump_turns(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            place.path.unlink()
            with pytest.raises(StoreError, match="is gone"):
                await place.pour()
            assert place.status.pour_id is None
            await place.ask(TriggerEmergencyStop())
            await place.until(lambda: "is gone" in " ".join(place.status.blockers), 5)
            await place.ask(ReleaseLatchedStop())
            with pytest.raises(NotReadyError, match="is gone"):
                await place.pour()
            assert not place.running

    run_stepped(main)


def test_zero_and_tare(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            await asyncio.sleep(1.5)
            shown = await place.ask(SetZero())
            assert shown.gross_g == pytest.approx(0.0, abs=0.1)
            place.machine.bench.place_glass(mass_g=250.0)
            await asyncio.sleep(2.5)
            await place.ask(SetTare())
            tared = place.status.indication
            assert tared is not None
            assert (tared.net_g, tared.gross_g) == pytest.approx((0.0, 250.0), abs=0.4)
            await place.ask(ClearTare())
            cleared = place.status.indication
            assert cleared is not None
            assert cleared.tare_g == 0.0

    run_stepped(main)


def test_counters_of_the_board(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            assert (await place.ask(ReadCounters())).frames > 0

    run_stepped(main)


def test_readings_show_the_pour(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            reader = place.interpreter.feed.subscribe()
            record = await place.feeding()
            await place.interpreter.close()
            seen = [event async for event in reader]
            readings = [event for event in seen if event.kind == "reading"]
            assert {event.body["pour_id"] for event in readings} >= {record.id}
            assert all(event.seq is None for event in readings)
            numbers = [event.body["number"] for event in readings]
            assert numbers == list(range(numbers[0], numbers[0] + len(numbers)))
            filling = [event.body for event in readings if event.body["dose"] == 0]
            assert [body["drink_g"] for body in filling] == [body["delivered_g"][0] for body in filling]
            assert all(event.body["at"].endswith("+00:00") for event in readings)
            durable = [event.seq for event in seen if event.seq is not None]
            assert durable == sorted(durable)

    run_stepped(main)


def test_settings_that_the_board_would_refuse_in_mid_pour_block_the_machine(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path, started=False) as place:
            place.use(dosing={"max_feed_s": 300.0})
            await place.start()
            await place.linked()
            told = "dosing.max_feed_s is 300 s and this board allows 120 s at most"
            await place.until(lambda: any(told in blocker for blocker in place.status.blockers))
            with pytest.raises(NotReadyError, match="lower the setting"):
                await place.pour()

    run_stepped(main)
