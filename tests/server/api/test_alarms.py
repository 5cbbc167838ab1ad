"""Alarms over the API: active, acknowledged, shelved, and after the end of their pour."""

from typing import Any

import httpx
import pytest

from machine_double import MachineDouble
from tarewell.dosing.alarm_kinds import ALARMS
from tarewell.dosing.alarms import alarm
from tarewell.dosing.events import PourEnded, Raised
from tarewell.machine.alarms import ChannelLabel
from tarewell.records.store import Store

DRY = Raised(alarm("no_flow", "0.2 g in 5.0 s", 4))


async def read(client: httpx.AsyncClient, **params: Any) -> dict[str, Any]:
    reply = await client.get("/v1/alarms", params=params)
    assert reply.status_code == 200, reply.text
    body: dict[str, Any] = reply.json()
    return body


async def written(machine: MachineDouble) -> None:
    assert await machine.writer.drain(10)


@pytest.fixture
async def pour_id(client: httpx.AsyncClient) -> str:
    reply = await client.post("/v1/pours", json={"doses": [{"channel": 4, "amount_ml": 20}]})
    return str(reply.json()["id"])


async def test_an_active_alarm_has_cause_cure_state_and_what_it_speaks_of(
    client: httpx.AsyncClient, machine: MachineDouble, store: Store, pour_id: str
) -> None:
    assert await store.channels.labels() == {
        1: ChannelLabel("House Water"),
        2: ChannelLabel("Footlight Spirit"),
        4: ChannelLabel("Prompter's Cordial"),
    }
    await machine.label_channels()
    machine.pour_decides(pour_id, DRY)
    (found,) = (await read(client))["active"]
    kind = ALARMS["no_flow"]
    assert (found["id"], found["state"], found["pour_id"]) == ("no_flow-4", "unacknowledged", pour_id)
    assert (found["cause"], found["consequence"], found["cure"]) == (kind.cause, kind.consequence, kind.cure)
    assert (found["priority"], found["respond_s"]) == ("medium", kind.respond_s)
    assert (found["channel"], found["liquid"], found["bottle"]) == (4, "Prompter's Cordial", None)
    assert found["text"] == (f"{kind.message} (channel 4, Prompter's Cordial: 0.2 g in 5.0 s) {kind.cure}")
    glance = (await client.get("/v1/machine")).json()
    assert [item["id"] for item in glance["alarms"]] == ["no_flow-4"]


async def test_acknowledged_and_shelved(client: httpx.AsyncClient, machine: MachineDouble) -> None:
    machine.raise_alarm(alarm("host_busy", "300 ms"))
    reply = await client.post("/v1/alarms/host_busy/shelve", json={"for_s": 1800})
    (found,) = reply.json()
    assert (found["state"], found["acknowledged"]) == ("shelved", False)
    assert 1790 < found["shelved_for_s"] <= 1800
    (found,) = (await client.post("/v1/alarms/host_busy/acknowledge")).json()
    assert (found["state"], found["acknowledged"]) == ("shelved", True)
    await written(machine)
    told = [(entry["event"], entry["id"]) for entry in (await read(client))["history"]]
    assert told == [
        ("alarm_acknowledged", "host_busy"),
        ("alarm_shelved", "host_busy"),
        ("alarm", "host_busy"),
    ]


@pytest.mark.parametrize("what", ["acknowledge", "shelve"])
async def test_an_alarm_that_is_not_active_is_not_found(client: httpx.AsyncClient, what: str) -> None:
    reply = await client.post(f"/v1/alarms/no_flow-9/{what}", json={"for_s": 60})
    assert reply.status_code == 404
    assert "no_flow-9" in reply.json()["detail"]


async def test_one_of_high_priority_is_not_shelved(client: httpx.AsyncClient, machine: MachineDouble) -> None:
    machine.raise_alarm(alarm("unexpected_mass", "2.0 g/s"))
    reply = await client.post("/v1/alarms/unexpected_mass/shelve", json={"for_s": 60})
    assert reply.status_code == 409
    assert reply.json()["type"] == "/problems/command-not-possible"
    assert (await read(client))["active"][0]["state"] == "unacknowledged"


@pytest.mark.parametrize("for_s", [0, -5, 28_801, "soon", None])
async def test_shelving_takes_a_time_within_its_limits(client: httpx.AsyncClient, for_s: Any) -> None:
    reply = await client.post("/v1/alarms/host_busy/shelve", json={"for_s": for_s})
    assert reply.status_code == 422


async def test_a_pour_keeps_its_alarms_after_its_end(
    client: httpx.AsyncClient, machine: MachineDouble, pour_id: str
) -> None:
    machine.pour_decides(pour_id, DRY)
    machine.pour_decides(pour_id, PourEnded("stopped", "stop", 3.0))
    machine.raise_alarm(alarm("host_busy", "300 ms"))
    await machine.finish([3.0])
    await written(machine)
    shown = (await client.get(f"/v1/pours/{pour_id}")).json()
    (kept,) = shown["alarms"]
    assert kept["alarm"]["name"] == "no_flow"
    assert kept["alarm"]["cure"] == ALARMS["no_flow"].cure
    (listed,) = (await client.get("/v1/pours")).json()
    assert listed["alarms"] is None


async def test_alarms_that_an_earlier_version_wrote_are_read(client: httpx.AsyncClient, store: Store) -> None:
    """As they were written before they named a channel, and one whose kind is no longer known."""
    body = {"name": "old_kind", "reaction": "hold", "message": "It hums.", "cure": "Wait.", "detail": "50 Hz"}
    await store.journal.append("alarm", body)
    (entry,) = (await read(client))["history"]
    assert entry["id"] == "old_kind"
    assert entry["alarm"]["text"] == "It hums. (50 Hz) Wait."
    assert (entry["alarm"]["priority"], entry["alarm"]["channel"]) == (None, None)


async def test_the_history_is_read_in_pages(client: httpx.AsyncClient, machine: MachineDouble) -> None:
    for channel in range(1, 6):
        machine.raise_alarm(alarm("uncommanded_pump", "on", channel))
    await written(machine)
    read_ids: list[str] = []
    link: str | None = "/v1/alarms?limit=2"
    while link is not None:
        reply = await client.get(link)
        read_ids += [entry["id"] for entry in reply.json()["history"]]
        link = reply.links["next"]["url"] if "next" in reply.links else None
    assert read_ids == [f"uncommanded_pump-{channel}" for channel in range(5, 0, -1)]
