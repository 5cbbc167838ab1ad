"""A front on its socket: real sockets, a real operation, simulated time."""

import asyncio
import json
import socket
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from stepped_bar import Bar, bar
from stepped_loop import run_stepped
from tarewell.dosing.events import PourCommand
from tarewell.dosing.plan import DosePlan, PourPlan
from tarewell.dosing.states import PourState, UnexpectedPourEvent
from tarewell.exchange.client import SILENT_S, SocketClient
from tarewell.exchange.live import LiveEvent
from tarewell.exchange.wire import dump_request, line_of
from tarewell.machine import requests as r
from tarewell.operation.clients import MAX_OPEN, FrontConnection
from tarewell_protocol.messages import Button, Knob, Press

POUR = r.PourRequest(PourPlan((DosePlan(1, "house-water", 30.0),)), "api")


@dataclass
class ConnectedFront:
    """Both ends of one connection."""

    place: Bar
    connection: FrontConnection
    client: SocketClient
    ready: list[str] = field(default_factory=list)


async def accepted(place: Bar, ready: list[str] | None = None) -> tuple[FrontConnection, socket.socket]:
    """The machine's end, and a socket for the front."""
    ours, theirs = socket.socketpair()
    ours.setblocking(False)
    connection = FrontConnection(place.interpreter, lambda: None if ready is None else ready.append("ready"))
    await asyncio.get_running_loop().connect_accepted_socket(lambda: connection, theirs)
    return connection, ours


@asynccontextmanager
async def front(place: Bar) -> AsyncIterator[ConnectedFront]:
    ready: list[str] = []
    connection, ours = await accepted(place, ready)
    client = SocketClient()
    await asyncio.get_running_loop().connect_accepted_socket(lambda: client, ours)
    await client.known
    yield ConnectedFront(place, connection, client, ready)
    connection.close()
    await client.over
    await connection.over


