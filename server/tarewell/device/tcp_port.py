"""A board behind a TCP address: the same bytes as on a serial line."""

import asyncio
import socket

from .port import OPEN_TIMEOUT_S, WRITE_HIGH_BYTES, PortError


class TcpPort:
    """A TCP connection to a board, or to the simulator."""

    def __init__(self, host: str, port: int) -> None:
        self._host = host
        self._port = port
        self._transport: asyncio.WriteTransport | None = None

    async def open(self, protocol: asyncio.Protocol) -> None:
        """Connect.

        Raises:
            PortError: no such host, nobody listens there, or no answer in time.
        """
        where = f"tcp://{self._host}:{self._port}"
        loop = asyncio.get_running_loop()
        try:
            async with asyncio.timeout(OPEN_TIMEOUT_S):
                transport, _ = await loop.create_connection(lambda: protocol, self._host, self._port)
        except TimeoutError as error:
            raise PortError(
                f"{where} does not answer within {OPEN_TIMEOUT_S:g} s; check the address and the network"
            ) from error
        except ConnectionRefusedError as error:
            raise PortError(
                f"nobody listens at {where}; start the board's bridge or the simulator there, "
                "or correct the setting `device`"
            ) from error
        except OSError as error:
            raise PortError(
                f"{where} cannot be reached ({error.strerror or error}); correct the setting `device`"
            ) from error
        transport.set_write_buffer_limits(high=WRITE_HIGH_BYTES)
        if (sock := transport.get_extra_info("socket")) is not None:
            sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        self._transport = transport

    def abort(self) -> None:
        """End the connection at once."""
        if self._transport is not None:
            self._transport.abort()
