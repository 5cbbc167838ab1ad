"""One connection to the board: feeds the session, writes its output, and keeps its one timer.

Everything runs in callbacks of the event loop, so a stop is written the moment it is requested.
"""

import asyncio
import logging
from collections.abc import Callable

from tarewell_protocol import messages as m
from tarewell_protocol import session as s

log = logging.getLogger(__name__)

Listener = Callable[[s.SessionEvent, float], None]
"""Takes a session event and the host's monotonic time in s at which it came."""


class LinkDownError(Exception):
    """The board cannot be reached: no session is open, or no answer came."""


class Link(asyncio.Protocol):
    """A session over a transport. `listener` gets every session event; `Closed` is the last one. `on_change`
    gets `Opened` and `Closed` before that.

    `over` is done when the connection is gone and the port is free again; it raises the listener's error
    where that failed on an event.
    """

    def __init__(
        self,
        nonce: int,
        listener: Listener,
        on_change: Callable[[s.Opened | s.Closed], None],
        hang_up: Callable[[], None],
    ) -> None:
        self._nonce = nonce
        self._listener = listener
        self._on_change = on_change
        self._hang_up = hang_up
        self._loop = asyncio.get_running_loop()
        self._transport: asyncio.WriteTransport | None = None
        self._session: s.HostSession | None = None
        self._timer: asyncio.TimerHandle | None = None
        self._paused = False
        self._closed = False
        self._made_s = 0.0
        self._fault: Exception | None = None
        self._asked: dict[int, asyncio.Future[m.ReplyBody]] = {}
        self.has_opened = False
        """The board answered the greeting, and a session was opened."""
        self.turned_away = False
        """The board answered the greeting with another protocol version, so no session could open."""
        self.over: asyncio.Future[None] = self._loop.create_future()

    @property
    def is_open(self) -> bool:
        """Whether requests are accepted."""
        return self._session is not None and not self._closed and self._session.phase is s.Phase.OPEN

    @property
    def is_connected(self) -> bool:
        """Whether a transport is there, so that `over` will be done."""
        return self._transport is not None

    def send(self, command: m.Command) -> int:
        """Ask without waiting; the listener sees `Answered` or `Unanswered` with the ticket returned.

        Raises:
            LinkDownError: the session is not open.
            QueueFullError: too many requests wait already.
        """
        if self._session is None or not self.is_open:
            raise LinkDownError("no session with the board is open; wait for the link")
        ticket = self._session.outbox.ask(command, self._loop.time())
        self._write()
        return ticket

    async def ask(self, command: m.Command) -> m.ReplyBody:
        """Ask and wait for the answer, a refusal included.

        Raises:
            LinkDownError: no session is open, or the board did not answer.
            QueueFullError: too many requests wait already.
        """
        ticket = self.send(command)
        future: asyncio.Future[m.ReplyBody] = self._loop.create_future()
        self._asked[ticket] = future
        try:
            return await future
        finally:
            self._asked.pop(ticket, None)

    def close(self, reason: str) -> None:
        """End the session from this side."""
        self._end(reason)

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """Greet the board."""
        if not isinstance(transport, asyncio.WriteTransport):
            raise TypeError(f"a link writes, so it needs a writing transport, got {transport!r}")
        self._transport = transport
        self._made_s = self._loop.time()
        self._session = s.HostSession(self._nonce, self._made_s)
        self._write()

    def data_received(self, data: bytes) -> None:
        """Take bytes."""
        if self._session is not None and not self._closed:
            now_s = self._loop.time()
            self._deliver(self._session.receive(data, now_s), now_s)

    def pause_writing(self) -> None:
        """The port accepts no more: lines stay in the session, which does not repeat unsent ones."""
        self._paused = True

    def resume_writing(self) -> None:
        """The port accepts bytes again."""
        self._paused = False
        self._write()

    def connection_lost(self, exc: Exception | None) -> None:
        """The port is gone."""
        if exc is not None:
            log.info("the port reported: %s", exc)
        self._end("the connection ended; check the cable and the board's supply")
        self._transport = None
        if self.over.done():
            return
        if self._fault is not None:
            self.over.set_exception(self._fault)
        else:
            self.over.set_result(None)

    def _tick(self) -> None:
        self._timer = None
        if self._session is not None and not self._closed:
            now_s = self._loop.time()
            self._deliver(self._session.tick(now_s), now_s)

    def _deliver(self, events: list[s.SessionEvent], now_s: float) -> None:
        for event in events:
            match event:
                case s.Opened():
                    self.has_opened = True
                case s.Answered(ticket, _, body):
                    self._resolve(ticket, body)
                case s.Unanswered(ticket, command, reason):
                    error = LinkDownError(f"the board did not answer {type(command).__name__}: {reason}")
                    self._resolve(ticket, error)
                case s.Closed(reason):
                    in_time = now_s < self._made_s + s.HELLO_TIMEOUT_S
                    self.turned_away = in_time and not self.has_opened
                    self._end(reason)
                    return
            self._notify(event, now_s)
        self._write()

    def _resolve(self, ticket: int, outcome: m.ReplyBody | LinkDownError) -> None:
        future = self._asked.pop(ticket, None)
        if future is None or future.done():
            return
        if isinstance(outcome, LinkDownError):
            future.set_exception(outcome)
        else:
            future.set_result(outcome)

    def _notify(self, event: s.SessionEvent, now_s: float) -> None:
        try:
            if isinstance(event, s.Opened | s.Closed):
                self._on_change(event)
            self._listener(event, now_s)
        except Exception as error:
            log.critical("the program failed to handle %s from the board", type(event).__name__)
            self._fault = self._fault or error
            self._hang_up()

    def _write(self) -> None:
        """Write the session's output, and arm the one timer for its next wake-up."""
        if self._session is None or self._transport is None or self._closed:
            return
        if not self._paused and (data := self._session.outbox.take_lines()):
            self._transport.write(data)
        if self._timer is not None:
            self._timer.cancel()
        due_s = self._session.wakeup_s()
        self._timer = None if due_s is None else self._loop.call_at(due_s, self._tick)

    def _end(self, reason: str) -> None:
        if self._closed:
            return
        self._closed = True
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None
        for ticket in list(self._asked):
            self._resolve(ticket, LinkDownError(reason))
        self._notify(s.Closed(reason), self._loop.time())
        self._hang_up()
