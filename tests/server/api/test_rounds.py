"""Rounds and guests over the API, on a machine that does what the test says."""

from collections.abc import AsyncIterator
from typing import Any
from urllib.parse import quote

import pytest

from machine_double import MachineDouble
from round_client import BELL, COOLER, CUCUMBER, SEAT, RoundClient, round_client
from tarewell.dosing.events import PourCommand
from tarewell.dosing.maintenance import ChannelNeed, TubeState
from tarewell.dosing.states import PourState
from tarewell.settings import GuestSettings

GUEST = f"/v1/guests/{quote(SEAT)}"


@pytest.fixture
def guests() -> GuestSettings:
    return GuestSettings()


@pytest.fixture
async def at(machine: MachineDouble, guests: GuestSettings) -> AsyncIterator[RoundClient]:
    async with round_client(machine, guests) as client:
        yield client


async def test_a_round_from_its_beginning_to_its_end(at: RoundClient) -> None:
    begun = await at.begin(COOLER, BELL, auto_start=True)
    assert begun["state"] == "running"
    assert [glass["state"] for glass in begun["glasses"]] == ["under_way", "waiting"]
    machine = (await at.client.get("/v1/machine")).json()
    assert (machine["round_id"], machine["round"]) == (begun["id"], begun["links"]["self"])
    await at.rests(250.0)
    await at.pours(begun, 99.6)
    shown = await at.step(begun, "by_hand")
    assert shown["progress"]["hand"]["what"] == CUCUMBER.what
    here = f"{begun['links']['self']}/confirm?glass=1&leg=2"
    assert (await at.post(here)).status_code == 202
    again = await at.post(here)
    assert (again.status_code, again.json()["detail"]) == (
        409,
        "the round is at glass 2, got 1; check its progress",
    )
    await at.step(begun, "awaiting_removal")
    await at.rests(0.0)
    await at.step(begun, "awaiting_glass")
    await at.rests(249.0)
    await at.pours(begun, 23.7)
    over = await at.until(begun, lambda now: now["state"] == "complete")
    cooler, bell = over["glasses"]
    assert (cooler["state"], cooler["delivered"]["mass_g"], cooler["delivered"]["ethanol_g"]) == (
        "complete",
        99.6,
        0.0,
    )
    # 23.7 g of 40 % vol at 0.9480 g/ml (OIML R 22) are 25 ml, with 10 ml of ethanol, which is one UK unit
    assert bell["delivered"]["standard_drinks"] == pytest.approx(1.0, abs=0.01)
    assert bell["planned"]["standard_drinks"] == 1.0
    assert over["progress"] is None
    assert over["ended_at"] is not None
    pour = (await at.client.get(bell["pours"][0])).json()
    assert pour["delivered_g"] == 23.7
    assert {name: pour["in_glass"][name] for name in bell["delivered"]} == bell["delivered"]
    assert pour["in_glass"]["by_hand"] is False
    assert (await at.client.get("/v1/machine")).json()["round"] is None


async def test_commands_and_what_is_shown_of_them(at: RoundClient) -> None:
    begun = await at.begin(COOLER)
    link = begun["links"]["self"]
    await at.rests(250.0)
    await at.step(begun, "glass_ready")
    assert (await at.post(f"{link}/hold")).json()["state"] == "held"
    assert (await at.post(f"{link}/restart")).json()["progress"]["step"] == "awaiting_glass"
    await at.step(begun, "glass_ready")
    assert (await at.post(f"{link}/start")).json()["progress"]["step"] == "pouring"
    await at.until(begun, lambda now: now["progress"]["pour"] is not None)
    assert (await at.post(f"{link}/skip")).json()["progress"]["step"] == "skipping"
    assert [command for _, command in at.machine.commands] == [PourCommand.STOP]
    await at.machine.finish([31.0], PourState.STOPPED)
    over = await at.until(begun, lambda now: now["state"] == "complete")
    assert over["glasses"][0]["state"] == "skipped"
    assert over["glasses"][0]["delivered"]["mass_g"] == 31.0
    late = await at.post(f"{link}/stop")
    assert (late.status_code, late.json()["type"]) == (409, "/problems/command-not-possible")
    assert (await at.post("/v1/rounds/nothing/stop")).status_code == 404


async def test_a_command_out_of_place_names_what_is_taken(at: RoundClient) -> None:
    await at.rests(0.0)
    begun = await at.begin(COOLER)
    refused = await at.post(f"{begun['links']['self']}/confirm")
    assert refused.status_code == 409
    assert "it takes hold, skip or stop" in refused.json()["detail"]


