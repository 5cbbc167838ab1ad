"""The journal as it grows, put into the feed: also what other parts of the program write there."""

import asyncio
import logging

from tarewell.records.errors import StoreError
from tarewell.records.journal import Journal

from .feed import EventFeed, LiveEvent

log = logging.getLogger(__name__)

PAUSE_S = 1.0
BATCH = 100


async def publish_journal(journal: Journal, last_seq: int, feed: EventFeed) -> None:
    """Publish every event after `last_seq`, in order, until cancelled."""
    while True:
        try:
            await journal.wait(last_seq)
            while batch := await journal.since(last_seq, BATCH):
                for event in batch:
                    body = {**event.body, "pour_id": event.pour_id, "at": event.at.isoformat()}
                    feed.publish(LiveEvent(event.kind, body, event.seq))
                last_seq = batch[-1].seq
        except StoreError as error:
            log.warning("the journal cannot be read for the live events: %s", error)
            await asyncio.sleep(PAUSE_S)
