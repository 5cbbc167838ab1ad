"""The bytes of a serial port on the event loop (docs/decisions/0005).

pyserial-asyncio provides the registration with the loop, the buffer and its high-water mark. Changed here:

* output, written when it is asked for and not in the loop's next turn: a stop has left when `write` returns;
* input takes one `read` for each readable event: pyserial calls `select` first, which fails for descriptors
  above 1023, and a daemon with many open event streams has those;
* whatever a dying port raises becomes one `connection_lost`, and nothing waits for the port to drain.
"""

import asyncio
import os
import termios
from contextlib import suppress

import serial
import serial_asyncio

from .port import WRITE_HIGH_BYTES

READ_BYTES = 4096

PORT_ERRORS = (OSError, termios.error)
"""What a dying port raises: `serial.SerialException` is an OSError, `termios.error` is not."""


class TerminalTransport(serial_asyncio.SerialTransport):  # type: ignore[misc]  # the library has no types
    """Carries the bytes of an opened serial port or pseudo-terminal; owns `device` from now on.

    `connection_made` is called in the loop's next turn.

    Raises:
        OSError: the port is gone already, and `device` is still open.
        termios.error: the same.
    """

    def __init__(
        self, loop: asyncio.AbstractEventLoop, protocol: asyncio.Protocol, device: serial.Serial
    ) -> None:
        super().__init__(loop, protocol, device)
        self._ended = False
        self.set_write_buffer_limits(high=WRITE_HIGH_BYTES)

    def write(self, data: bytes) -> None:
        """Write now, and buffer what the port does not accept."""
        if self._closing:
            return
        if not self._write_buffer:
            data = data[self._put(data) :]
        if data:
            self._write_buffer.append(data)
            self._ensure_writer()
            self._maybe_pause_protocol()

    def _read_ready(self) -> None:
        try:
            data = os.read(self._serial.fileno(), READ_BYTES)
        except (BlockingIOError, InterruptedError):
            return
        except OSError as error:
            self._abort(error)
            return
        if data:
            self._protocol.data_received(data)
        else:
            self._abort(EOFError("end of file; the device was unplugged, or another program reads it"))

    def _write_ready(self) -> None:
        data = b"".join(self._write_buffer)
        self._write_buffer.clear()
        if rest := data[self._put(data) :]:
            self._write_buffer.append(rest)
        else:
            self._remove_writer()
        self._maybe_resume_protocol()
        if self._closing and not self._write_buffer:
            self._close()

    def _put(self, data: bytes) -> int:
        """The number of bytes written, or given up."""
        try:
            return os.write(self._serial.fileno(), data)
        except (BlockingIOError, InterruptedError):
            return 0
        except OSError as error:
            self._abort(error)
            return len(data)

    def _abort(self, exc: Exception | None) -> None:
        if self._ended:
            return
        with suppress(*PORT_ERRORS):
            self._serial.reset_output_buffer()  # or closing the port waits for what it has not sent
        super()._abort(exc)

    def _call_connection_lost(self, exc: Exception | None) -> None:
        if self._ended:
            return
        self._ended = True
        self._write_buffer.clear()
        with suppress(OSError):
            self._serial.close()
        self._protocol.connection_lost(exc)
