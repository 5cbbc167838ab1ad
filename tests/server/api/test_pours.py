import asyncio
from dataclasses import replace

import httpx
import pytest

from machine_double import MachineDouble
from tarewell.dosing.drips import Dripped
from tarewell.dosing.events import PourCommand
from tarewell.dosing.states import PourState
from tarewell.machine.pour_record import Certainty, FoundLater
from tarewell.records.store import Store

WATER = {"doses": [{"channel": 1, "amount_g": 120}]}
ROUND = {"doses": [{"channel": 1, "amount_g": 120}, {"channel": 4, "amount_ml": 20}]}


async def test_a_pour_is_created_with_its_location_and_shown_there(
    client: httpx.AsyncClient,
) -> None:
    reply = await client.post("/v1/pours", json=ROUND)
    assert reply.status_code == 201
    body = reply.json()
    assert reply.headers["location"] == body["links"]["self"] == f"/v1/pours/{body['id']}"
    shown = (await client.get(reply.headers["location"])).json()
    assert shown == body
    assert (shown["state"], shown["progress"]["step"]) == ("running", "coarse_feed")
    assert shown["progress"]["delivered_g"] == [57.13]


async def test_volumes_become_masses_by_the_density_of_the_channels_liquid(client: httpx.AsyncClient) -> None:
    doses = (await client.post("/v1/pours", json=ROUND)).json()["doses"]
    # 20 ml of a 30 °Bx syrup of 1.127 g/ml
    assert [(dose["liquid_id"], dose["target_g"]) for dose in doses] == [
        ("house-water", 120.0),
        ("prompters-cordial", 22.54),
    ]


