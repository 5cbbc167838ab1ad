import json

import httpx
import pytest
from fastapi import FastAPI

from event_stream import event_stream
from machine_double import MachineDouble
from tarewell.api.routes import events as routes
from tarewell.exchange.live import MAX_QUEUE, LiveEvent
from tarewell.records.store import Store


async def test_live_readings_come_without_id_and_durable_events_with_it(
    app: FastAPI, machine: MachineDouble, store: Store
) -> None:
    async with event_stream(app) as stream:
        assert stream.status == 200
        assert "comment" in await stream.next()
        machine.feed.publish(LiveEvent("reading", {"gross_g": 251.3}))
        reading = await stream.next()
        assert (reading["event"], json.loads(reading["data"])) == ("reading", {"gross_g": 251.3})
        assert "id" not in reading
        stored = await store.journal.append("note", {"text": "second bell"})
        machine.feed.publish(LiveEvent("note", {"text": "second bell"}, stored.seq))
        note = await stream.next()
        assert (note["event"], note["id"]) == ("note", str(stored.seq))
        assert json.loads(note["data"])["text"] == "second bell"


async def test_a_client_that_comes_back_misses_nothing_and_gets_nothing_twice(
    app: FastAPI, machine: MachineDouble, store: Store
) -> None:
    seqs = [(await store.journal.append("note", {"n": n})).seq for n in range(120)]
    async with event_stream(app, {"Last-Event-ID": str(seqs[0])}) as stream:
        await stream.next()
        got = [int((await stream.next())["id"]) for _ in seqs[1:]]
        assert got == seqs[1:]
        machine.feed.publish(LiveEvent("note", {"n": 119}, seqs[-1]))
        newer = (await store.journal.append("note", {"n": 120})).seq
        machine.feed.publish(LiveEvent("note", {"n": 120}, newer))
        assert int((await stream.next())["id"]) == newer


async def test_durable_events_lost_on_the_way_are_read_again(
    app: FastAPI, machine: MachineDouble, store: Store
) -> None:
    async with event_stream(app) as stream:
        await stream.next()
        seqs = [(await store.journal.append("note", {"n": n})).seq for n in range(3)]
        machine.feed.publish(LiveEvent("note", {"n": 2}, seqs[2]))
        assert [int((await stream.next())["id"]) for _ in seqs] == seqs


async def test_without_an_id_the_stream_begins_now(
    app: FastAPI, machine: MachineDouble, store: Store
) -> None:
    await store.journal.append("note", {"n": 0})
    async with event_stream(app) as stream:
        await stream.next()
        machine.feed.publish(LiveEvent("reading", {}))
        assert (await stream.next())["event"] == "reading"


async def test_an_id_of_another_database_begins_now(
    app: FastAPI, machine: MachineDouble, store: Store
) -> None:
    async with event_stream(app, {"Last-Event-ID": "999999"}) as stream:
        await stream.next()
        seq = (await store.journal.append("note", {"n": 0})).seq
        machine.feed.publish(LiveEvent("note", {"n": 0}, seq))
        assert int((await stream.next())["id"]) == seq


async def test_the_stream_ends_with_the_feed(app: FastAPI, machine: MachineDouble) -> None:
    async with event_stream(app) as stream:
        await stream.next()
        machine.feed.close()
        assert await stream.next() == {}
        assert stream.ended


async def test_a_reader_that_was_too_slow_gets_all_that_is_durable(
    app: FastAPI, machine: MachineDouble, store: Store
) -> None:
    async with event_stream(app) as stream:
        await stream.next()
        seqs = [(await store.journal.append("note", {"n": n})).seq for n in range(2)]
        machine.feed.publish(LiveEvent("note", {"n": 0}, seqs[0]))
        machine.feed.publish(LiveEvent("note", {"n": 1}, seqs[1]))
        for n in range(2 * MAX_QUEUE):
            machine.feed.publish(LiveEvent("reading", {"n": n}))
        blocks = [await stream.next()]
        while '"n":511' not in blocks[-1]["data"].replace(" ", ""):
            blocks.append(await stream.next())
        assert [int(block["id"]) for block in blocks if "id" in block] == seqs
        assert {block["event"] for block in blocks} == {"note", "reading"}


async def test_a_client_that_leaves_ends_its_request(app: FastAPI, machine: MachineDouble) -> None:
    async with event_stream(app) as stream:
        await stream.next()
        machine.feed.publish(LiveEvent("reading", {}))
        await stream.next()
    assert stream.over


async def test_an_id_that_is_no_number_is_refused(client: httpx.AsyncClient) -> None:
    reply = await client.get("/v1/events", headers={"Last-Event-ID": "soon"})
    assert reply.status_code == 422
    assert reply.json()["errors"][0]["parameter"].lower() == "last-event-id"


async def test_one_stream_too_many_is_told_when_to_come_back(
    app: FastAPI, machine: MachineDouble, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(routes, "MAX_STREAMS", 1)
    async with event_stream(app) as stream:
        await stream.next()
        async with event_stream(app) as late:
            assert late.status == 503
        assert machine.feed.readers == 1
    async with event_stream(app) as again:
        assert again.status == 200


def test_an_event_is_encoded_once_for_all_streams() -> None:
    event = LiveEvent("note", {"text": "second bell"}, 7)
    assert event.frame is event.frame
    assert event.frame == b'event: note\ndata: {"text": "second bell"}\nid: 7\n\n'