def test_an_answer_comes_after_the_state_it_led_to(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place, front(place) as at:
            client = at.client
            await place.until(lambda: not client.state.status.blockers)
            record = await client.ask(POUR)
            assert client.state.followed_pour == client.state.status.pour_id == record.id
            assert record == await place.store.pours.get(record.id)
            place.machine.bench.place_glass(mass_g=250.0)
            await place.until(lambda: place.running)
            await client.ask(r.CommandPour(record.id, PourCommand.HOLD))
            assert client.state.pour is not None
            assert client.state.pour.state in (PourState.HOLDING, PourState.HELD)
            await client.ask(r.TriggerEmergencyStop())
            assert client.state.status.latched
            await place.over(record)
            await client.ask(r.ReleaseLatchedStop())
            assert not client.state.status.latched
            assert (await client.ask(r.ReadCounters())).frames > 0

    run_stepped(main)


def test_a_refusal_says_the_same_as_in_the_machine(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place, front(place) as at:
            await place.ready()
            record = await at.client.ask(POUR)
            with pytest.raises(r.MachineBusyError) as busy:
                await at.client.ask(POUR)
            assert (busy.value.owner_id, busy.value.what) == (record.id, "pour")
            with pytest.raises(UnexpectedPourEvent) as refused:
                await at.client.ask(r.CommandPour(record.id, PourCommand.RESTART))
            assert refused.value.state is place.state(record)
            with pytest.raises(r.NotUnderWayError, match="another is not under way"):
                await at.client.ask(r.CommandPour("another", PourCommand.STOP))
            assert at.connection.over.done() is False

    run_stepped(main)


def test_the_front_hears_all_that_happens_in_order(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place, front(place) as at:
            heard: list[LiveEvent] = []
            at.client.feed.listen(heard.append)
            await place.ready()
            record = await place.feeding(15.0)
            await place.over(record)
            stored = await place.events("pour_state")
            told = [event for event in heard if event.kind == "pour_state"]
            assert [event.seq for event in told] == [event.seq for event in stored]
            assert [event.kind for event in heard].index("pour_ended") > heard.index(told[-1])
            assert [event for event in heard if event.kind == "reading"]

    run_stepped(main)


def test_hands_reach_the_front_after_they_were_acted_on(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place, front(place) as at:
            await place.ready()
            record = await place.feeding()
            seen: list[tuple[Button | Knob, PourState | None]] = []

            def hear(report: Button | Knob) -> None:
                progress = at.client.state.pour_progress(record.id)
                seen.append((report, None if progress is None else progress.state))

            at.client.listen_to_controls(hear)
            place.machine.bench.press()
            await place.until(lambda: seen)
            report, state = seen[0]
            assert isinstance(report, Button)
            assert report.press is Press.DOWN
            assert state is PourState.STOPPING
            assert (await place.over(record)).state == "stopped"

    run_stepped(main)


def test_a_press_stops_the_pour_with_no_front_there(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            record = await place.feeding()
            place.machine.bench.press()
            await place.until(lambda: not place.running, 1.0)
            done = await place.over(record)
            assert done.outcome is not None
            assert (done.state, done.outcome.cause) == ("stopped", "stop")
            place.machine.bench.press()  # stops nothing, and nothing fails
            await asyncio.sleep(0.5)
            place.tasks.check()

    run_stepped(main)


def test_a_front_that_goes_away_costs_no_pour(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            async with front(place) as at:
                record = await at.client.ask(r.PourRequest(POUR.plan, "api", "k-1", "f-1"))
                asking = asyncio.ensure_future(at.client.ask(r.ReadCounters()))
                await asyncio.sleep(0)
                at.connection.close()
                with pytest.raises(r.NotAnsweredError, match="has ended"):
                    await asking
                with pytest.raises(r.NotAnsweredError, match="is gone"):
                    await at.client.ask(r.ReadCounters())
            place.machine.bench.place_glass(mass_g=250.0)
            await place.until(lambda: place.running)
            async with front(place) as again:
                assert again.client.state.followed_pour == record.id
                found = await again.client.ask(r.PourRequest(POUR.plan, "api", "k-1", "f-1"))
                assert (found.id, found.replayed) == (record.id, True)
            assert (await place.over(record)).state == "complete"

    run_stepped(main)


def messages_of(data: bytes) -> list[dict[str, Any]]:
    return [json.loads(line) for line in data.split(b"\n") if line]


async def read_all(ours: socket.socket) -> bytes:
    """What is there, until nothing comes for a while."""
    loop, data = asyncio.get_running_loop(), b""
    while True:
        try:
            async with asyncio.timeout(0.1):
                piece = await loop.sock_recv(ours, 1 << 16)
        except TimeoutError:
            return data
        if not piece:
            return data
        data += piece


def test_a_front_that_does_not_read_loses_readings_and_gets_the_newest_state(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            connection, ours = await accepted(place)
            for number in range(3000):
                place.interpreter.feed.publish(LiveEvent("reading", {"gross_g": number, "text": 100 * "x"}))
            for number in range(10):
                place.interpreter.feed.publish(LiveEvent("lamp", {"number": number}, 10_000 + number))
            await place.ask(r.TriggerEmergencyStop())
            assert not connection.over.done()
            told = messages_of(await read_all(ours))
            events = [message["event"] for message in told if "event" in message]
            readings = [body["gross_g"] for kind, body, _ in events if kind == "reading" and "text" in body]
            assert readings == list(range(len(readings)))
            assert len(readings) < 3000
            assert [seq for kind, _, seq in events if kind == "lamp"] == list(range(10_000, 10_010))
            states = [message["state"] for message in told if "state" in message]
            assert states[0]["status"]["latched"] is False
            assert states[-1]["status"]["latched"] is True
            ours.close()
            await connection.over

    run_stepped(main)


def test_a_front_that_never_reads_is_cut_off_in_the_end(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            connection, ours = await accepted(place)
            for number in range(200):
                place.interpreter.feed.publish(LiveEvent("lamp", {"text": 100_000 * "x"}, number))
            await asyncio.sleep(0.1)
            assert connection.over.done()
            place.interpreter.feed.publish(LiveEvent("lamp", {}, 201))
            record = await place.feeding(15.0)
            assert (await place.over(record)).state == "complete"
            ours.close()

    run_stepped(main)


def test_too_many_requests_at_once_wait_their_turn(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            begun, go_on = list[r.MachineRequest[Any]](), asyncio.Event()

            async def slow(request: r.MachineRequest[Any], until_s: float) -> None:
                begun.append(request)
                await go_on.wait()

            monkeypatch.setattr(place.interpreter, "ask", slow)
            connection, ours = await accepted(place)

            def ask(number: int) -> None:
                ours.send(line_of({"id": number, "until_s": 1e9, **dump_request(r.SetTare())}))

            for number in range(MAX_OPEN):
                ask(number)
            await place.until(lambda: len(begun) == MAX_OPEN)
            for number in range(MAX_OPEN, MAX_OPEN + 20):
                ask(number)
            await asyncio.sleep(0.2)
            assert len(begun) == MAX_OPEN
            go_on.set()
            await place.until(lambda: len(begun) == MAX_OPEN + 20)
            answered = [message["id"] for message in messages_of(await read_all(ours)) if "id" in message]
            assert sorted(answered) == list(range(MAX_OPEN + 20))
            ours.close()
            await connection.over

    run_stepped(main)


def test_what_nobody_waits_for_any_more_is_not_begun(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            connection, ours = await accepted(place)
            late_s = asyncio.get_running_loop().time() - 0.1
            ours.send(line_of({"id": 1, "until_s": late_s, **dump_request(POUR)}))
            (answer,) = [message for message in messages_of(await read_all(ours)) if "id" in message]
            assert answer["refused"]["kind"] == "NotAnsweredError"
            assert place.status.pour_id is None
            assert await place.events("pour_begun") == []
            ours.close()
            await connection.over

    run_stepped(main)


@pytest.mark.parametrize("data", [b"coffee\n", b"[1]\n"])
def test_a_front_of_another_kind_is_cut_off(tmp_path: Path, data: bytes) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            connection, ours = await accepted(place)
            ours.send(data)
            await place.until(connection.over.done, 1.0)
            ours.close()

    run_stepped(main)


def test_a_request_that_nobody_knows_is_refused_and_the_next_one_answered(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            connection, ours = await accepted(place)
            for number, asked in enumerate(
                ({"ask": "MakeCoffee", "with": {}}, dump_request(r.ReadCounters()))
            ):
                ours.send(line_of({"id": number, "until_s": 1e9, **asked}))
            first, second = [m for m in messages_of(await read_all(ours)) if "id" in m]
            assert first["refused"]["kind"] == "MachineFaultError"
            assert second["result"]["frames"] > 0
            ours.close()
            await connection.over

    run_stepped(main)


def test_a_front_says_that_it_serves_and_then_that_it_lives(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place, front(place) as at:
            loop = asyncio.get_running_loop()
            at.client.report_ready()
            await place.until(lambda: at.ready)
            await asyncio.sleep(10.0)
            assert loop.time() - at.connection.heard_s < 1.5
            assert at.ready == ["ready"]

    run_stepped(main)


def test_a_machine_that_says_nothing_is_not_known_to_be_well(tmp_path: Path) -> None:
    async def main() -> None:
        async with bar(tmp_path) as place:
            await place.ready()
            connection, ours = await accepted(place)
            told = await read_all(ours)
            far, near = socket.socketpair()
            client = SocketClient()
            with pytest.raises(r.NotAnsweredError, match="not sent its state"):
                client.state  # noqa: B018 - it raises
            transport, _ = await asyncio.get_running_loop().connect_accepted_socket(lambda: client, near)
            far.send(told)
            await client.known
            assert client.state.status.blockers == ()
            await asyncio.sleep(SILENT_S + 0.1)
            assert "has not answered for 2 s" in client.state.status.blockers[0]
            assert client.state.status.indication is None
            with pytest.raises(r.NotAnsweredError, match="may have carried the request out"):
                await client.ask(r.SetTare())
            transport.close()
            await client.over
            for end in (far, ours):
                end.close()
            await connection.over

    run_stepped(main)
