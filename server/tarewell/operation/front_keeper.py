"""Supervises the front: starts it, detects its end or its silence, and restarts it."""

import asyncio
import logging
import os
import signal
import subprocess
from collections import deque
from collections.abc import Callable
from contextlib import suppress

from tarewell.exchange.changes import serve_changes
from tarewell.records.writer import Writer

from .clients import FrontConnection
from .interpreter import Interpreter
from .launch import Front

log = logging.getLogger(__name__)

FIRST_PAUSE_S, MAX_PAUSE_S = 0.2, 5.0
DEATHS, WITHIN_S = 5, 60.0
"""A front that ends this often within this time before it serves is given up."""

SILENT_S = 10.0
"""A front that is silent for this long hangs, and is killed."""

START_S = 60.0
"""Time from a front's start to its first message; a small computer under load needs some of it."""

END_S = 4.0
"""Timeout for a front to end when asked to."""


class FrontDownError(Exception):
    """The front does not stay up, so nobody can reach the machine."""


class FrontKeeper:
    """One front after the other: `first` is already running, `start` starts another."""

    def __init__(
        self,
        machine: Interpreter,
        writer: Writer,
        start: Callable[[], Front],
        on_ready: Callable[[], None],
        first: Front | None = None,
    ) -> None:
        self._machine = machine
        self._writer = writer
        self._start = start
        self._on_ready = on_ready
        self._first = first
        self._front: Front | None = first
        self._served = False
        self._closing = False

    async def run(self) -> None:
        """Keep it running until `end` or cancelled.

        Raises:
            FrontDownError: it does not stay up.
        """
        loop = asyncio.get_running_loop()
        deaths: deque[float] = deque(maxlen=DEATHS)
        pause_s = FIRST_PAUSE_S
        while not self._closing:
            self._served = False
            await self._one_life()
            if self._closing:
                return
            if self._served:
                deaths.clear()
                pause_s = FIRST_PAUSE_S
            deaths.append(loop.time())
            if len(deaths) == DEATHS and deaths[-1] - deaths[0] < WITHIN_S:
                raise FrontDownError(f"the front has ended {DEATHS} times and never served; see its log")
            log.error("the front has ended; restarting it")
            await asyncio.sleep(pause_s)
            pause_s = min(2 * pause_s, MAX_PAUSE_S)

    async def end(self) -> None:
        """Ask the front to end, and make sure that it does."""
        self._closing = True
        if self._front is not None:
            self._front.process.terminate()
            await _ended(self._front)

    async def _one_life(self) -> None:
        """One front, from its start to its end."""
        loop = asyncio.get_running_loop()
        front = self._first if self._first is not None else await asyncio.to_thread(self._start)
        self._first, self._front = None, front
        try:
            serve_changes(front.changes, self._writer)
            connection = FrontConnection(self._machine, self._ready)
            front.requests.setblocking(False)
            await loop.connect_accepted_socket(lambda: connection, front.requests)
            while not connection.over.done():
                await asyncio.wait({connection.over}, timeout=1.0)
                limit_s = SILENT_S if self._served else START_S
                if loop.time() - connection.heard_s > limit_s:
                    log.error("the front was silent for %g s and is killed", limit_s)
                    break
        finally:
            await _ended(front)
            self._front = None

    def _ready(self) -> None:
        self._served = True
        self._on_ready()


async def _ended(front: Front) -> None:
    """Give it a little time to end, then kill it with everything it started."""
    with suppress(subprocess.TimeoutExpired):
        await asyncio.to_thread(front.process.wait, END_S)
    with suppress(ProcessLookupError):
        os.killpg(front.process.pid, signal.SIGKILL)
    await asyncio.to_thread(front.process.wait)
