"""The HTTP server of the front, with limits against floods of connections."""

import asyncio
import signal
import socket
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import uvicorn
from fastapi import FastAPI
from uvicorn.protocols.http.h11_impl import H11Protocol

GRACEFUL_S = 3
"""Timeout for open requests when the front is asked to end."""

MAX_CONNECTIONS = 512
MAX_TURNED_AWAY = 256
"""Up to this many more connections get a 503; beyond that, a connection is simply aborted."""

HEADERS_WITHIN_S, TURNED_AWAY_WITHIN_S = 10.0, 1.0
"""Timeouts for a connection to send a complete request head."""

_FULL = (
    b"HTTP/1.1 503 Service Unavailable\r\n"
    b"content-type: application/problem+json\r\n"
    b"retry-after: 5\r\n"
    b"connection: close\r\n\r\n"
    b'{"type":"/problems/too-many","title":"Too many at once","status":503,'
    b'"detail":"too many connections are open; close some, or try again in 5 s"}'
)


class LimitedProtocol(H11Protocol):
    """Refuses connections beyond the limit, and ends one that is slow to send its request head."""

    _head_due: asyncio.TimerHandle | None = None
    _turned_away = False

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Accept a connection, or refuse it."""
        super().connection_made(transport)
        open_ = len(self.connections)
        if open_ > MAX_CONNECTIONS + MAX_TURNED_AWAY:
            transport.abort()
            return
        self._turned_away = open_ > MAX_CONNECTIONS
        within_s = TURNED_AWAY_WITHIN_S if self._turned_away else HEADERS_WITHIN_S
        self._head_due = self.loop.call_later(within_s, transport.abort)

    def connection_lost(self, exc: Exception | None) -> None:
        """The connection is gone."""
        self._unset_head_due()
        super().connection_lost(exc)

    def handle_events(self) -> None:
        """Bytes of a request have come."""
        if self.transport.is_closing():
            return
        if self._turned_away:  # now that it has asked: what is unread would end the answer with a reset
            self.transport.write(_FULL)
            self.transport.close()
            return
        cycle = self.cycle
        super().handle_events()
        if self.cycle is not cycle:  # a complete head has arrived
            self._unset_head_due()
        elif self._head_due is None and (cycle is None or cycle.response_complete):
            self._head_due = self.loop.call_later(HEADERS_WITHIN_S, self.transport.abort)

    def _unset_head_due(self) -> None:
        if self._head_due is not None:
            self._head_due.cancel()
            self._head_due = None


class Server(uvicorn.Server):
    """Uvicorn, with the signals left to the front's own main task. `ready` is called once it serves."""

    def __init__(self, app: FastAPI, ready: Callable[[], None]) -> None:
        http: type[asyncio.Protocol] = LimitedProtocol
        super().__init__(
            uvicorn.Config(
                app,
                http=http,
                lifespan="off",
                log_config=None,
                access_log=False,
                timeout_graceful_shutdown=GRACEFUL_S,
            )
        )
        self._ready = ready

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Leave the signals alone."""
        yield

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Start, then call `ready`."""
        await super().startup(sockets)
        if self.started:
            self._ready()


def call_on_signals(call: Callable[[], Any]) -> None:
    """Register a callback for when the process is asked to end."""
    loop = asyncio.get_running_loop()
    for number in (signal.SIGINT, signal.SIGTERM):
        loop.add_signal_handler(number, call)
