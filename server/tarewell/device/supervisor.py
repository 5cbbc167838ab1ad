"""Keeps one link to the board: opens, greets, and after a loss retries with growing pauses."""

import asyncio
import logging
import secrets
from collections.abc import Callable
from dataclasses import dataclass

from tarewell.machine.link_status import LinkState, LinkStatus
from tarewell_protocol import messages as m
from tarewell_protocol import session as s

from .link import Link, LinkDownError, Listener
from .port import Port, PortError, split_tcp
from .serial_port import SerialPort
from .tcp_port import TcpPort

log = logging.getLogger(__name__)

STOP_TIMEOUT_S = 0.3
"""How long the last stop before closing may take; the lease ends the run soon after in any case."""


@dataclass(frozen=True, slots=True)
class Pauses:
    """How long to wait before the next attempt, in s: doubling from `first_s` to `max_s`."""

    first_s: float = 0.25
    max_s: float = 5.0
    incompatible_s: float = 15.0


def port_for(device: str, baud: int) -> Port:
    """The port for a setting: a path or `tcp://host:port`."""
    address = split_tcp(device)
    return SerialPort(device, baud) if address is None else TcpPort(*address)


class Supervisor:
    """The one owner of the board.

    `listener` gets the session events of the current link; `on_status` each change of the status.
    """

    def __init__(
        self,
        make_port: Callable[[], Port],
        listener: Listener,
        on_status: Callable[[LinkStatus], None],
        pauses: Pauses | None = None,
    ) -> None:
        self._make_port = make_port
        self._listener = listener
        self._on_status = on_status
        self._pauses = pauses or Pauses()
        self._link: Link | None = None
        self._nonce = secrets.randbelow(1 << 16)
        self.status = LinkStatus(LinkState.CONNECTING, 0.0, "the board has not been contacted yet")

    @property
    def link(self) -> Link:
        """The present link, to send commands over.

        Raises:
            LinkDownError: there is none.
        """
        if self._link is None:
            raise LinkDownError(self.status.reason)
        return self._link

    async def run(self) -> None:
        """Keep the link up until cancelled; then stop all pumps and leave the port free."""
        self._set(LinkState.CONNECTING, "waiting for the board to answer")
        pause_s = self._pauses.first_s
        while True:
            if await self._attempt():
                pause_s = self._pauses.first_s
            if self.status.state is LinkState.INCOMPATIBLE:
                await asyncio.sleep(self._pauses.incompatible_s)
            else:
                await asyncio.sleep(pause_s)
                pause_s = min(2 * pause_s, self._pauses.max_s)

    async def _attempt(self) -> bool:
        """One connection from open to lost; whether a session was opened in it."""
        port = self._make_port()
        self._nonce = (self._nonce + 1) % (1 << 16)
        link = self._link = Link(self._nonce, self._listener, self._follow, port.abort)
        try:
            await port.open(link)
            await asyncio.shield(link.over)
        except PortError as error:
            self._fail(str(error))
        except asyncio.CancelledError:
            await self._leave(link)
            raise
        finally:
            self._link = None
        return link.has_opened

    def _follow(self, event: s.Opened | s.Closed) -> None:
        match event:
            case s.Opened(identity):
                self._set(LinkState.OPEN, "the board answers", identity)
            case s.Closed(reason) if self.link.turned_away:
                self._set(LinkState.INCOMPATIBLE, reason)
            case s.Closed(reason):
                self._fail(reason)

    async def _leave(self, link: Link) -> None:
        """Stop all pumps, then end the connection and wait until the port is free."""
        if link.is_open:
            try:
                async with asyncio.timeout(STOP_TIMEOUT_S):
                    await link.ask(m.Stop())
            except (LinkDownError, TimeoutError):
                log.warning("the board did not confirm the last stop; its lease ends the run")
        link.close("the daemon closed the link")
        if link.is_connected:
            await link.over

    def _fail(self, reason: str) -> None:
        was_open = self.status.state in (LinkState.OPEN, LinkState.LOST)
        self._set(LinkState.LOST if was_open else LinkState.CONNECTING, reason)

    def _set(self, state: LinkState, reason: str, identity: m.Identity | None = None) -> None:
        before = self.status
        if (state, reason, identity) == (before.state, before.reason, before.identity):
            return
        now_s = asyncio.get_running_loop().time()
        self.status = LinkStatus(state, before.since_s if state is before.state else now_s, reason, identity)
        log.info("link %s: %s", state, reason)
        self._on_status(self.status)
