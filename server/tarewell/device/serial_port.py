"""A serial port on the event loop. The only file that knows the serial libraries."""

import asyncio
import errno
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import serial
import serial_asyncio
from serial.tools.list_ports import comports

from .port import OPEN_TIMEOUT_S, WRITE_HIGH_BYTES, PortError


class _Announcing(asyncio.Protocol):
    """Tells when the connection is made, and is otherwise the protocol that it stands before."""

    def __init__(self, inner: asyncio.Protocol) -> None:
        self._inner = inner
        self.made = asyncio.get_running_loop().create_future()
        self.data_received = inner.data_received  # type: ignore[method-assign]
        self.pause_writing = inner.pause_writing  # type: ignore[method-assign]
        self.resume_writing = inner.resume_writing  # type: ignore[method-assign]
        self.connection_lost = inner.connection_lost  # type: ignore[method-assign]

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        if isinstance(transport, asyncio.WriteTransport):
            transport.set_write_buffer_limits(high=WRITE_HIGH_BYTES)
        self._inner.connection_made(transport)
        if not self.made.done():
            self.made.set_result(None)


class SerialPort:
    """A serial device, opened for this process alone."""

    def __init__(self, path: str, baud: int, make: Callable[[], serial.Serial] = serial.Serial) -> None:
        self._path = path
        self._baud = baud
        self._make = make
        self._transport: serial_asyncio.SerialTransport | None = None

    async def open(self, protocol: asyncio.Protocol) -> None:
        """Open the device and attach it to the loop; opening resets some boards.

        Raises:
            PortError: no such device, no permission, in use, no serial port, or it does not open in time.
        """
        device = await self._open_device()
        announcing = _Announcing(protocol)
        loop = asyncio.get_running_loop()
        self._transport, _ = await serial_asyncio.connection_for_serial(loop, lambda: announcing, device)
        await announcing.made

    async def _open_device(self) -> serial.Serial:
        device = self._make()
        device.port, device.baudrate, device.exclusive = self._path, self._baud, True
        opening = asyncio.get_running_loop().run_in_executor(None, device.open)
        try:
            done, _ = await asyncio.wait({opening}, timeout=OPEN_TIMEOUT_S)
        except asyncio.CancelledError:
            opening.add_done_callback(lambda late: _close_late(late, device))
            raise
        if not done:
            opening.add_done_callback(lambda late: _close_late(late, device))
            raise PortError(
                f"{self._path} does not open within {OPEN_TIMEOUT_S:g} s; unplug the board, then plug it in"
            )
        try:
            opening.result()
        except (serial.SerialException, OSError, ValueError) as error:
            raise PortError(_explain(self._path, error)) from error
        return device

    def abort(self) -> None:
        """End the connection once; what is unwritten is dropped first, or closing would wait for it."""
        transport, self._transport = self._transport, None
        if transport is None:
            return
        if transport.is_closing() and not transport.get_write_buffer_size():
            return  # its end is on the way
        with suppress(serial.SerialException, OSError):
            transport.serial.reset_output_buffer()
        transport.abort()


def _close_late(opening: "asyncio.Future[None]", device: serial.Serial) -> None:
    """A port that opens after nobody waits for it any more must not stay locked."""
    if not opening.cancelled() and opening.exception() is None:
        device.close()


def _explain(path: str, error: Exception) -> str:
    match getattr(error, "errno", None):
        case errno.ENOENT | errno.ENODEV | errno.ENXIO:
            present = ", ".join(sorted(port.device for port in comports())) or "none"
            return (
                f"there is no device {path}; plug the board in or correct the setting `device` "
                f"(serial ports present: {present})"
            )
        case errno.EACCES | errno.EPERM:
            return f"{path} may not be opened; add the daemon's user to {_group(path)} and log in again"
        case errno.EAGAIN | errno.EBUSY:
            return f"{path} is in use by another program; end that program"
    return f"{path} cannot be used as a serial port ({error}); correct the setting `device`"


def _group(path: str) -> str:
    try:
        return f"the group {Path(path).group()!r}"
    except (OSError, KeyError):
        return "the group that owns the device"
