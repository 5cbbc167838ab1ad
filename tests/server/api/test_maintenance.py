"""Prime, flush and purge over the API, and the refusal of drinks until a channel is rinsed."""

import html
from typing import Any

import httpx
import pytest

from machine_double import MachineDouble
from tarewell.dosing.maintenance import ChannelNeed, TubeState
from tarewell.dosing.plan import Agent, Purpose
from tarewell.records.store import Store
from tarewell.setup_file.example import INTERVAL_BAR


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
    machine.tube_states[4] = TubeState(ChannelNeed.RINSE)
    drink = {"doses": [{"channel": 1, "amount_g": 50}, {"channel": 4, "amount_g": 20}]}
    refused = await client.post("/v1/pours", json=drink)
    assert refused.status_code == 422
    assert "flush it with water" in refused.json()["detail"]
    assert (await client.post("/v1/channels/4/prime")).status_code == 422
    assert (await client.post("/v1/channels/4/flush", json={"agent": "water"})).status_code == 201


async def test_what_each_channel_needs(client: httpx.AsyncClient, machine: MachineDouble) -> None:
    machine.tube_states[4] = TubeState(ChannelNeed.PURGE)
    shown = (await client.get("/v1/maintenance")).json()
    assert [(entry["channel"], entry["need"]) for entry in shown] == [(1, "none"), (2, "none"), (4, "purge")]
    assert "purge it, then prime it" in shown[2]["message"]


async def test_a_new_tube_needs_its_first_rinse(client: httpx.AsyncClient) -> None:
    shown = (await client.post("/v1/channels/4/change-tube")).json()
    assert (shown["need"], [step["step"] for step in shown["steps"]]) == (
        "new_tube",
        ["rinse", "purge", "prime"],
    )
    assert "has a new tube: flush it with water" in shown["message"]
    (newest, *_) = (await client.get("/v1/journal/entries")).json()
    assert (newest["kind"], newest["body"]) == ("tube_changed", {"channel": 4})
    assert (await client.post("/v1/channels/7/change-tube")).status_code == 404


# another liquid


SWAPPED = (
    "channel 3 still holds Dress Circle Syrup (nuts): flush it with a cleaner, then with water, 100 g or "
    "more each and as the cleaner's label says, then purge and prime it (no flush guarantees that an "
    "allergen is gone)"
)


@pytest.fixture
async def swapped(client: httpx.AsyncClient, store: Store, machine: MachineDouble) -> httpx.AsyncClient:
    """The interval bar, with water in place of the nut syrup on channel 3, and on no other channel."""
    text = INTERVAL_BAR.read_text("utf-8")
    await client.post("/v1/setup/import", params={"dry_run": "false"}, content=text)
    await client.post("/v1/bottles/water-1/unmount")
    await client.put("/v1/channels/1", json={"liquid_id": None, "name": "far left"})
    assert (await client.post("/v1/channels/3/swap", json={"bottle_id": "water-1"})).status_code == 200
    machine.tube_states = await store.pours.tubes()
    return client


async def test_a_swap_is_told_in_the_same_words_everywhere(swapped: httpx.AsyncClient) -> None:
    residue = [
        {
            "liquid_id": "dress-circle-syrup",
            "name": "Dress Circle Syrup",
            "allergens": ["nuts"],
            "abv_percent": 0.0,
        }
    ]
    for path, key in (("/v1/maintenance", "channel"), ("/v1/channels", "number")):
        told = {entry[key]: entry for entry in (await swapped.get(path)).json()}
        assert (told[3]["need"], told[3]["message"], told[3]["residue"]) == ("clean", SWAPPED, residue)
        assert (told[4]["need"], told[4]["residue"]) == ("none", [])
    drinks = {drink["recipe_id"]: drink for drink in (await swapped.get("/v1/menu")).json()["drinks"]}
    assert {key for key, drink in drinks.items() if SWAPPED in str(drink["blockers"])} == {
        "green-room-cooler",
        "long-overture",
    }
    plan = (await swapped.get("/v1/recipes/green-room-cooler/plan")).json()
    assert [blocker["code"] for blocker in plan["blockers"]] == ["tube_holds_another"]
    assert plan["blockers"][0]["message"] == f"{SWAPPED}; drinks with House Water wait until then"
    refused = await swapped.post("/v1/pours", json={"doses": [{"channel": 3, "amount_g": 50}]})
    assert (refused.status_code, refused.json()["type"]) == (422, "/problems/pour-not-possible")
    assert SWAPPED in refused.json()["detail"]
    card = html.unescape((await swapped.get("/v1/recipes/green-room-cooler/card")).text)
    assert SWAPPED in card
    short = (
        await swapped.post("/v1/rounds/check", json={"glasses": [{"recipe_id": "long-overture"}]})
    ).json()
    assert SWAPPED in short["detail"]


async def test_a_listed_channel_is_edited_by_its_tag(swapped: httpx.AsyncClient) -> None:
    listed = {entry["number"]: entry for entry in (await swapped.get("/v1/channels")).json()}[3]
    assert listed["etag"] == (await swapped.get("/v1/channels/3")).json()["etag"]
    body = {"liquid_id": "house-water", "name": "renamed"}
    reply = await swapped.put("/v1/channels/3", json=body, headers={"If-Match": listed["etag"]})
    assert reply.status_code == 200


async def test_an_import_says_that_the_tube_keeps_its_liquid(client: httpx.AsyncClient) -> None:
    text = INTERVAL_BAR.read_text("utf-8")
    told = (await client.post("/v1/setup/import", params={"dry_run": "false"}, content=text)).json()
    assert not [note for note in told["notes"] if "tube" in note]
    juice_on_4 = text.replace(
        'till"\nliquid_id = "prompters-cordial"', 'till"\nliquid_id = "gallery-juice"'
    ).replace("tare_g = 74\nchannel = 4", "tare_g = 74")
    told = (await client.post("/v1/setup/import", content=juice_on_4)).json()
    assert [note for note in told["notes"] if "tube" in note] == [
        "channel 4 changes from prompters-cordial to gallery-juice; its tube keeps what it holds, and drinks "
        "from the channel wait until another liquid is flushed out"
    ]