async def test_a_wrong_glass_and_a_failed_pour_are_told(at: RoundClient) -> None:
    begun = await at.begin(COOLER, auto_start=True)
    await at.rests(320.0)
    shown = await at.until(begun, lambda now: now["progress"]["detail"] != "")
    assert "an empty Beaker of 230 to 270 g is expected" in shown["progress"]["detail"]
    await at.rests(250.0)
    await at.pours(begun, 12.0, state=PourState.ABORTED)
    shown = await at.until(begun, lambda now: now["state"] == "held")
    assert "ended aborted" in shown["progress"]["detail"]
    restarted = (await at.post(f"{begun['links']['self']}/restart")).json()
    assert (restarted["progress"]["attempt"], restarted["progress"]["step"]) == (2, "awaiting_removal")


async def test_check_tells_how_many(at: RoundClient) -> None:
    body = {"glasses": [{**COOLER, "count": 9}]}
    found = (await at.post("/v1/rounds/check", body)).json()
    assert (found["asked"], found["possible"]) == (9, 7)
    assert [short["glass"] for short in found["short"]] == [8, 9]
    assert "of Spring left" in found["short"][0]["reasons"][0]
    assert found["detail"].startswith("7 of 9 glasses can be poured; glass 8, Cooler:")
    whole = (await at.post("/v1/rounds/check", {"glasses": [COOLER]})).json()
    assert (whole["possible"], whole["short"]) == (1, [])


async def test_a_channel_that_was_flushed_pours_no_glass(at: RoundClient) -> None:
    at.machine.tube_states = {6: TubeState(ChannelNeed.RINSE)}
    found = (await at.post("/v1/rounds/check", {"glasses": [COOLER, BELL]})).json()
    assert (found["possible"], [short["name"] for short in found["short"]]) == (1, ["Cooler"])
    assert "flushed with a cleaner" in found["short"][0]["reasons"][0]
    refused = (await at.post("/v1/rounds", {"glasses": [COOLER]})).json()
    assert refused["type"] == "/problems/round-not-possible"


async def test_a_round_that_cannot_be_poured_is_refused_unless_short_is_allowed(at: RoundClient) -> None:
    body: dict[str, Any] = {"glasses": [BELL, {**COOLER, "count": 9}]}
    refused = (await at.post("/v1/rounds", body)).json()
    assert (refused["status"], refused["type"]) == (422, "/problems/round-not-possible")
    assert "8 of 10 glasses can be poured" in refused["detail"]
    assert [error["pointer"] for error in refused["errors"]] == ["/glasses/1", "/glasses/1"]
    begun = await at.begin(*body["glasses"], allow_short=True)
    assert len(begun["glasses"]) == 8


async def test_one_platform(at: RoundClient) -> None:
    begun = await at.begin(COOLER)
    for path, body in (
        ("/v1/rounds", {"glasses": [BELL]}),
        ("/v1/pours", {"doses": [{"channel": 6, "amount_g": 20}]}),
    ):
        busy = (await at.post(path, body)).json()
        assert (busy["type"], busy["round"]) == ("/problems/machine-busy", begun["links"]["self"])
    await at.post(f"{begun['links']['self']}/stop")
    poured = await at.post("/v1/pours", {"doses": [{"channel": 6, "amount_g": 20}]})
    busy = (await at.post("/v1/rounds", {"glasses": [BELL]})).json()
    assert (busy["type"], busy["pour"]) == ("/problems/machine-busy", poured.headers["Location"])


async def test_a_key_begins_one_round(at: RoundClient) -> None:
    body = {"glasses": [COOLER]}
    first = await at.post("/v1/rounds", body, **{"Idempotency-Key": "interval-1"})
    again = await at.post("/v1/rounds", body, **{"Idempotency-Key": "interval-1"})
    assert (first.status_code, again.status_code) == (201, 200)
    assert again.headers["Idempotency-Replayed"] == "true"
    assert first.headers["Location"] == again.headers["Location"] == first.json()["links"]["self"]
    other = (await at.post("/v1/rounds", {"glasses": [BELL]}, **{"Idempotency-Key": "interval-1"})).json()
    assert (other["type"], other["round"]) == (
        "/problems/idempotency-conflict",
        first.headers["Location"],
    )


