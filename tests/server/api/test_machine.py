import httpx

from machine_double import MachineDouble
from tarewell.machine.link_status import LinkState, LinkStatus


async def test_the_machine_at_a_glance(client: httpx.AsyncClient) -> None:
    body = (await client.get("/v1/machine")).json()
    assert body["machine_id"] == "interval-bar"
    assert body["link"]["state"] == "open"
    assert body["link"]["board"]["board_id"] == "foyer-01"
    assert body["link"]["board"]["self_test"] == {
        "flash": "ok",
        "flash_crc": "5A17",
        "ram": "untested",
        "build": "00C3",
    }
    assert (body["calibrated"], body["latched"], body["pour"], body["blockers"]) == (True, False, None, [])


async def test_a_lost_board_is_shown_with_its_reason(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    machine.link = LinkStatus(LinkState.LOST, 30.0, "nothing heard for 500 ms; look at the cable")
    body = (await client.get("/v1/machine")).json()
    assert body["link"] == {
        "state": "lost",
        "reason": "nothing heard for 500 ms; look at the cable",
        "board": None,
    }


async def test_the_pour_under_way_is_linked(client: httpx.AsyncClient) -> None:
    link = (await client.post("/v1/pours", json={"doses": [{"channel": 1, "amount_g": 50}]})).headers[
        "location"
    ]
    assert (await client.get("/v1/machine")).json()["pour"] == link


async def test_emergency_stop_latches_until_reset(client: httpx.AsyncClient) -> None:
    assert (await client.post("/v1/machine/emergency-stop")).json()["latched"] is True
    unready = await client.get("/v1/ready")
    assert unready.status_code == 503
    assert unready.headers["content-type"] == "application/problem+json"
    assert any("latched" in blocker for blocker in unready.json()["blockers"])
    assert (await client.post("/v1/machine/release")).json()["latched"] is False
    assert (await client.get("/v1/ready")).json() == {"ready": True}


async def test_health_asks_nothing_of_the_machine(client: httpx.AsyncClient, machine: MachineDouble) -> None:
    machine.blockers = ("no board",)
    reply = await client.get("/v1/health")
    assert (reply.status_code, reply.json()["alive"]) == (200, True)
