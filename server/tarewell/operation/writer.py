"""Writes to the records, one after another and in the order asked for, off the control path.

What must be kept is tried again until it is written; meanwhile `fault` says why the machine may not pour.
"""

import asyncio
import logging
from collections import deque
from collections.abc import Awaitable, Callable
from contextlib import suppress
from dataclasses import dataclass
from typing import TypeVar

from tarewell.records.errors import StoreError

log = logging.getLogger(__name__)

T = TypeVar("T")
Job = Callable[[], Awaitable[object]]

MAX_WAITING = 5000
"""More unwritten jobs than this are dropped, newest first: the disk has been full for hours."""


@dataclass(frozen=True, slots=True)
class _Entry:
    job: Job
    waiter: "asyncio.Future[object] | None" = None


class Writer:
    """The one writer. `on_fault` is called, with the reason, when a write fails that must not be lost."""

    def __init__(self, on_fault: Callable[[str], None], retry_s: float = 2.0) -> None:
        self._on_fault = on_fault
        self._retry_s = retry_s
        self._entries: deque[_Entry] = deque()
        self._more = asyncio.Event()
        self._idle = asyncio.Event()
        self._idle.set()
        self.fault: str | None = None

    def put(self, job: Job) -> None:
        """Have something written, now or as soon as it can be."""
        if len(self._entries) >= MAX_WAITING:
            log.error("a record was dropped: %s wait already (%s)", MAX_WAITING, self.fault)
            return
        self._add(_Entry(job))

    async def do(self, job: Callable[[], Awaitable[T]]) -> T:
        """Have something written in its turn and wait for it; what it raises is raised here.

        Raises:
            StoreError: the records cannot be written at present.
        """
        if self.fault is not None:
            raise StoreError(self.fault)
        result: list[T] = []

        async def keep_result() -> None:
            result.append(await job())

        waiter: asyncio.Future[object] = asyncio.get_running_loop().create_future()
        self._add(_Entry(keep_result, waiter))
        await waiter
        return result[0]

    def _add(self, entry: _Entry) -> None:
        self._entries.append(entry)
        self._idle.clear()
        self._more.set()

    async def drain(self, timeout_s: float) -> bool:
        """Wait until all is written; whether it was, within `timeout_s`."""
        with suppress(TimeoutError):
            async with asyncio.timeout(timeout_s):
                await self._idle.wait()
        return self._idle.is_set()

    async def run(self) -> None:
        """Write until cancelled."""
        while True:
            await self._more.wait()
            while self._entries:
                if await self._write(self._entries[0]):
                    self._entries.popleft()
                else:
                    await asyncio.sleep(self._retry_s)
            self._more.clear()
            self._idle.set()

    async def _write(self, entry: _Entry) -> bool:
        """Carry one out; False where it must be tried again."""
        try:
            await entry.job()
        except Exception as error:
            if entry.waiter is not None:
                if not entry.waiter.done():
                    entry.waiter.set_exception(error)
                return True
            if isinstance(error, StoreError):
                self._note_fault(str(error), error)
                return False
            log.exception("a record could not be kept")
            self._on_fault(f"a record could not be kept: {error}")
            return True
        if self.fault is not None:
            log.warning("the records can be written again")
            self.fault = None
        if entry.waiter is not None and not entry.waiter.done():
            entry.waiter.set_result(None)
        return True

    def _note_fault(self, reason: str, error: StoreError) -> None:
        if self.fault is None:
            log.error("%s", reason)
            self.fault = reason
            self._on_fault(reason)
        kept: deque[_Entry] = deque()
        for entry in self._entries:
            if entry.waiter is None:
                kept.append(entry)
            elif not entry.waiter.done():
                entry.waiter.set_exception(error)
        self._entries = kept
