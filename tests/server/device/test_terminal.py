"""The transport of a serial port, over real pseudo-terminals."""

import asyncio
import fcntl
import os
import resource
import termios
import tty
from collections.abc import Iterator
from contextlib import suppress
from typing import Any

import pytest
import serial

from tarewell.device.port import WRITE_HIGH_BYTES, PortError
from tarewell.device.serial_port import SerialPort
from tarewell.device.terminal import TerminalTransport


class Pty:
    """The board's end of a pseudo-terminal."""

    def __init__(self) -> None:
        self.master, self._slave = os.openpty()
        tty.setraw(self._slave)
        os.set_blocking(self.master, False)
        self.path = os.ttyname(self._slave)

    def read(self) -> bytes:
        """What has come by now."""
        with suppress(BlockingIOError):
            return os.read(self.master, 65536)
        return b""

    def unplug(self) -> None:
        for end in (self.master, self._slave):
            with suppress(OSError):
                os.close(end)


@pytest.fixture
def pty() -> Iterator[Pty]:
    pty = Pty()
    yield pty
    pty.unplug()


class Heard(asyncio.Protocol):
    """Notes what the transport tells; aborts the port when the connection is lost, as a link does."""

    def __init__(self, port: SerialPort) -> None:
        self.port = port
        self.told: list[str] = []
        self.data = b""
        self.ends: list[Exception | None] = []
        self.changed = asyncio.Event()

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        assert isinstance(transport, TerminalTransport)
        self.transport = transport

    def data_received(self, data: bytes) -> None:
        self.data += data
        self.changed.set()

    def pause_writing(self) -> None:
        self.told.append("pause")

    def resume_writing(self) -> None:
        self.told.append("resume")

    def connection_lost(self, exc: Exception | None) -> None:
        self.ends.append(exc)
        self.port.abort()
        self.changed.set()

    async def change(self) -> None:
        async with asyncio.timeout(3):
            await self.changed.wait()
        self.changed.clear()


async def opened(pty: Pty, make: Any = serial.Serial) -> Heard:
    port = SerialPort(pty.path, 115200, make)
    heard = Heard(port)
    await port.open(heard)
    return heard


async def ended(heard: Heard) -> Exception | None:
    """How the connection ended; a second end would come within the turns after it."""
    while not heard.ends:
        await heard.change()
    for _ in range(5):
        await asyncio.sleep(0)
    (end,) = heard.ends
    return end


async def test_a_write_has_left_when_it_returns(pty: Pty) -> None:
    heard = await opened(pty)
    heard.transport.write(b"@X 1\n")
    assert pty.read() == b"@X 1\n"  # without a turn of the loop
    heard.port.abort()
    assert await ended(heard) is None


async def test_bytes_come_in(pty: Pty) -> None:
    heard = await opened(pty)
    os.write(pty.master, b"!up\n")
    await heard.change()
    assert heard.data == b"!up\n"
    heard.port.abort()
    await ended(heard)


async def test_a_peer_that_reads_late_gets_everything_in_order(pty: Pty) -> None:
    heard = await opened(pty)
    sent = b"".join(b"%06d\n" % number for number in range(10_000))
    heard.transport.write(sent[:7])
    heard.transport.write(sent[7:])
    heard.transport.write(b"the end\n")
    assert heard.told == ["pause"]
    assert heard.transport.get_write_buffer_size() > WRITE_HIGH_BYTES
    got = b""
    async with asyncio.timeout(10):
        while not got.endswith(b"the end\n"):
            got += pty.read()
            await asyncio.sleep(0)
    assert got == sent + b"the end\n"
    assert heard.told == ["pause", "resume"]
    heard.port.abort()
    await ended(heard)


async def test_an_abort_drops_what_is_unwritten_and_frees_the_port(pty: Pty) -> None:
    heard = await opened(pty)
    heard.transport.write(b"x" * 200_000)
    heard.port.abort()
    heard.transport.write(b"nothing after the end")
    assert await ended(heard) is None
    assert heard.transport.get_write_buffer_size() == 0
    again = await opened(pty)
    again.port.abort()
    await ended(again)


