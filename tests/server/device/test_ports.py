"""Real ports: pseudo-terminals and TCP, with a board double at the other end."""

import asyncio
import os
import tty
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, closing
from pathlib import Path
from socket import create_server

import pytest

from board_double import BoardDouble
from tarewell.device.link import Link
from tarewell.device.port import Port, PortError, split_tcp
from tarewell.device.serial_port import SerialPort
from tarewell.device.supervisor import port_for
from tarewell.device.tcp_port import TcpPort
from tarewell_protocol import messages as m
from tarewell_protocol import session as s


class Terminal:
    """A pseudo-terminal; with `board` something answers at its master end."""

    def __init__(self, board: BoardDouble | None) -> None:
        self.master, self.slave = os.openpty()
        tty.setraw(self.slave)
        self.path = os.ttyname(self.slave)
        self._board = board
        self._loop = asyncio.get_running_loop()
        self._start_s = self._loop.time()
        self._timer: asyncio.TimerHandle | None = None
        if board is not None:
            os.set_blocking(self.master, False)
            self._step()

    def _step(self) -> None:
        if self._board is not None and self.master >= 0:
            try:
                data = os.read(self.master, 4096)
            except BlockingIOError:
                data = b""
            if out := self._board.step(data, self._loop.time() - self._start_s):
                os.write(self.master, out)
            self._timer = self._loop.call_later(0.002, self._step)

    def close(self) -> None:
        """Act unplugged."""
        if self._timer is not None:
            self._timer.cancel()
        if self.master >= 0:
            os.close(self.master)
            os.close(self.slave)
        self.master = -1


class LinkUnderTest:
    """A link over a port, and what came of it."""

    def __init__(self, port: Port) -> None:
        self.port = port
        self.events: asyncio.Queue[s.SessionEvent] = asyncio.Queue()
        self.link = Link(0xA3F2, lambda event, _: self.events.put_nowait(event), lambda _: None, port.abort)

    async def opened(self) -> m.Identity:
        await self.port.open(self.link)
        event = await self.until(s.Opened)
        assert isinstance(event, s.Opened)
        return event.identity

    async def until(self, kind: type[s.SessionEvent]) -> s.SessionEvent:
        async with asyncio.timeout(3):
            while not isinstance(event := await self.events.get(), kind):
                pass
            return event

    async def over(self) -> None:
        self.link.close("the test is over")
        async with asyncio.timeout(1):
            await self.link.over


@asynccontextmanager
async def tcp_board() -> AsyncIterator[int]:
    served: list[asyncio.Task[None] | None] = []

    async def serve(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        served.append(asyncio.current_task())
        board, loop = BoardDouble(), asyncio.get_running_loop()
        start_s = loop.time()
        while True:
            try:
                data = await asyncio.wait_for(reader.read(4096), 0.005)
            except TimeoutError:
                data = b""
            else:
                if not data:
                    break
            writer.write(board.step(data, loop.time() - start_s))
        writer.close()
        await writer.wait_closed()

    server = await asyncio.start_server(serve, "127.0.0.1", 0)
    async with server:
        yield server.sockets[0].getsockname()[1]
        await asyncio.gather(*filter(None, served))


async def test_a_session_over_a_serial_port() -> None:
    with closing(Terminal(BoardDouble())) as terminal:
        talk = LinkUnderTest(SerialPort(terminal.path, 115200))
        assert (await talk.opened()).board_id == "foyer-01"
        assert isinstance(await talk.link.ask(m.Keep(0, 400)), m.Done)
        await talk.over()


async def test_a_serial_port_is_free_again_after_the_end() -> None:
    with closing(Terminal(BoardDouble())) as terminal:
        for _ in range(2):
            talk = LinkUnderTest(SerialPort(terminal.path, 115200))
            await talk.opened()
            await talk.over()


async def test_an_unplugged_serial_port_ends_the_link() -> None:
    with closing(Terminal(BoardDouble())) as terminal:
        talk = LinkUnderTest(SerialPort(terminal.path, 115200))
        await talk.opened()
        terminal.close()
        await talk.until(s.Closed)
        async with asyncio.timeout(1):
            await talk.link.over


async def test_a_stalled_peer_does_not_hold_up_the_end() -> None:
    with closing(Terminal(None)) as terminal:
        talk = LinkUnderTest(SerialPort(terminal.path, 115200))
        await talk.port.open(talk.link)
        transport = talk.link._transport
        assert transport is not None
        transport.write(b"x" * 200_000)
        for _ in range(5):
            await asyncio.sleep(0)
        assert transport.get_write_buffer_size() > 0
        await talk.over()


async def test_a_serial_port_in_use() -> None:
    with closing(Terminal(BoardDouble())) as terminal:
        talk = LinkUnderTest(SerialPort(terminal.path, 115200))
        await talk.opened()
        with pytest.raises(PortError, match="in use by another program"):
            await SerialPort(terminal.path, 115200).open(asyncio.Protocol())
        await talk.over()


async def test_no_such_device_and_no_serial_port(tmp_path: Path) -> None:
    with pytest.raises(PortError, match=r"no device .*nothing-here; plug the board in"):
        await SerialPort(str(tmp_path / "nothing-here"), 115200).open(asyncio.Protocol())
    file = tmp_path / "file"
    file.write_text("no port")
    with pytest.raises(PortError, match="cannot be used as a serial port"):
        await SerialPort(str(file), 115200).open(asyncio.Protocol())


async def test_a_session_over_tcp() -> None:
    async with tcp_board() as number:
        talk = LinkUnderTest(TcpPort("127.0.0.1", number))
        assert (await talk.opened()).channels == 8
        await talk.over()


async def test_nobody_listens_over_tcp() -> None:
    with create_server(("127.0.0.1", 0)) as listening:
        number = listening.getsockname()[1]
    with pytest.raises(PortError, match="nobody listens at tcp://"):
        await TcpPort("127.0.0.1", number).open(asyncio.Protocol())


def test_which_port_a_setting_names() -> None:
    assert split_tcp("tcp://bar.local:7000") == ("bar.local", 7000)
    assert split_tcp("tcp://[::1]:7000") == ("::1", 7000)
    assert isinstance(port_for("/dev/ttyUSB0", 115200), SerialPort)
    assert isinstance(port_for("tcp://127.0.0.1:7000", 115200), TcpPort)
    for wrong in ("socket://a:1", "tcp://a", "tcp://:1", "tcp://a:99999", "tcp://a:1/x"):
        with pytest.raises(ValueError, match="tcp://host:port"):
            split_tcp(wrong)
