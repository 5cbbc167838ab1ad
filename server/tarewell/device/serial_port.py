"""A serial port: opened without blocking the event loop, then served by a transport."""

import asyncio
import errno
from collections.abc import Callable
from pathlib import Path

import serial
from serial.tools.list_ports import comports

from .port import OPEN_TIMEOUT_S, PortError
from .terminal import PORT_ERRORS, TerminalTransport


class SerialPort:
    """A serial device, opened exclusively."""

    def __init__(self, path: str, baud: int, make: Callable[[], serial.Serial] = serial.Serial) -> None:
        self._path = path
        self._baud = baud
        self._make = make
        self._transport: TerminalTransport | None = None

    async def open(self, protocol: asyncio.Protocol) -> None:
        """Open the device and attach it to the loop; opening resets some boards.

        Raises:
            PortError: no such device, no permission, in use, no serial port, gone again, or it does not open
                in time.
        """
        device = await self._open_device()
        try:
            self._transport = TerminalTransport(asyncio.get_running_loop(), protocol, device)
        except PORT_ERRORS as error:
            device.close()
            raise PortError(_explain(self._path, error)) from error
        await asyncio.sleep(0)  # the turn in which `connection_made` is called

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
        except (*PORT_ERRORS, ValueError) as error:
            raise PortError(_explain(self._path, error)) from error
        return device

    def abort(self) -> None:
        """End the connection; what is unwritten is dropped."""
        if self._transport is not None:
            self._transport.abort()


def _close_late(opening: "asyncio.Future[None]", device: serial.Serial) -> None:
    """Close a port that opens after the timeout, or it would stay locked."""
    if not opening.cancelled() and opening.exception() is None:
        device.close()


def _explain(path: str, error: Exception) -> str:
    number = error.errno if isinstance(error, OSError) else error.args[0]  # `termios.error` has no errno
    match number:
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
        case errno.EIO:
            return (
                f"{path} ended while it was being set up ({error}); plug the board in again, "
                "or correct the setting `device`"
            )
    return f"{path} cannot be used as a serial port ({error}); correct the setting `device`"


def _group(path: str) -> str:
    try:
        return f"the group {Path(path).group()!r}"
    except (OSError, KeyError):
        return "the group that owns the device"
