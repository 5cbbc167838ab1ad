"""Readers of the feed, quick and slow."""

import asyncio

import pytest

from tarewell.exchange.live import EventFeed, LiveEvent, Subscription


def reading(number: int) -> LiveEvent:
    return LiveEvent("reading", {"gross_g": number})


def durable(seq: int) -> LiveEvent:
    return LiveEvent("pour_state", {}, seq)


async def taken(reader: Subscription, count: int) -> list[LiveEvent]:
    async with asyncio.timeout(1):
        return [await anext(reader) for _ in range(count)]


async def test_every_reader_gets_everything_from_its_start() -> None:
    feed = EventFeed()
    early = feed.subscribe()
    feed.publish(durable(1))
    late = feed.subscribe()
    feed.publish(durable(2))
    feed.close()
    assert [event.seq async for event in early] == [1, 2]
    assert [event.seq async for event in late] == [2]


async def test_a_slow_reader_loses_readings_first_and_is_told() -> None:
    reader = Subscription(EventFeed(), max_waiting=4)
    for event in (durable(1), reading(1), reading(2), durable(2), durable(3), reading(3)):
        reader.push(event)
    lagged, *rest = await taken(reader, 5)
    assert (lagged.kind, lagged.body["readings"], lagged.body["events"]) == ("lagged", 2, 0)
    assert rest == [durable(1), durable(2), durable(3), reading(3)]


async def test_lost_durable_events_can_be_read_again_from_the_number_told() -> None:
    reader = Subscription(EventFeed(), max_waiting=2)
    reader.push(durable(1))
    await taken(reader, 1)
    for seq in range(2, 7):
        reader.push(durable(seq))
    lagged, *rest = await taken(reader, 3)
    assert lagged.body == {"readings": 0, "events": 3, "after_seq": 1}
    assert [event.seq for event in rest] == [5, 6]


async def test_a_waiting_reader_is_woken_and_ended() -> None:
    feed = EventFeed()
    reader = feed.subscribe()
    waiting = asyncio.ensure_future(anext(reader))
    await asyncio.sleep(0)
    feed.publish(durable(7))
    assert (await waiting).seq == 7
    waiting = asyncio.ensure_future(anext(reader))
    await asyncio.sleep(0)
    feed.close()
    with pytest.raises(StopAsyncIteration):
        await waiting
    assert [event async for event in feed.subscribe()] == []


async def test_a_reader_that_left_gets_nothing_and_is_not_kept() -> None:
    feed = EventFeed()
    async with feed.subscribe() as reader:
        assert feed.readers == 1
        feed.publish(durable(1))
    assert feed.readers == 0
    feed.publish(durable(2))
    assert [event.seq async for event in reader] == [1]


def test_a_listener_is_called_at_once_until_it_leaves() -> None:
    feed, heard = EventFeed(), list[LiveEvent]()
    leave = feed.listen(heard.append)
    feed.publish(durable(1))
    feed.publish(reading(1))
    leave()
    feed.publish(durable(2))
    assert heard == [durable(1), reading(1)]


def test_a_frame_is_a_server_sent_event() -> None:
    """WHATWG HTML, 9.2.6: fields `event`, `data`, `id`, one a line, and a blank line at the end."""
    assert LiveEvent("alarm", {"a": "ü"}, 7).frame == 'event: alarm\ndata: {"a": "ü"}\nid: 7\n\n'.encode()
    assert LiveEvent("reading", {}).frame == b"event: reading\ndata: {}\n\n"
