"""Live events for any number of readers, none of which can hold up the machine.

A durable event carries its number in the journal, so a reader that missed some reads them there again. A
reading has no number; of the readings that a slow reader has not taken yet, only the newest are kept.
"""

import asyncio
from collections import deque
from dataclasses import dataclass
from types import TracebackType
from typing import Any, Self
from weakref import WeakSet

MAX_QUEUE = 256


@dataclass(frozen=True, slots=True)
class LiveEvent:
    """Something that happened. `seq` is its number in the journal, None if it is not kept there."""

    kind: str
    body: dict[str, Any]
    seq: int | None = None


class Subscription:
    """One reader's view: iterate it; it ends when the feed closes. As a context manager it leaves the feed.

    When it was too slow, an event "lagged" comes before the next one and says how many `readings` and
    `events` were dropped, and after which journal number (`after_seq`) to read again.
    """

    def __init__(self, most: int = MAX_QUEUE) -> None:
        self._most = most
        self._waiting: deque[LiveEvent] = deque()
        self._more = asyncio.Event()
        self._ended = False
        self._lost_readings = 0
        self._lost_events = 0
        self._last_seq: int | None = None

    def push(self, event: LiveEvent) -> None:
        """Take an event for the reader; never waits."""
        if self._ended:
            return
        if len(self._waiting) >= self._most:
            self._make_room()
        self._waiting.append(event)
        self._more.set()

    def _make_room(self) -> None:
        """Drop the oldest reading, or where all are durable, the oldest of them."""
        oldest = next((i for i, event in enumerate(self._waiting) if event.seq is None), None)
        if oldest is None:
            self._waiting.popleft()
            self._lost_events += 1
        else:
            del self._waiting[oldest]
            self._lost_readings += 1

    def end(self) -> None:
        """Nothing more will come."""
        self._ended = True
        self._more.set()

    def __aiter__(self) -> Self:
        return self

    async def __anext__(self) -> LiveEvent:
        while not self._waiting:
            if self._ended:
                raise StopAsyncIteration
            self._more.clear()
            await self._more.wait()
        if self._lost_readings or self._lost_events:
            body = {
                "readings": self._lost_readings,
                "events": self._lost_events,
                "after_seq": self._last_seq,
            }
            self._lost_readings = self._lost_events = 0
            return LiveEvent("lagged", body)
        event = self._waiting.popleft()
        if event.seq is not None:
            self._last_seq = event.seq
        return event

    async def __aenter__(self) -> Self:
        return self

    async def __aexit__(
        self,
        exc_type: type[BaseException] | None,
        exc: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        self.end()


class EventFeed:
    """Gives every event to every reader."""

    def __init__(self) -> None:
        self._readers: WeakSet[Subscription] = WeakSet()
        self._closed = False

    def subscribe(self) -> Subscription:
        """A new reader; it gets what is published from now on."""
        reader = Subscription()
        if self._closed:
            reader.end()
        self._readers.add(reader)
        return reader

    def publish(self, event: LiveEvent) -> None:
        """Give an event to all readers; never waits."""
        for reader in self._readers:
            reader.push(event)

    def close(self) -> None:
        """End every reader's iteration, after what waits for it."""
        self._closed = True
        for reader in self._readers:
            reader.end()
