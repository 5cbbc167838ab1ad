"""Link and supervisor in simulated time: loss, return, pauses, refusal, stalled peers."""

import asyncio
import contextlib
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from itertools import pairwise

import pytest

from board_double import BoardDouble
from stepped_loop import START_S, SteppedLoop, run_stepped
from tarewell.device.link import LinkDownError
from tarewell.device.port import WRITE_HIGH_BYTES, PortError
from tarewell.device.supervisor import Pauses, Supervisor
from tarewell.machine.link_status import LinkState, LinkStatus
from tarewell_protocol import messages as m
from tarewell_protocol import session as s
from tarewell_protocol.codec import encode_from_board


class FakePort(asyncio.Transport):
    """A port to the desk's board; while that is stalled it takes bytes and passes none on."""

    def __init__(self, desk: "SupervisorBench") -> None:
        super().__init__()
        self._desk = desk
        self.protocol: asyncio.Protocol | None = None
        self.held = b""
        self._paused = False

    async def open(self, protocol: asyncio.Protocol) -> None:
        self._desk.opened_s.append(self._desk.loop.time())
        if self._desk.trouble is not None:
            raise PortError(self._desk.trouble)
        self.protocol = protocol
        protocol.connection_made(self)
        self._desk.loop.passing.append(self.step)

    def write(self, data: bytes | bytearray | memoryview) -> None:
        self.held += bytes(data)
        if len(self.held) > WRITE_HIGH_BYTES and self.protocol is not None:
            self._paused = True
            self.protocol.pause_writing()

    def step(self, _: float) -> None:
        if self._desk.stalled or self.protocol is None:
            return
        data, self.held = self.held, b""
        if self._paused:
            self._paused = False
            self.protocol.resume_writing()
        if answer := self._desk.answer(data):
            self.protocol.data_received(answer)

    def abort(self) -> None:
        protocol, self.protocol = self.protocol, None
        if protocol is not None:
            self._desk.loop.passing.remove(self.step)
            self._desk.loop.call_soon(protocol.connection_lost, None)


@dataclass
class SupervisorBench:
    """A supervisor, what it said, and the board at the other end."""

    board: BoardDouble = field(default_factory=BoardDouble)
    trouble: str | None = None
    stalled: bool = False
    silent: bool = False
    other_version: int | None = None
    opened_s: list[float] = field(default_factory=list)
    ports: list[FakePort] = field(default_factory=list)
    events: list[s.SessionEvent] = field(default_factory=list)
    statuses: list[LinkStatus] = field(default_factory=list)

    def __post_init__(self) -> None:
        loop = asyncio.get_running_loop()
        if not isinstance(loop, SteppedLoop):
            raise TypeError("a desk needs `run_stepped`")
        self.loop = loop
        self.supervisor = Supervisor(
            self._port, lambda event, _: self.events.append(event), self.statuses.append
        )

    def _port(self) -> FakePort:
        self.ports.append(FakePort(self))
        return self.ports[-1]

    def answer(self, data: bytes) -> bytes:
        if self.other_version is not None:
            reply = m.Reply(int(data[1:3], 16), m.OtherVersion(self.other_version, "9.0.0")) if data else None
            return b"" if reply is None else encode_from_board(reply)
        said = self.board.step(data, self.loop.time() - START_S)
        return b"" if self.silent else said

    async def until(self, condition: Callable[[], bool], limit_s: float = 20.0) -> None:
        async with asyncio.timeout(limit_s):
            while not condition():
                await asyncio.sleep(0.005)

    async def in_state(self, state: LinkState, limit_s: float = 20.0) -> LinkStatus:
        await self.until(lambda: self.supervisor.status.state is state, limit_s)
        return self.supervisor.status


@asynccontextmanager
async def desk(**traits: object) -> AsyncIterator[SupervisorBench]:
    place = SupervisorBench()
    for name, value in traits.items():
        setattr(place, name, value)
    task = asyncio.create_task(place.supervisor.run())
    try:
        yield place
    finally:
        task.cancel()
        await asyncio.wait({task})
        assert task.cancelled()


def test_opens_asks_and_leaves_no_pump_on() -> None:
    async def main() -> None:
        async with desk() as place:
            status = await place.in_state(LinkState.OPEN)
            assert status.identity is not None
            assert status.identity.board_id == "foyer-01"
            assert (
                await place.supervisor.link.ask(m.Run(3, m.Direction.FORWARD, 255, 400, 1000, 5000))
                == m.Done()
            )
            assert place.board.running == 3
        assert place.board.running is None
        assert isinstance(place.board.carried_out[-1], m.Stop)
        assert place.ports[-1].protocol is None

    run_stepped(main)