async def test_what_the_glass_holds_is_compared_by_volume(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    # 101 g of a 40 % spirit at 0.948 g/ml are 106.5 ml
    spirit = {"doses": [{"channel": 2, "amount_g": 101}]}
    refused = await client.post("/v1/pours", json={**spirit, "glass_holds_ml": 106})
    assert refused.status_code == 422
    assert refused.json()["type"] == "/problems/pour-not-possible"
    assert refused.json()["errors"][0]["pointer"] == "/doses"
    assert "larger glass" in refused.json()["detail"]
    assert (await client.post("/v1/pours", json={**spirit, "glass_holds_ml": 107})).status_code == 201


async def test_the_same_key_pours_once(client: httpx.AsyncClient, machine: MachineDouble) -> None:
    key = {"Idempotency-Key": "interval-7"}
    first = await client.post("/v1/pours", json=ROUND, headers=key)
    while_running = await client.post("/v1/pours", json=ROUND, headers=key)
    await machine.finish([120.3, 22.4])
    after = await client.post("/v1/pours", json=ROUND, headers=key)
    assert first.status_code == 201
    assert "idempotency-replayed" not in first.headers
    for replay in (while_running, after):
        assert replay.status_code == 200
        assert replay.headers["idempotency-replayed"] == "true"
        assert replay.headers["location"] == first.headers["location"]
    assert after.json()["state"] == "complete"
    assert machine.starts == 1


async def test_the_same_key_pours_once_across_a_restart(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    key = {"Idempotency-Key": "interval-7"}
    first = await client.post("/v1/pours", json=WATER, headers=key)
    await machine.finish([120.0])
    machine.running = None  # all that a new process would know is in the store
    replay = await client.post("/v1/pours", json=WATER, headers=key)
    assert (replay.status_code, replay.json()["id"]) == (200, first.json()["id"])
    assert machine.starts == 1


async def test_a_repeated_request_finds_its_pour_though_the_channel_has_changed(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    key = {"Idempotency-Key": "interval-7"}
    first = await client.post("/v1/pours", json=ROUND, headers=key)
    await machine.finish([120.0, 22.5])
    await machine.store.channels.assign(4, None, "spare")
    replay = await client.post("/v1/pours", json=ROUND, headers=key)
    assert (replay.status_code, replay.json()["id"]) == (200, first.json()["id"])
    new = await client.post("/v1/pours", json=ROUND, headers={"Idempotency-Key": "interval-8"})
    assert (new.status_code, new.json()["errors"][0]["pointer"]) == (422, "/doses/1")
    assert "PUT /v1/channels/4" in new.json()["detail"]


async def test_the_same_request_in_another_spelling_is_the_same(client: httpx.AsyncClient) -> None:
    key = {"Idempotency-Key": "interval-8", "Content-Type": "application/json"}
    first = await client.post("/v1/pours", content='{"doses":[{"channel":1,"amount_g":50}]}', headers=key)
    again = await client.post(
        "/v1/pours",
        content='{ "glass_holds_ml": null, "doses": [ {"amount_g": 50.0, "channel": 1} ] }',
        headers=key,
    )
    assert (first.status_code, again.status_code) == (201, 200)


async def test_a_key_with_another_body_is_refused_and_names_its_pour(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    key = {"Idempotency-Key": "interval-9"}
    first = await client.post("/v1/pours", json=WATER, headers=key)
    await machine.finish([120.0])
    other = await client.post("/v1/pours", json=ROUND, headers=key)
    assert other.status_code == 422
    assert other.json()["type"] == "/problems/idempotency-conflict"
    assert other.json()["pour"] == first.headers["location"]


async def test_while_one_pours_another_is_refused_with_a_link(client: httpx.AsyncClient) -> None:
    first = await client.post("/v1/pours", json=WATER)
    reply = await client.post("/v1/pours", json=ROUND)
    assert reply.status_code == 409
    assert reply.json()["type"] == "/problems/machine-busy"
    assert reply.json()["pour"] == first.headers["location"]


async def test_a_blocked_machine_refuses_with_its_blockers(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    machine.blockers = ("the scale is not calibrated; calibrate it",)
    reply = await client.post("/v1/pours", json=WATER)
    assert reply.status_code == 409
    assert reply.json()["type"] == "/problems/machine-not-ready"
    assert reply.json()["blockers"] == ["the scale is not calibrated; calibrate it"]


@pytest.mark.parametrize(
    ("dose", "pointer", "says"),
    [
        ({"channel": 3, "amount_g": 50}, "/doses/1", "no channel 3"),
        ({"channel": 99, "amount_ml": 50}, "/doses/1", "no channel 99"),
        ({"channel": 1, "amount_g": 0.5}, "/doses/1", "at least 2 g"),
        ({"channel": 1, "amount_g": 1e9}, "/doses/1", "more than the scale weighs"),
        ({"channel": 1, "amount_g": 950}, "/doses", "more than the scale weighs"),
        ({"channel": 1, "amount_g": -5}, "/doses/1/amount_g", "greater than 0"),
        ({"channel": 1, "amount_g": 0}, "/doses/1/amount_g", "greater than 0"),
        ({"channel": 1, "amount_g": "50"}, "/doses/1/amount_g", "valid number"),
        ({"channel": 1, "amount_g": True}, "/doses/1/amount_g", "valid number"),
        ({"channel": 0, "amount_g": 50}, "/doses/1/channel", "greater than or equal to 1"),
        ({"channel": 1.5, "amount_g": 50}, "/doses/1/channel", "integer"),
        ({"channel": 1}, "/doses/1", "exactly one of"),
        ({"channel": 1, "amount_g": 50, "amount_ml": 50}, "/doses/1", "exactly one of"),
        ({"amount_g": 50}, "/doses/1/channel", "required"),
        ({"channel": 1, "amount_g": 50, "ice/cubes": 3}, "/doses/1/ice~1cubes", "no such field"),
    ],
)
async def test_bad_doses(
    client: httpx.AsyncClient, machine: MachineDouble, dose: dict[str, object], pointer: str, says: str
) -> None:
    reply = await client.post("/v1/pours", json={"doses": [{"channel": 1, "amount_g": 60}, dose]})
    assert reply.status_code == 422
    assert reply.headers["content-type"] == "application/problem+json"
    (error,) = reply.json()["errors"]
    assert error["pointer"] == pointer
    assert says in error["detail"]
    assert machine.starts == 0


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e999"])
async def test_what_is_not_a_number_is_refused(client: httpx.AsyncClient, number: str) -> None:
    reply = await client.post(
        "/v1/pours",
        content=f'{{"doses": [{{"channel": 1, "amount_g": {number}}}]}}',
        headers={"Content-Type": "application/json"},
    )
    assert reply.status_code == 422
    assert reply.json()["errors"][0]["pointer"] == "/doses/0/amount_g"


async def test_no_dose_and_too_many_are_refused(client: httpx.AsyncClient) -> None:
    dose = {"channel": 1, "amount_g": 2}
    for doses in ([], [dose] * 33):
        reply = await client.post("/v1/pours", json={"doses": doses})
        assert reply.status_code == 422
        assert reply.json()["errors"][0]["pointer"] == "/doses"


async def test_a_channel_without_liquid_says_what_to_do(client: httpx.AsyncClient, store: Store) -> None:
    await store.channels.assign(6, None, "spare")
    reply = await client.post("/v1/pours", json={"doses": [{"channel": 6, "amount_ml": 30}]})
    assert reply.status_code == 422
    assert "PUT /v1/channels/6" in reply.json()["detail"]


@pytest.mark.parametrize("key", ["", "a b", "ä", "k" * 256])
async def test_a_bad_key_is_refused_by_name(client: httpx.AsyncClient, key: str) -> None:
    reply = await client.post("/v1/pours", json=WATER, headers=[(b"Idempotency-Key", key.encode())])
    assert reply.status_code == 422
    assert reply.json()["errors"][0]["parameter"].lower() == "idempotency-key"


@pytest.mark.parametrize("command", [PourCommand.HOLD, PourCommand.STOP, PourCommand.ABORT])
async def test_commands_reach_the_pour(
    client: httpx.AsyncClient, machine: MachineDouble, command: PourCommand
) -> None:
    link = (await client.post("/v1/pours", json=WATER)).headers["location"]
    reply = await client.post(f"{link}/{command}")
    assert reply.status_code == 202
    assert [given for _, given in machine.commands] == [command]
    assert reply.json()["state"] in ("held", "stopping", "aborting")


async def test_a_held_pour_is_restarted_and_a_running_one_is_not(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    link = (await client.post("/v1/pours", json=WATER)).headers["location"]
    refused = await client.post(f"{link}/restart")
    assert refused.status_code == 409
    assert refused.json()["type"] == "/problems/command-not-possible"
    assert "it takes" in refused.json()["detail"]
    await client.post(f"{link}/hold")
    assert (await client.post(f"{link}/restart")).json()["state"] == "restarting"


async def test_a_pour_that_is_over_takes_no_command(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    link = (await client.post("/v1/pours", json=WATER)).headers["location"]
    await machine.finish([120.4])
    reply = await client.post(f"{link}/stop")
    assert reply.status_code == 409
    assert reply.json()["type"] == "/problems/command-not-possible"


@pytest.mark.parametrize("path", ["", "/trace", "/trace.csv"])
async def test_an_unknown_pour_is_not_found(client: httpx.AsyncClient, path: str) -> None:
    reply = await client.get(f"/v1/pours/nowhere{path}")
    assert reply.status_code == 404
    assert "nowhere" in reply.json()["detail"]


@pytest.mark.parametrize("command", ["hold", "restart", "stop", "abort"])
async def test_a_command_to_an_unknown_pour_is_not_found(client: httpx.AsyncClient, command: str) -> None:
    assert (await client.post(f"/v1/pours/nowhere/{command}")).status_code == 404


async def test_a_finished_pour_shows_what_it_delivered(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    link = (await client.post("/v1/pours", json=ROUND)).headers["location"]
    await machine.finish([120.38, 22.14])
    body = (await client.get(link)).json()
    assert (body["state"], body["cause"], body["progress"]) == ("complete", "target", None)
    assert (body["delivered_g"], body["glass_g"]) == (142.52, 251.3)
    assert [(dose["error_g"], dose["verdict"]) for dose in body["doses"]] == [
        (0.38, "within"),
        (-0.4, "within"),
    ]
    assert body["doses"][0]["took_s"] == 12.5
    assert (body["purpose"], body["recipe"]) == ("drink", None)
    assert [dose["rescaled_g"] for dose in body["doses"]] == [None, None]
    held = body["in_glass"]
    assert (held["mass_g"], held["ethanol_g"], held["strength_known"]) == (142.52, 0.0, True)
    assert (held["sugar_known"], held["by_hand"]) == (False, False)
    assert (held["allergens"], held["allergens_unknown"]) == ([], ["house-water", "prompters-cordial"])
    assert (await client.get("/v1/pours")).json()[0]["in_glass"] is None


async def test_the_strength_in_the_glass_is_that_of_the_liquid_at_the_time_and_counts_what_dripped(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    reply = await client.post("/v1/pours", json={"doses": [{"channel": 2, "amount_g": 23.7}]})
    assert reply.json()["in_glass"] is None
    await machine.finish([23.5])
    pour_id = reply.json()["id"]
    await machine.store.pours.add_late_drips(pour_id, Dripped(0, 0.2, 0.05, 0.05))
    spirit = await machine.store.liquids.get("footlight-spirit")
    await machine.store.liquids.put(replace(spirit, abv_percent=30.0))
    held = (await client.get(f"/v1/pours/{pour_id}")).json()["in_glass"]
    # 40 % vol: 0.94805 g/ml at 20 °C (OIML R 22), ethanol 0.78924 g/ml: 10.0 ml of it in 25.0 ml
    assert (held["volume_ml"], held["strength_percent_vol"]) == (25.0, 40.0)
    assert held["ethanol_g"] == pytest.approx(10.0 * 0.78924, abs=0.01)


async def test_what_was_found_later_is_shown_beside_what_was_known(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    reply = await client.post("/v1/pours", json=WATER)
    await machine.finish([26.38])
    pour_id = reply.json()["id"]
    await machine.store.pours.add_found_later(FoundLater(pour_id, Certainty.WEIGHED, 2.754, 0))
    body = (await client.get(f"/v1/pours/{pour_id}")).json()
    found = body["found_later"]
    assert (body["delivered_g"], found["found_g"], found["certainty"]) == (26.38, 2.75, "weighed")
    assert (found["dose"], found["reason"]) == (0, None)
    assert (await client.get("/v1/pours")).json()[0]["found_later"] == found


async def test_a_mass_is_shown_with_its_uncertainty_and_with_what_dripped(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    reply = await client.post("/v1/pours", json=WATER)
    await machine.finish([26.38])
    pour_id = reply.json()["id"]
    body = (await client.get(f"/v1/pours/{pour_id}")).json()
    for told in (body, body["doses"][0]):
        assert (told["final_g"], told["uncertainty_g"], told["final_uncertainty_g"]) == (26.38, None, None)
    await machine.store.pours.add_late_drips(pour_id, Dripped(0, 0.164, 0.0514, 0.0526))
    body = (await client.get(f"/v1/pours/{pour_id}")).json()
    (dose,) = body["doses"]
    assert (body["delivered_g"], body["final_g"], body["final_uncertainty_g"]) == (26.38, 26.54, 0.053)
    assert (dose["delivered_g"], dose["final_g"], dose["final_uncertainty_g"]) == (26.38, 26.54, 0.051)


async def test_a_dose_that_was_rescaled_is_judged_by_its_new_target(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    link = (await client.post("/v1/pours", json=ROUND)).headers["location"]
    await machine.finish([126.0, 23.71], rescaled_g={1: 23.66})
    second = (await client.get(link)).json()["doses"][1]
    assert (second["target_g"], second["rescaled_g"], second["error_g"]) == (22.54, 23.66, 0.05)


async def test_two_requests_at_once_with_one_key_start_one_pour(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    key = {"Idempotency-Key": "interval-10"}
    replies = await asyncio.gather(*(client.post("/v1/pours", json=WATER, headers=key) for _ in range(4)))
    assert machine.starts == 1
    assert len({reply.json()["id"] for reply in replies}) == 1


async def test_a_held_state_is_named_as_the_standard_does(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    machine.pour_state = PourState.TARING
    link = (await client.post("/v1/pours", json=WATER)).headers["location"]
    assert (await client.get(link)).json()["state"] == "running"
    machine.pour_state = PourState.HELD
    assert (await client.get(link)).json()["state"] == "held"