async def test_the_history_in_pages(at: RoundClient) -> None:
    made = []
    for _ in range(3):
        made.append(await at.begin(COOLER))
        await at.post(f"{made[-1]['links']['self']}/stop")
        await at.machine.writer.drain(5.0)
    page = await at.client.get("/v1/rounds", params={"limit": 2})
    assert [shown["id"] for shown in page.json()] == [made[2]["id"], made[1]["id"]]
    rest = await at.client.get(page.links["next"]["url"])
    assert [shown["id"] for shown in rest.json()] == [made[0]["id"]]
    assert "Link" not in rest.headers
    assert rest.json()[0]["glasses"][0]["state"] == "stopped"


@pytest.mark.parametrize(
    ("body", "problem"),
    [
        ({"glasses": []}, "invalid-request"),
        ({"glasses": [{"recipe_id": "cooler", "count": 0}]}, "invalid-request"),
        ({"glasses": [{"recipe_id": "cooler", "count": 60}] * 2}, "invalid-request"),
        ({"glasses": [{"recipe_id": "cooler", "guest": "a" * 61}]}, "invalid-request"),
        ({"glasses": [{"recipe_id": "cooler", "guest": "row/seat"}]}, "invalid-request"),
        ({"glasses": [{"recipe_id": "cooler", "guest": ".."}]}, "invalid-request"),
        ({"glasses": [{"recipe_id": "cooler", "max_ethanol_g": -1}]}, "invalid-request"),
        ({"glasses": [{"recipe_id": "cooler", "volume_ml": -1}]}, "invalid-request"),
        ({"glasses": [{"recipe_id": "cooler", "sugar": 1}]}, "invalid-request"),
        ({"glasses": [{"recipe_id": "nothing"}]}, "round-not-possible"),
        ({"glasses": [{"recipe_id": "cooler", "instead": {"gin": "dry"}}]}, "round-not-possible"),
        ({"glasses": [{"recipe_id": "cooler", "volume_ml": 900}]}, "round-not-possible"),
    ],
)
async def test_bad_input_is_refused(at: RoundClient, body: Any, problem: str) -> None:
    refused = await at.post("/v1/rounds", body)
    assert (refused.status_code, refused.json()["type"]) == (422, f"/problems/{problem}")
    assert (await at.client.get("/v1/rounds")).json() == []


async def test_a_substitution_is_asked_for_and_shown(at: RoundClient) -> None:
    begun = await at.begin({**COOLER, "instead": {"spring": "dry"}, "volume_ml": 30})
    (glass,) = begun["glasses"]
    assert glass["name"] == "Cooler (Dry instead of Spring)"
    assert glass["steps"][0]["liquid_id"] == "dry"
    assert glass["planned"]["ethanol_g"] > 9


class TestGuests:
    @pytest.fixture
    def guests(self) -> GuestSettings:
        return GuestSettings(limit_standard_drinks=1.5)

    async def test_a_glass_beyond_the_limit_waits_for_a_release(self, at: RoundClient) -> None:
        begun = await at.begin({**BELL, "count": 2}, auto_start=True)
        await at.rests(250.0)
        await at.pours(begun, 23.7)
        await at.step(begun, "awaiting_removal")
        await at.rests(0.0)
        shown = await at.step(begun, "awaiting_release")
        assert "the host's limit is 1.5" in shown["progress"]["detail"]
        await at.machine.writer.drain(5.0)
        guest = (await at.client.get(GUEST)).json()
        assert guest["standard_drinks"] == pytest.approx(1.0, abs=0.01)
        assert (guest["limit_standard_drinks"], guest["waiting_glass"]) == (1.5, 2)
        body = {"released_by": "the host", "reason": "shares it"}
        assert (await at.post(f"{GUEST}/release", {"released_by": "the host"})).status_code == 422
        released = await at.post(f"{GUEST}/release", body)
        assert (released.status_code, released.json()["glass"]) == (201, 2)
        await at.step(begun, "awaiting_glass")
        again = await at.post(f"{GUEST}/release", body)
        assert (again.status_code, again.json()["type"]) == (409, "/problems/command-not-possible")
        guest = (await at.client.get(GUEST)).json()
        assert [release["reason"] for release in guest["releases"]] == ["shares it"]

    async def test_an_alcohol_free_glass_never_waits(self, at: RoundClient) -> None:
        begun = await at.begin({**COOLER, "guest": SEAT, "count": 5})
        assert begun["progress"]["step"] == "awaiting_glass"


async def test_without_a_limit_a_guest_is_only_counted(at: RoundClient) -> None:
    guest = (await at.client.get(GUEST)).json()
    assert (guest["standard_drinks"], guest["limit_standard_drinks"], guest["releases"]) == (0.0, None, [])
