"""The machine as the rest of the program sees it: requests, state and events."""

import asyncio
import logging
from collections.abc import Callable
from typing import Any, Protocol, TypeVar

from tarewell.machine.requests import MachineRequest, MachineState, NotAnsweredError
from tarewell.typed_json import load
from tarewell_protocol.messages import Button, Knob

from .live import EventFeed, LiveEvent
from .refusals import load_refusal
from .wire import WireError, dump_request, line_of, load_answer, messages_in

log = logging.getLogger(__name__)

A = TypeVar("A")

WITHIN_S = 5.0
"""Timeout of an answer; most of them follow the writing of a row."""

SILENT_S = 2.0
"""Silent for this long, the machine may have failed; it sends its state four times a second."""

ALIVE_S = 1.0

ControlsListener = Callable[[Button | Knob], None]
"""Gets the reports of the board's knob and button; must not block."""


class MachineClient(Protocol):
    """The machine as API and panel use it, wherever it runs."""

    @property
    def feed(self) -> EventFeed:
        """The feed of all events, to subscribe to."""

    @property
    def state(self) -> MachineState:
        """The newest state; after an answer, one that was made after the request was carried out."""

    async def ask(self, request: MachineRequest[A]) -> A:
        """Ask the machine and wait for its answer.

        Raises:
            NotAnsweredError: it did not answer in time; it may have carried the request out.
            Exception: the refusal; see `refusals`.
        """

    def listen_to_controls(self, listener: ControlsListener | None) -> None:
        """Set who gets reports of knob and button; None: nobody."""


class SocketClient(asyncio.Protocol):
    """The machine in another process, over a stream socket. `over` is done when that process is gone."""

    def __init__(self) -> None:
        self.feed = EventFeed()
        self._loop = asyncio.get_running_loop()
        self._transport: asyncio.WriteTransport | None = None
        self._unread = b""
        self._waiting: dict[int, tuple[MachineRequest[Any], asyncio.Future[Any]]] = {}
        self._last_id = 0
        self._state: MachineState | None = None
        self._heard_s = 0.0
        self._controls_listener: ControlsListener | None = None
        self.known: asyncio.Future[None] = self._loop.create_future()
        self.over: asyncio.Future[None] = self._loop.create_future()

    @property
    def state(self) -> MachineState:
        """See `MachineClient.state`.

        Raises:
            NotAnsweredError: the machine has sent no state yet.
        """
        if self._state is None:
            raise NotAnsweredError("the machine has not sent its state yet; ask again")
        silent_s = self._loop.time() - self._heard_s
        if silent_s > SILENT_S:
            return self._state.blocked(f"the machine process has not answered for {silent_s:.0f} s")
        return self._state

    async def ask(self, request: MachineRequest[A]) -> A:
        """See `MachineClient.ask`."""
        if self._transport is None:
            raise NotAnsweredError("the machine process is gone; it is being restarted, try again")
        self._last_id += 1
        number = self._last_id
        answer: asyncio.Future[A] = self._loop.create_future()
        self._waiting[number] = (request, answer)
        until_s = self._loop.time() + WITHIN_S
        self._transport.write(line_of({"id": number, "until_s": until_s, **dump_request(request)}))
        try:
            async with asyncio.timeout(WITHIN_S):
                return await answer
        except TimeoutError as error:
            raise NotAnsweredError(
                f"the machine did not answer within {WITHIN_S:g} s and may have carried the request out; "
                "check its state before you ask again"
            ) from error
        finally:
            self._waiting.pop(number, None)

    def listen_to_controls(self, listener: ControlsListener | None) -> None:
        """See `MachineClient.listen_to_controls`."""
        self._controls_listener = listener

    def report_ready(self) -> None:
        """Report that the front serves, and from now on each second that it is alive."""
        self._say({"ready": True})
        self._loop.call_later(ALIVE_S, self._report_alive)

    def _report_alive(self) -> None:
        if self._say({"alive": True}):
            self._loop.call_later(ALIVE_S, self._report_alive)

    def _say(self, message: dict[str, Any]) -> bool:
        if self._transport is None:
            return False
        self._transport.write(line_of(message))
        return True

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """The socket is there."""
        if not isinstance(transport, asyncio.WriteTransport):
            raise TypeError(f"a client writes, so it needs a writing transport, got {transport!r}")
        self._transport = transport

    def data_received(self, data: bytes) -> None:
        """Handle the machine's messages."""
        try:
            messages, self._unread = messages_in(self._unread + data)
            for message in messages:
                self._take(message)
        except (WireError, KeyError, TypeError, ValueError):
            log.exception("the machine process sent a message that this front cannot read")
            if self._transport is not None:
                self._transport.abort()

    def connection_lost(self, exc: Exception | None) -> None:
        """The machine is gone: every pending request fails."""
        self._transport = None
        for _, answer in self._waiting.values():
            if not answer.done():
                answer.set_exception(NotAnsweredError("the machine process has ended; try again"))
        self.feed.close()
        if not self.over.done():
            self.over.set_result(None)

    def _take(self, message: dict[str, Any]) -> None:
        self._heard_s = self._loop.time()
        match message:
            case {"state": state}:
                self._state = load(MachineState, state)
                if not self.known.done():
                    self.known.set_result(None)
            case {"event": [kind, body, seq]}:
                self.feed.publish(LiveEvent(kind, body, seq))
            case {"hands": report}:
                if self._controls_listener is not None:
                    self._controls_listener(load(Button | Knob, report))
            case {"id": number, **outcome}:
                request, answer = self._waiting.get(number, (None, None))
                if request is None or answer is None or answer.done():
                    return
                if "refused" in outcome:
                    answer.set_exception(load_refusal(outcome["refused"]))
                else:
                    answer.set_result(load_answer(request, outcome["result"]))
