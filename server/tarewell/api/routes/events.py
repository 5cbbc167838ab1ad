"""The event stream: the journal as it grows, and live readings in between.

Durable events carry their journal number as id, so a client that reconnects with `Last-Event-ID` misses none.
An event is encoded once for all streams; the journal is only read for events that a stream has missed, at its
beginning or because it was too slow.
"""

import asyncio
from collections.abc import AsyncIterator
from typing import Annotated, Any

from fastapi import APIRouter, Header
from fastapi.responses import StreamingResponse

from tarewell.api.context import CurrentVisitor, Machine, Services
from tarewell.api.problems import ProblemError, responses
from tarewell.exchange.live import LiveEvent, Subscription, journal_event
from tarewell.records.store import Store

router = APIRouter(prefix="/v1", tags=["events"])

BATCH = 100
PING_S = 15.0
MAX_STREAMS = 200
LAGGED = "lagged"
"""The feed dropped events for this slow reader; durable ones are read from the journal."""

_OPEN = b": the stream is open\nretry: 1000\n\n"
_PING = b": ping\n\n"

_STREAM: dict[int | str, dict[str, Any]] = {
    200: {"content": {"text/event-stream": {"schema": {"type": "string"}}}},
    **responses("invalid-request", "too-many"),
}


@router.get(
    "/events",
    summary="All events, as server-sent events",
    response_class=StreamingResponse,
    responses=_STREAM,
)
async def events(
    machine: Machine,
    visitor: CurrentVisitor,
    last_event_id: Annotated[
        int | None, Header(ge=0, description="the last id seen; without it the stream begins now")
    ] = None,
) -> StreamingResponse:
    """Ends when the daemon shuts down, or its session signs out. A comment line comes every 15 s when nothing
    else does."""
    if machine.client.feed.readers >= MAX_STREAMS:
        raise ProblemError(
            "too-many",
            f"{MAX_STREAMS} event streams are already open; close some, or try again later",
            headers={"Retry-After": "10"},
        )
    session_id = None if visitor.session is None else visitor.session.id
    stream = _frames(machine, last_event_id, machine.client.feed.subscribe(session_id))
    return StreamingResponse(
        stream,
        media_type="text/event-stream",
        headers={"Cache-Control": "no-cache", "X-Accel-Buffering": "no"},
    )


async def _frames(machine: Services, last_event_id: int | None, live: Subscription) -> AsyncIterator[bytes]:
    async with live:
        newest = await machine.store.journal.last_seq()  # before the reader is told that it is open
        yield _OPEN
        last_seq = newest if last_event_id is None else min(last_event_id, newest)
        async for event in _since(machine.store, last_seq):
            last_seq = event.seq or last_seq
            yield event.frame
        while True:
            try:
                async with asyncio.timeout(PING_S):
                    item = await anext(live)
            except TimeoutError:
                yield _PING
                continue
            except StopAsyncIteration:
                return
            if item.kind == LAGGED or (item.seq is not None and item.seq > last_seq + 1):
                async for event in _since(machine.store, last_seq):
                    last_seq = event.seq or last_seq
                    yield event.frame
            elif item.seq is None:
                yield item.frame
            elif item.seq > last_seq:
                last_seq = item.seq
                yield item.frame


async def _since(store: Store, last_seq: int) -> AsyncIterator[LiveEvent]:
    while batch := await store.journal.since(last_seq, BATCH):
        for entry in batch:
            yield journal_event(entry)
        last_seq = batch[-1].seq