def test_pauses_double_up_to_the_longest_and_start_over_after_a_session() -> None:
    async def main() -> None:
        async with desk(trouble="there is no device /dev/ttyUSB7") as place:
            await place.until(lambda: len(place.opened_s) == 8, 60)
            times = place.opened_s
            pauses = [later - earlier for earlier, later in pairwise(times)]
            assert pauses == pytest.approx([0.25, 0.5, 1, 2, 4, 5, 5], abs=0.02)
            status = place.supervisor.status
            assert (status.state, status.reason) == (LinkState.CONNECTING, "there is no device /dev/ttyUSB7")
            assert len(place.statuses) == 2
            place.trouble = None
            await place.in_state(LinkState.OPEN)
            lost_s = place.loop.time()
            place.ports[-1].abort()
            await place.in_state(LinkState.LOST)
            await place.in_state(LinkState.OPEN)
            assert place.loop.time() - lost_s < 0.5

    run_stepped(main)


def test_a_silent_board_is_lost_and_found_again() -> None:
    async def main() -> None:
        async with desk() as place:
            await place.in_state(LinkState.OPEN)
            place.silent = True
            status = await place.in_state(LinkState.LOST, 0.6)
            assert "nothing heard" in status.reason
            assert isinstance(place.events[-1], s.Closed)
            with pytest.raises(LinkDownError):
                await place.supervisor.link.ask(m.AskState())
            place.silent = False
            await place.in_state(LinkState.OPEN)

    run_stepped(main)


def test_every_question_ends_when_the_link_does() -> None:
    async def main() -> None:
        async with desk() as place:
            await place.in_state(LinkState.OPEN)
            place.board.deaf = True
            asking = [asyncio.create_task(place.supervisor.link.ask(m.AskStats())) for _ in range(3)]
            await asyncio.sleep(0)
            place.ports[-1].abort()
            for result in await asyncio.gather(*asking, return_exceptions=True):
                assert isinstance(result, LinkDownError)

    run_stepped(main)


def test_a_stalled_peer_collects_no_stale_commands_and_is_given_up() -> None:
    async def main() -> None:
        async with desk() as place:
            await place.in_state(LinkState.OPEN)
            place.stalled = True
            for channel in range(1, 9):
                place.supervisor.link.send(m.Stop(channel))
            await place.in_state(LinkState.LOST, 1.0)
            assert len(place.ports[0].held) < 2 * WRITE_HIGH_BYTES
            place.stalled = False
            await place.in_state(LinkState.OPEN)

    run_stepped(main)


def test_a_stop_is_on_the_wire_when_send_returns() -> None:
    async def main() -> None:
        async with desk() as place:
            await place.in_state(LinkState.OPEN)
            place.supervisor.link.send(m.Stop())
            assert b" stop all*" in place.ports[-1].held

    run_stepped(main)


@pytest.mark.parametrize(("version", "side"), [(1, "firmware"), (3, "daemon")])
def test_another_protocol_version_is_named_and_asked_again_slowly(version: int, side: str) -> None:
    async def main() -> None:
        async with desk(other_version=version) as place:
            status = await place.in_state(LinkState.INCOMPATIBLE)
            assert f"update the {side}" in status.reason
            await place.until(lambda: len(place.opened_s) == 2, 60)
            pause_s = place.opened_s[1] - place.opened_s[0]
            assert pause_s == pytest.approx(Pauses().incompatible_s, abs=0.1)
            place.other_version = None
            await place.in_state(LinkState.OPEN, 60)

    run_stepped(main)


def test_a_board_that_never_answers_is_no_other_version() -> None:
    async def main() -> None:
        async with desk(silent=True) as place:
            await place.until(lambda: "did not answer" in place.supervisor.status.reason, 10)
            assert place.supervisor.status.state is LinkState.CONNECTING

    run_stepped(main)


@pytest.mark.parametrize("kind", [s.Opened, s.SampleArrived, s.Answered])
def test_a_listener_that_fails_ends_the_task_with_that_error(kind: type[s.SessionEvent]) -> None:
    async def main() -> None:
        place = SupervisorBench()

        def listen(event: s.SessionEvent, now_s: float) -> None:
            place.events.append(event)
            if isinstance(event, kind | s.Closed):
                raise ZeroDivisionError(type(event).__name__)

        place.supervisor = Supervisor(place._port, listen, place.statuses.append)
        task = asyncio.create_task(place.supervisor.run())
        await place.until(lambda: any(isinstance(event, kind) for event in place.events) or task.done())
        with contextlib.suppress(LinkDownError):
            place.supervisor.link.send(m.Run(3, m.Direction.FORWARD, 255, 400, 1000, 5000))
        await place.until(task.done)
        with pytest.raises(ZeroDivisionError, match=kind.__name__):
            await task
        assert len(place.ports) == 1
        assert place.ports[0].protocol is None

    run_stepped(main)


def test_ending_while_the_board_is_gone_leaves_nothing_behind() -> None:
    async def main() -> None:
        async with desk(trouble="no such device"):
            await asyncio.sleep(0)
        async with desk(silent=True) as place:
            await place.until(lambda: len(place.opened_s) == 1)

    run_stepped(main)
