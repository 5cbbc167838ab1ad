"""Prime, flush and purge over the API, and the refusal of drinks until a channel is rinsed."""

from typing import Any

import httpx
import pytest

from machine_double import MachineDouble
from tarewell.dosing.maintenance import ChannelNeed
from tarewell.dosing.plan import Agent, Purpose
from tarewell.records.store import Store


@pytest.mark.parametrize(
    ("what", "body", "target_g", "agent"),
    [
        ("prime", None, 10.0, None),
        ("prime", {"amount_g": 15}, 15.0, None),
        ("flush", {"agent": "water"}, 200.0, Agent.WATER),
        ("flush", {"agent": "cleaner", "amount_g": 120}, 120.0, Agent.CLEANER),
        ("purge", {}, 100.0, None),
        ("purge", {"max_g": 60}, 60.0, None),
    ],
)
async def test_each_begins_a_pour_with_its_purpose(
    client: httpx.AsyncClient,
    store: Store,
    what: str,
    body: dict[str, Any] | None,
    target_g: float,
    agent: Agent | None,
) -> None:
    reply = await client.post(f"/v1/channels/4/{what}", json=body)
    assert reply.status_code == 201, reply.text
    shown = reply.json()
    assert reply.headers["Location"] == shown["links"]["self"]
    assert [(dose["channel"], dose["target_g"]) for dose in shown["doses"]] == [(4, target_g)]
    plan = (await store.pours.setup(shown["id"])).plan
    assert (plan.purpose, plan.agent) == (Purpose(what), agent)


async def test_a_key_runs_it_once(client: httpx.AsyncClient, machine: MachineDouble) -> None:
    headers = {"Idempotency-Key": "closing-time-4"}
    first = await client.post("/v1/channels/4/purge", headers=headers)
    again = await client.post("/v1/channels/4/purge", headers=headers)
    other = await client.post("/v1/channels/2/purge", headers=headers)
    assert (first.status_code, again.status_code, other.status_code) == (201, 200, 422)
    assert again.headers["Idempotency-Replayed"] == "true"
    assert again.json()["id"] == first.json()["id"]
    assert other.json()["type"].endswith("idempotency-conflict")
    assert machine.starts == 1


@pytest.mark.parametrize(
    ("path", "body", "problem", "says"),
    [
        ("/v1/channels/7/prime", {}, "pour-not-possible", "PUT /v1/channels/7"),
        ("/v1/channels/4/prime", {"amount_g": 1}, "pour-not-possible", "at least 2 g"),
        ("/v1/channels/4/flush", {}, "invalid-request", "agent"),
        ("/v1/channels/4/flush", {"agent": "lemonade"}, "invalid-request", "agent"),
        ("/v1/channels/4/purge", {"max_g": -1}, "invalid-request", "max_g"),
        ("/v1/channels/0/purge", {}, "invalid-request", "number"),
    ],
)
async def test_what_cannot_be_done_is_refused(
    client: httpx.AsyncClient, path: str, body: dict[str, Any], problem: str, says: str
) -> None:
    reply = await client.post(path, json=body)
    assert reply.status_code == 422
    assert reply.json()["type"].endswith(problem)
    assert says in reply.text


async def test_a_drink_from_a_channel_with_cleaner_is_refused_with_the_next_step(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    machine.needed[4] = ChannelNeed.RINSE
    drink = {"doses": [{"channel": 1, "amount_g": 50}, {"channel": 4, "amount_g": 20}]}
    refused = await client.post("/v1/pours", json=drink)
    assert refused.status_code == 422
    assert "flush it with water" in refused.json()["detail"]
    assert (await client.post("/v1/channels/4/prime")).status_code == 422
    assert (await client.post("/v1/channels/4/flush", json={"agent": "water"})).status_code == 201


async def test_what_each_channel_needs(client: httpx.AsyncClient, machine: MachineDouble) -> None:
    machine.needed[4] = ChannelNeed.PURGE
    shown = (await client.get("/v1/maintenance")).json()
    assert [(entry["channel"], entry["need"]) for entry in shown] == [(1, "none"), (2, "none"), (4, "purge")]
    assert "purge it, then prime it" in shown[2]["message"]
