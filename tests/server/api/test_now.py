from datetime import datetime
from time import monotonic
from typing import Any

import httpx

from machine_double import MachineDouble
from tarewell.dosing.alarms import alarm
from tarewell.exchange.live import LiveEvent

READING: dict[str, Any] = {
    "at": "2031-03-14T19:42:24.120000+00:00",
    "number": 7,
    "gross_g": 308.4,
    "net_g": 308.4,
    "flow_g_per_s": 8.3,
    "stable": False,
    "rest_g": None,
    "pour_id": None,
    "state": None,
    "dose": None,
    "delivered_g": None,
    "drink_g": None,
}


async def test_a_snapshot_has_the_pour_with_targets_tolerances_and_what_is_to_come(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    begun = await client.post("/v1/pours", json={"doses": [{"channel": 1, "amount_g": 120}]})
    machine.feed.publish(LiveEvent("reading", {**READING, "pour_id": begun.json()["id"], "drink_g": 57.13}))
    now = (await client.get("/v1/now")).json()
    assert now["machine"]["pour_id"] == now["pour"]["id"] == now["reading"]["pour_id"] == begun.json()["id"]
    assert now["round"] is None
    # 4.5 % of a fill of 100 g to 200 g in class X(1) (OIML R 61-1:2004, 5.2); the default is X(0.5)
    assert now["pour"]["doses"][0]["tolerance_g"] == 2.7
    progress = now["pour"]["progress"]
    assert (progress["drink_g"], progress["to_come_g"], progress["targets_g"]) == (57.13, 62.87, [120.0])
    assert datetime.fromisoformat(now["at"]).tzinfo is not None


async def test_events_after_the_snapshot_begin_where_it_says(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    before = (await client.get("/v1/now")).json()["seq"]
    machine.raise_alarm(alarm("host_busy", "for 300 ms"))
    await machine.writer.drain(5.0)
    (event,) = await machine.store.journal.since(before)
    assert (event.kind, event.body["priority"]) == ("alarm", "low")


async def test_a_reading_is_fresh_while_the_scale_shows_something(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    assert (await client.get("/v1/now")).json()["reading"] is None
    machine.feed.publish(LiveEvent("reading", READING))
    shown = (await client.get("/v1/now")).json()["reading"]
    assert (shown["number"], shown["fresh"], shown["gross_g"]) == (7, True, 308.4)
    machine.indication = None
    assert (await client.get("/v1/now")).json()["reading"]["fresh"] is False


async def test_an_old_reading_is_not_fresh(client: httpx.AsyncClient, machine: MachineDouble) -> None:
    machine.feed.publish(LiveEvent("reading", READING))
    machine.feed.reading_s = monotonic() - 1.5
    shown = (await client.get("/v1/now")).json()["reading"]
    assert shown["fresh"] is False
    assert shown["age_s"] >= 1.5


async def test_an_active_alarm_says_since_when(client: httpx.AsyncClient, machine: MachineDouble) -> None:
    machine.raise_alarm(alarm("host_busy", "for 300 ms"))
    now = (await client.get("/v1/now")).json()
    (found,) = now["machine"]["alarms"]
    age_s = (datetime.fromisoformat(now["at"]) - datetime.fromisoformat(found["raised_at"])).total_seconds()
    assert 0 <= age_s < 60
    assert (found["priority"], found["channel"]) == ("low", None)


async def test_a_latched_stop_says_since_when_and_by_whom(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    assert (await client.get("/v1/machine")).json()["emergency_stop"] is None
    machine.latched = True
    assert (await client.get("/v1/machine")).json()["emergency_stop"] == {"since": None, "by": None}
    latched = await machine.store.journal.append("emergency_stop", {"origin": "page"})
    shown = (await client.get("/v1/machine")).json()["emergency_stop"]
    assert shown["by"] == "page"
    assert datetime.fromisoformat(shown["since"]) == latched.at


async def test_a_pour_says_who_ordered_it(client: httpx.AsyncClient, machine: MachineDouble) -> None:
    body = {"doses": [{"channel": 1, "amount_g": 30}]}
    by_page = await client.post("/v1/pours", json=body, headers={"Tarewell-Origin": "page"})
    assert by_page.json()["origin"] == "page"
    await machine.finish([30.0])
    by_nobody_known = await client.post("/v1/pours", json=body, headers={"Tarewell-Origin": "<b>host</b>"})
    assert by_nobody_known.json()["origin"] == "api"
