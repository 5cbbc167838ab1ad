"""Live events for any number of readers, none of which can block the machine.

A durable event carries its number in the journal, so a reader that missed some can read them there. A reading
has no number; for a slow reader only the newest readings are kept.
"""

import asyncio
import json
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from time import monotonic
from types import TracebackType
from typing import Any, Self

from tarewell.records.values import StoredEvent

MAX_QUEUE = 256

READING = "reading"
"""The kind of a live reading of the scale."""


@dataclass(frozen=True)
class LiveEvent:
    """An event. `seq` is its number in the journal, None if it is not kept there."""

    kind: str
    body: dict[str, Any]
    seq: int | None = None

    @cached_property
    def frame(self) -> bytes:
        """The event as a server-sent event (WHATWG HTML, 9.2), encoded once for all readers."""
        lines = f"event: {self.kind}\ndata: {json.dumps(self.body, ensure_ascii=False)}\n"
        number = "" if self.seq is None else f"id: {self.seq}\n"
        return f"{lines}{number}\n".encode()


def journal_event(stored: StoredEvent) -> LiveEvent:
    """A row of the journal as a live event."""
    body = {"at": stored.at.isoformat(), "pour_id": stored.pour_id, **stored.body}
    return LiveEvent(stored.kind, body, stored.seq)


class Subscription:
    """One reader's queue: iterate it; it ends when the feed closes. As a context manager it unsubscribes.

    When it was too slow, an event "lagged" comes before the next one and says how many `readings` and
    `events` were dropped, and after which journal number (`after_seq`) to read again.
    """

    def __init__(
        self, feed: "EventFeed", max_waiting: int = MAX_QUEUE, session_id: str | None = None
    ) -> None:
        self.session_id = session_id
        self._feed = feed
        self._max_waiting = max_waiting
        self._waiting: deque[LiveEvent] = deque()
        self._more = asyncio.Event()
        self._ended = False
        self._lost_readings = 0
        self._lost_events = 0
        self._last_seq: int | None = None

    def push(self, event: LiveEvent) -> None:
        """Queue an event for the reader; never waits."""
        if self._ended:
            return
        if len(self._waiting) >= self._max_waiting:
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
        """End the iteration once the queue is empty."""
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
        self._feed.leave(self)


class EventFeed:
    """Publishes every event to every reader, and to callbacks at once. `reading` is the last live reading,
    which came at `reading_s` of the host's monotonic clock."""

    def __init__(self) -> None:
        self.reading: LiveEvent | None = None
        self.reading_s = float("-inf")
        self._readers: set[Subscription] = set()
        self._listeners: list[Callable[[LiveEvent], None]] = []
        self._closed = False

    @property
    def readers(self) -> int:
        """The number of readers."""
        return len(self._readers)

    def subscribe(self, session_id: str | None = None) -> Subscription:
        """A new reader; it gets the events published from now on, until its session ends, if it has one."""
        reader = Subscription(self, session_id=session_id)
        if self._closed:
            reader.end()
        self._readers.add(reader)
        return reader

    def end_session(self, session_id: str) -> None:
        """End the iteration of the readers of a session."""
        for reader in self._readers:
            if reader.session_id == session_id:
                reader.end()

    def leave(self, reader: Subscription) -> None:
        """Unsubscribe the reader."""
        self._readers.discard(reader)

    def listen(self, listener: Callable[[LiveEvent], None]) -> Callable[[], None]:
        """Register a callback for each event, in order; the returned function removes it."""
        self._listeners.append(listener)
        return lambda: self._listeners.remove(listener)

    def publish(self, event: LiveEvent) -> None:
        """Publish an event to all; never waits."""
        if event.kind == READING:
            self.reading, self.reading_s = event, monotonic()
        for listener in list(self._listeners):
            listener(event)
        for reader in self._readers:
            reader.push(event)

    def close(self) -> None:
        """End every reader's iteration once its queue is empty."""
        self._closed = True
        for reader in self._readers:
            reader.end()
