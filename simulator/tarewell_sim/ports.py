"""The host's access to the simulated board: a pseudo-terminal or a TCP port."""

import asyncio
import errno
import os
import tty
from contextlib import suppress
from pathlib import Path
from typing import Protocol

_BACKLOG_BYTES = 4096
"""Bytes buffered for a host that does not read; more are dropped, as on a serial line."""


class SimulatedPortError(OSError):
    """A port that is not available; the message says what to do."""


def listen_failed(host: str, port: int, error: OSError) -> SimulatedPortError:
    """The error for an address that cannot be listened on."""
    if error.errno == errno.EADDRINUSE:
        return SimulatedPortError(
            f"{host}:{port} is in use; end the other program or use another port (0: any free)"
        )
    return SimulatedPortError(
        f"cannot listen on {host}:{port}: {error.strerror or error}; choose another address"
    )


class SimulatedPort(Protocol):
    """One end of the line to the host."""

    @property
    def device(self) -> str:
        """The device or address for the host."""

    async def plug(self) -> None:
        """Make the port appear.

        Raises:
            SimulatedPortError: it is not available.
        """

    def unplug(self) -> None:
        """Remove the port; a host that has it open sees a hang-up."""

    def receive(self) -> bytes:
        """What the host has written since the last call."""

    def send(self, data: bytes) -> None:
        """Send bytes to the host; dropped when nobody listens or reads."""


class PtyPort:
    """A pseudo-terminal, optionally under a stable name.

    The terminal is raw, so that it echoes nothing, and the simulator keeps the host's end open too, so that
    hosts may come and go. Unplugging closes both ends; plugged in again, the device may have another name,
    hence the link.
    """

    def __init__(self, link: Path | None = None) -> None:
        self._link = link
        self._master = self._slave = -1
        self._received = bytearray()
        self.device = ""

    async def plug(self) -> None:
        """Open a new terminal and point the link at it."""
        self._master, self._slave = os.openpty()
        tty.setraw(self._slave)
        os.set_blocking(self._master, False)
        self.device = os.ttyname(self._slave)
        if self._link:
            if self._link.exists() and not self._link.is_symlink():
                raise SimulatedPortError(
                    f"{self._link} exists and is not a link; remove it or choose another name"
                )
            self._link.unlink(missing_ok=True)
            self._link.symlink_to(self.device)
            self.device = str(self._link)
        asyncio.get_running_loop().add_reader(self._master, self._readable)

    def unplug(self) -> None:
        """Close the terminal and remove the link."""
        if self._master < 0:
            return
        asyncio.get_running_loop().remove_reader(self._master)
        os.close(self._master)
        os.close(self._slave)
        self._master = self._slave = -1
        if self._link and self._link.is_symlink():
            self._link.unlink()

    def receive(self) -> bytes:
        """What the host has written since the last call."""
        data = bytes(self._received)
        self._received.clear()
        return data

    def send(self, data: bytes) -> None:
        """Write as much as the terminal accepts."""
        if self._master >= 0:
            with suppress(BlockingIOError):
                os.write(self._master, data)

    def _readable(self) -> None:
        with suppress(BlockingIOError):
            self._received += os.read(self._master, 4096)


class SimulatedTcpPort:
    """A TCP port for one host at a time; a second one is refused."""

    def __init__(self, host: str, port: int) -> None:
        self._host, self._port = host, port
        self._server: asyncio.Server | None = None
        self._transport: asyncio.Transport | None = None
        self._received = bytearray()

    @property
    def device(self) -> str:
        """The address as tcp://HOST:PORT."""
        return f"tcp://{self._host}:{self._port}"

    async def plug(self) -> None:
        """Listen; port 0 picks a free one and keeps it."""
        loop = asyncio.get_running_loop()
        try:
            self._server = await loop.create_server(lambda: _Connection(self), self._host, self._port)
        except OSError as error:
            raise listen_failed(self._host, self._port, error) from error
        self._port = self._server.sockets[0].getsockname()[1]

    def unplug(self) -> None:
        """Stop listening and close the connection."""
        if self._server:
            self._server.close()
        if self._transport:
            self._transport.abort()
        self._server = self._transport = None

    def receive(self) -> bytes:
        """What the host has written since the last call."""
        data = bytes(self._received)
        self._received.clear()
        return data

    def send(self, data: bytes) -> None:
        """Write unless the host has stopped reading."""
        if self._transport and self._transport.get_write_buffer_size() < _BACKLOG_BYTES:
            self._transport.write(data)

    def accept(self, transport: asyncio.Transport) -> bool:
        """Accept a host if none is connected."""
        if self._transport:
            return False
        self._transport = transport
        return True

    def received(self, data: bytes) -> None:
        """Buffer the host's bytes."""
        self._received += data

    def disconnected(self, transport: asyncio.BaseTransport | None) -> None:
        """The host has disconnected."""
        if transport is self._transport:
            self._transport = None


class _Connection(asyncio.Protocol):
    def __init__(self, port: SimulatedTcpPort) -> None:
        self._port = port
        self._transport: asyncio.Transport | None = None

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        if isinstance(transport, asyncio.Transport):
            if self._port.accept(transport):
                self._transport = transport
            else:
                transport.abort()

    def data_received(self, data: bytes) -> None:
        if self._transport:
            self._port.received(data)

    def connection_lost(self, exc: Exception | None) -> None:
        if self._transport:
            self._port.disconnected(self._transport)