async def test_a_close_writes_the_rest_first(pty: Pty) -> None:
    heard = await opened(pty)
    heard.transport.write(b"x" * 20_000)
    heard.transport.close()
    got = b""
    async with asyncio.timeout(10):
        while len(got) < 20_000:
            got += pty.read()
            await asyncio.sleep(0)
    assert await ended(heard) is None
    assert got == b"x" * 20_000


async def test_unplugged_in_the_middle_of_a_write(pty: Pty) -> None:
    heard = await opened(pty)
    heard.transport.write(b"x" * 200_000)
    pty.unplug()
    heard.transport.write(b"y")
    assert isinstance(await ended(heard), OSError | EOFError)


async def test_unplugged_before_a_write(pty: Pty) -> None:
    heard = await opened(pty)
    pty.unplug()
    heard.transport.write(b"x")
    assert not heard.ends  # never from within a call
    assert isinstance(await ended(heard), OSError)


async def test_unplugged_before_an_abort(pty: Pty) -> None:
    heard = await opened(pty)
    pty.unplug()
    heard.port.abort()  # the flush raises termios.error
    heard.port.abort()
    assert await ended(heard) is None


async def test_a_read_that_fails_or_finds_the_end(pty: Pty, monkeypatch: pytest.MonkeyPatch) -> None:
    for read, kind in ((_no_such_device, OSError), (lambda *_: b"", EOFError)):
        heard = await opened(pty)
        with monkeypatch.context() as patch:
            patch.setattr("tarewell.device.terminal.os.read", read)
            os.write(pty.master, b"!up\n")
            assert isinstance(await ended(heard), kind)


def _no_such_device(*_: object) -> bytes:
    raise OSError(19, "No such device")


class HighDescriptor(serial.Serial):
    """A port opened while a thousand connections are open."""

    def open(self) -> None:
        super().open()
        low, self.fd = self.fd, fcntl.fcntl(self.fd, fcntl.F_DUPFD, 1100)
        os.close(low)


async def test_a_descriptor_above_1023(pty: Pty) -> None:
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    if hard != resource.RLIM_INFINITY and hard < 1200:
        pytest.skip("this process may not open so many files")
    resource.setrlimit(resource.RLIMIT_NOFILE, (max(soft, 1200), hard))
    try:
        heard = await opened(pty, HighDescriptor)
        os.write(pty.master, b"!up\n")
        await heard.change()
        assert (heard.data, heard.ends) == (b"!up\n", [])
        heard.port.abort()
        await ended(heard)
    finally:
        resource.setrlimit(resource.RLIMIT_NOFILE, (soft, hard))


class GoneWhileOpening(serial.Serial):
    """Its settings cannot be written: pyserial lets `termios.error` through."""

    def _reconfigure_port(self, force_update: bool = False) -> None:
        raise termios.error(5, "Input/output error")


class GoneOnceOpen(serial.Serial):
    """Its settings can be written once."""

    def _reconfigure_port(self, force_update: bool = False) -> None:
        if self.is_open:
            raise termios.error(6, "No such device or address")
        super()._reconfigure_port(force_update)  # type: ignore[misc]


async def test_a_port_that_ends_while_it_is_opened(pty: Pty) -> None:
    with pytest.raises(PortError, match=r"ended while it was being set up .*; plug the board in again"):
        await opened(pty, GoneWhileOpening)
    with pytest.raises(PortError, match=r"there is no device .*; plug the board in"):
        await opened(pty, GoneOnceOpen)
    heard = await opened(pty)  # neither left the port locked
    heard.port.abort()
    await ended(heard)


async def test_a_device_that_is_no_terminal() -> None:
    with pytest.raises(PortError, match=r"/dev/null cannot be used as a serial port .*; correct the setting"):
        await SerialPort("/dev/null", 115200).open(asyncio.Protocol())
