"""A front's socket: requests in; answers, state and events out. None of it can block the machine.

While a front does not read, states and readings are dropped, and the newest state is sent once it reads
again. Answers and durable events queue up to a limit, beyond which the front is disconnected.
"""

import asyncio
import logging
from collections.abc import Callable
from typing import Any

from tarewell.exchange.live import LiveEvent
from tarewell.exchange.refusals import dump_refusal
from tarewell.exchange.wire import WireError, line_of, load_request, messages_in
from tarewell.machine.requests import NotAnsweredError
from tarewell.typed_json import dump
from tarewell_protocol.messages import Button, Knob

from .interpreter import Interpreter

log = logging.getLogger(__name__)

STATE_S = 0.25
"""The state is sent at least this often, so that a front knows that the machine is alive."""

MAX_OPEN = 32
"""With more requests under way than this, reading from the front pauses."""

SLOW_BYTES, MAX_UNREAD_BYTES = 1 << 18, 1 << 23


class FrontConnection(asyncio.Protocol):
    """One front. `over` is done when it is gone; `on_ready` is called once it serves."""

    def __init__(self, machine: Interpreter, on_ready: Callable[[], None]) -> None:
        self._machine = machine
        self._on_ready = on_ready
        self._loop = asyncio.get_running_loop()
        self._transport: asyncio.Transport | None = None
        self._unread = b""
        self._open: set[asyncio.Task[None]] = set()
        self._state_due: asyncio.TimerHandle | None = None
        self._is_slow = False
        self._leave_feed: Callable[[], None] = lambda: None
        self.heard_s = self._loop.time()
        """When the front last sent anything."""
        self.over: asyncio.Future[None] = self._loop.create_future()

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """A front has connected: send it the machine's state."""
        if not isinstance(transport, asyncio.Transport):
            raise TypeError(f"a front is read and written, got {transport!r}")
        transport.set_write_buffer_limits(high=SLOW_BYTES)
        self._transport = transport
        self._machine.listen_to_controls(self._send_controls)
        self._leave_feed = self._machine.feed.listen(self._publish)
        self._send_state()

    def data_received(self, data: bytes) -> None:
        """Take requests."""
        self.heard_s = self._loop.time()
        try:
            messages, self._unread = messages_in(self._unread + data)
            for message in messages:
                self._take(message)
        except WireError as error:
            self._cut_off(str(error))

    def pause_writing(self) -> None:
        """The front does not read."""
        self._is_slow = True

    def resume_writing(self) -> None:
        """It reads again: the newest state replaces those that were dropped."""
        self._is_slow = False
        self._send_state()

    def connection_lost(self, exc: Exception | None) -> None:
        """The front is gone; its requests run to their end."""
        self._transport = None
        self._machine.listen_to_controls(None)
        self._leave_feed()
        if self._state_due is not None:
            self._state_due.cancel()
        if not self.over.done():
            self.over.set_result(None)

    def close(self) -> None:
        """End the connection once the queued bytes are sent."""
        if self._transport is not None:
            self._transport.close()

    def _take(self, message: dict[str, Any]) -> None:
        if message.get("ready"):
            self._on_ready()
        if "ask" not in message:
            return
        task = self._loop.create_task(self._answer(message), name="request of the front")
        self._open.add(task)
        task.add_done_callback(self._answered)
        if len(self._open) >= MAX_OPEN and self._transport is not None:
            self._transport.pause_reading()

    def _answered(self, task: "asyncio.Task[None]") -> None:
        self._open.discard(task)
        if len(self._open) < MAX_OPEN and self._transport is not None:
            self._transport.resume_reading()

    async def _answer(self, message: dict[str, Any]) -> None:
        number = message.get("id")
        try:
            request, until_s = load_request(message), float(message["until_s"])
            if self._loop.time() > until_s:
                raise NotAnsweredError("the machine was too busy to begin; nothing was done, ask again")
            answer = {"id": number, "result": dump(await self._machine.ask(request, until_s))}
        except Exception as error:
            refusal = dump_refusal(error)
            if refusal["kind"] == "MachineFaultError":
                log.exception("a request of the front failed")
            answer = {"id": number, "refused": refusal}
        self._send_state()
        self._write(answer)

    def _publish(self, event: LiveEvent) -> None:
        if event.seq is None and self._is_slow:
            return
        self._send_state()
        self._write({"event": [event.kind, event.body, event.seq]})

    def _send_controls(self, report: Button | Knob) -> None:
        self._send_state()
        self._write({"hands": dump(report)})

    def _send_state(self) -> None:
        if self._state_due is not None:
            self._state_due.cancel()
        if self._transport is None:
            return
        self._state_due = self._loop.call_later(STATE_S, self._send_state)
        if not self._is_slow:
            self._write({"state": dump(self._machine.state)})

    def _write(self, message: dict[str, Any]) -> None:
        if self._transport is None:
            return
        if self._transport.get_write_buffer_size() > MAX_UNREAD_BYTES:
            self._cut_off("it does not read what is sent to it")
            return
        self._transport.write(line_of(message))

    def _cut_off(self, reason: str) -> None:
        log.error("the front is disconnected: %s", reason)
        if self._transport is not None:
            self._transport.abort()
