"""The event stream: the journal as it grows, and live readings in between.

Durable events carry their journal number as id, so a client that comes back with `Last-Event-ID` misses none:
they are always read from the journal, and an event of the feed only tells that there is more to read.
"""

from collections.abc import AsyncIterator
from typing import Annotated

from fastapi import APIRouter, Header
from fastapi.sse import EventSourceResponse, ServerSentEvent

from tarewell.api.context import Machine
from tarewell.api.problems import responses
from tarewell.records.store import Store

router = APIRouter(prefix="/v1", tags=["events"])

BATCH = 100
LAGGED = "lagged"
"""The feed dropped something for this reader, who was too slow; what is durable is read again."""


@router.get(
    "/events",
    summary="What happens, as server-sent events",
    response_class=EventSourceResponse,
    responses=responses("invalid-request"),
)
async def events(
    machine: Machine,
    last_event_id: Annotated[
        int | None, Header(ge=0, description="the last id seen; without it the stream begins now")
    ] = None,
) -> AsyncIterator[ServerSentEvent]:
    """Ends when the daemon shuts down. A comment line comes every 15 s when nothing else does."""
    store = machine.store
    newest = await store.journal.last_seq()
    last_seq = newest if last_event_id is None else min(last_event_id, newest)
    async with machine.operation.feed.subscribe() as live:
        yield ServerSentEvent(comment="the stream is open", retry=1000)
        async for event in _since(store, last_seq):
            last_seq = int(event.id or last_seq)
            yield event
        async for item in live:
            if item.kind != LAGGED and item.seq is None:
                yield ServerSentEvent(event=item.kind, data=item.body)
            elif item.seq is None or item.seq > last_seq:
                async for event in _since(store, last_seq):
                    last_seq = int(event.id or last_seq)
                    yield event


async def _since(store: Store, last_seq: int) -> AsyncIterator[ServerSentEvent]:
    while batch := await store.journal.since(last_seq, BATCH):
        for entry in batch:
            data = {"at": entry.at, "pour_id": entry.pour_id, **entry.body}
            yield ServerSentEvent(event=entry.kind, id=str(entry.seq), data=data)
        last_seq = batch[-1].seq
