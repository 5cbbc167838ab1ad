"""Orders over the API: the desk, the queue, rounds that take from it, and what guests see."""

from collections.abc import AsyncIterator
from dataclasses import replace
from hashlib import sha256
from typing import Any

import pytest

from machine_double import MachineDouble
from round_client import BELL, COOLER, SEAT, RoundClient, round_client
from tarewell.dosing.states import PourState
from tarewell.records.store import Store
from tarewell.settings import GuestSettings

TITLE = "The Paper Lantern, second night"


@pytest.fixture
def guests() -> GuestSettings:
    return GuestSettings()


@pytest.fixture
async def at(machine: MachineDouble, guests: GuestSettings) -> AsyncIterator[RoundClient]:
    async with round_client(machine, guests) as client:
        opened = await client.post("/v1/service/open", {"title": TITLE, "guests_may_order": True})
        assert opened.status_code == 201
        yield client


async def order(at: RoundClient, recipe_id: str, guest: str, **headers: str) -> dict[str, Any]:
    reply = await at.post("/v1/guest/orders", {"recipe_id": recipe_id, "guest": guest}, **headers)
    assert reply.is_success, reply.text
    shown: dict[str, Any] = reply.json()
    return shown


async def state(at: RoundClient, placed: dict[str, Any]) -> str:
    await at.machine.writer.drain(5.0)
    reply = await at.client.get(f"/v1/guest/orders/{placed['id']}")
    shown: str = reply.json()["state"]
    return shown


async def line(at: RoundClient) -> list[tuple[int, str]]:
    await at.machine.writer.drain(5.0)
    return [(each["number"], each["state"]) for each in (await at.client.get("/v1/orders")).json()]


async def release(at: RoundClient, *numbers: int, **more: Any) -> dict[str, Any]:
    reply = await at.post("/v1/rounds", {"orders": list(numbers), **more})
    assert reply.status_code == 201, reply.text
    shown: dict[str, Any] = reply.json()
    return shown


async def pour_glass(at: RoundClient, begun: dict[str, Any]) -> None:
    await at.rests(250.0)
    await at.pours(begun, 23.7)


async def test_from_the_guests_order_to_the_glass(at: RoundClient) -> None:
    first, second = await order(at, "bell", "C3"), await order(at, "cooler", SEAT)
    assert [first["number"], second["number"]] == [1, 2]
    assert (first["state"], first["before"], second["state"], second["before"]) == ("next", 0, "waiting", 1)
    begun = await release(at, 1, 2, auto_start=True)
    assert [glass["order_number"] for glass in begun["glasses"]] == [1, 2]
    assert begun["glasses"][0]["guest"] == "C3"
    refused = await at.client.delete(f"/v1/guest/orders/{second['id']}")
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/command-not-possible")
    await at.rests(250.0)
    await at.until(begun, lambda _: at.machine.running is not None)
    assert [await state(at, first), await state(at, second)] == ["pouring", "next"]
    await at.pours(begun, 23.7)
    assert await state(at, first) == "ready"
    ready = (await at.client.get(f"/v1/guest/orders/{first['id']}")).json()
    # 23.7 g of 40 % vol at 0.9480 g/ml (OIML R 22) are 25 ml
    assert (ready["poured"]["volume_ml"], ready["before"]) == (25.0, None)
    shown = await at.client.get("/v1/orders")
    assert [(each["number"], each["state"]) for each in shown.json()] == [(2, "next"), (1, "ready")]
    assert shown.json()[1]["round"] == begun["links"]["self"]
    await at.post(f"/v1/orders/{first['id']}/collected")
    assert await line(at) == [(2, "next")]
    assert [each["number"] for each in (await at.client.get("/v1/orders?over=true")).json()] == [2, 1]


async def test_an_order_whose_glass_is_skipped_or_stopped_waits_again(at: RoundClient) -> None:
    for seat in ("A1", "A2", "A3"):
        await order(at, "bell", seat)
    begun = await release(at, 1, 2)
    await at.post(f"{begun['links']['self']}/skip")
    assert await line(at) == [(2, "next"), (3, "waiting"), (1, "waiting")]
    await at.post(f"{begun['links']['self']}/stop")
    assert await line(at) == [(2, "next"), (3, "waiting"), (1, "waiting")]
    begun = await release(at, 2, auto_start=True)
    await at.rests(250.0)
    await at.until(begun, lambda _: at.machine.running is not None)
    await at.machine.finish([4.0], PourState.ABORTED)
    await at.step(begun, "held")
    assert (await line(at))[0] == (2, "pouring"), "the glass may be begun again"
    await at.post(f"{begun['links']['self']}/stop")
    assert (await line(at))[0] == (2, "next")


async def test_nothing_is_lost_when_the_program_is_killed_in_a_pour(at: RoundClient, store: Store) -> None:
    await order(at, "bell", SEAT)
    begun = await release(at, 1, auto_start=True)
    await at.rests(250.0)
    await at.until(begun, lambda _: at.machine.running is not None)
    assert await line(at) == [(1, "pouring")]
    await store.pours.close_interrupted()  # as at the next start
    await store.rounds.close_interrupted()
    (waiting,) = await store.orders.of_service((await store.orders.service() or pytest.fail()).id)
    assert (waiting.standing.state, waiting.standing.place) == ("waiting", 1)


async def test_an_order_is_in_one_round_at_most(at: RoundClient) -> None:
    placed = await order(at, "bell", SEAT)
    first = {"orders": [1]}
    begun = await at.post("/v1/rounds", first, **{"Idempotency-Key": "release-1"})
    await at.post(f"{begun.json()['links']['self']}/stop")
    await at.machine.writer.drain(5.0)
    again = await at.post("/v1/rounds", first, **{"Idempotency-Key": "release-1"})
    assert (again.status_code, again.json()["id"]) == (200, begun.json()["id"])
    assert await line(at) == [(1, "next")]
    await at.post(f"/v1/orders/{placed['id']}/send-back", {"reason": "it is late"})
    refused = await at.post("/v1/rounds", first)
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/command-not-possible")
    assert (await at.client.get("/v1/machine")).json()["round"] is None
    unknown = await at.post("/v1/rounds", {"orders": [7]})
    assert (unknown.status_code, "has no order 7" in unknown.json()["detail"]) == (404, True)


async def test_a_key_places_one_order(at: RoundClient) -> None:
    first = await order(at, "bell", SEAT, **{"Idempotency-Key": "tap-1"})
    again = await order(at, "bell", SEAT, **{"Idempotency-Key": "tap-1"})
    assert again["id"] == first["id"]
    assert len(await line(at)) == 1
    body = {"recipe_id": "cooler", "guest": SEAT}
    other = await at.post("/v1/guest/orders", body, **{"Idempotency-Key": "tap-1"})
    assert other.json()["type"] == "/problems/idempotency-conflict"
    assert first["id"] not in other.text, "the id is the first guest's own"


async def test_the_bar_moves_and_sends_back_and_the_guest_takes_back(at: RoundClient) -> None:
    a, b, c = [await order(at, "bell", seat) for seat in ("A1", "A2", "A3")]
    assert (await at.post(f"/v1/orders/{a['id']}/later")).json()["before"] == 2
    assert (await at.post(f"/v1/orders/{c['id']}/next")).json()["state"] == "next"
    assert [number for number, _ in await line(at)] == [3, 2, 1]
    assert (await at.client.delete(f"/v1/guest/orders/{b['id']}")).json()["state"] == "taken_back"
    await at.post(f"/v1/orders/{a['id']}/send-back", {"reason": "Dry is out"})
    sent = (await at.client.get(f"/v1/guest/orders/{a['id']}")).json()
    assert (sent["state"], sent["reason"], sent["before"]) == ("sent_back", "Dry is out", None)
    assert await line(at) == [(3, "next")]


async def test_each_step_is_an_event(at: RoundClient) -> None:
    feed = at.machine.feed.subscribe()
    placed = await order(at, "bell", SEAT)
    await at.client.delete(f"/v1/guest/orders/{placed['id']}")
    events = [await anext(feed) for _ in range(3)]
    told = [(event.kind, event.body["number"], event.body.get("state")) for event in events]
    assert told == [
        ("order_placed", 1, None),
        ("order_state", 1, "waiting"),
        ("order_state", 1, "taken_back"),
    ]


async def test_the_link_is_drawn_as_a_code_with_a_quiet_zone_of_four_modules(at: RoundClient) -> None:
    path = "/v1/service/link/code"
    assert (await at.client.get(path, params={"address": "http://bar.test"})).status_code == 404
    await at.post("/v1/service/link")
    drawn = await at.client.get(path, params={"address": "http://bar.test"})
    assert (drawn.headers["content-type"], drawn.headers["cache-control"]) == ("image/svg+xml", "no-store")
    # "http://bar.test/e/" and 43 characters are 61 bytes: level M of ISO/IEC 18004 holds 62 in version 4,
    # whose side has 33 modules. The first row begins with a finder pattern of seven.
    assert 'viewBox="0 0 41 41"' in drawn.text
    assert "M4 4.5h7" in drawn.text
    elsewhere = await at.client.get(path, params={"address": "http://bar.test:8788"})
    assert elsewhere.text != drawn.text
    for wrong in ("bar.test", "http://bar.test/menu", "javascript:alert(1)"):
        assert (await at.client.get(path, params={"address": wrong})).status_code == 422


async def test_a_drink_that_cannot_be_poured_is_not_ordered(at: RoundClient) -> None:
    await at.machine.store.bottles.correct("dry-1", 1.0)
    refused = await at.post("/v1/guest/orders", {"recipe_id": "bell", "guest": SEAT})
    assert (refused.status_code, refused.json()["type"]) == (422, "/problems/order-not-possible")
    assert refused.json()["detail"] == "Bell cannot be poured now; choose another drink"
    at_the_bar = await at.post("/v1/orders", BELL)
    assert "channel 7 has 1 g of Dry left" in at_the_bar.json()["detail"]
    nothing = await at.post("/v1/orders", {"recipe_id": "nothing"})
    assert nothing.json()["type"] == "/problems/order-not-possible"
    assert await line(at) == []


class TestLimit:
    @pytest.fixture
    def guests(self) -> GuestSettings:
        return GuestSettings(limit_standard_drinks=1.5)

    async def test_the_bar_looks_first_and_the_guest_sees_no_count(self, at: RoundClient) -> None:
        first, second = await order(at, "bell", SEAT), await order(at, "bell", SEAT)
        assert (first["bar_looks"], second["bar_looks"]) == (False, True)
        assert not [name for name in second if "drinks" in name or "ethanol" in name or "limit" in name]
        begun = await release(at, 1, 2, auto_start=True)
        await pour_glass(at, begun)
        await at.rests(0.0)
        await at.step(begun, "awaiting_release")
        assert await state(at, second) == "waiting"
        await at.post(f"/v1/guests/{SEAT}/release", {"released_by": "the host", "reason": "shares it"})
        await at.step(begun, "awaiting_glass")
        await pour_glass(at, begun)
        assert await state(at, second) == "ready"

    async def test_a_check_tells_units_before_and_after(self, at: RoundClient) -> None:
        await order(at, "bell", SEAT)
        body = {"glasses": [BELL, COOLER], "orders": [1]}
        found = (await at.post("/v1/rounds/check", body)).json()
        assert found["guests"] == [{"guest": SEAT, "before": 0.0, "after": 2.0, "limit": 1.5, "held": True}]
        assert found["price"] is None, "the recipes have no prices"


async def test_a_check_tells_the_price(at: RoundClient) -> None:
    for recipe in await at.machine.store.recipes.all():
        await at.machine.store.recipes.put(replace(recipe, price=2.5))
    found = (await at.post("/v1/rounds/check", {"glasses": [BELL, COOLER, COOLER]})).json()
    assert (found["price"], found["currency"]) == (7.5, None)


async def test_the_menu_for_guests_has_what_can_be_poured_and_no_machine(at: RoundClient) -> None:
    menu = (await at.client.get("/v1/guest/menu")).json()
    assert (menu["title"], menu["open"], menu["may_order"]) == (TITLE, True, True)
    assert [(drink["name"], drink["without_alcohol"]) for drink in menu["drinks"]] == [
        ("Cooler", True),
        ("Bell", False),
    ]
    assert "channel" not in str(menu)
    assert menu["drinks"][0]["glass"] == {
        "brim_ml": 250.0,
        "rim_mm": None,
        "base_mm": None,
        "height_mm": None,
    }
    liquids = {found["id"]: found for found in (await at.client.get("/v1/liquids")).json()}
    layers = [drink["layers"] for drink in menu["drinks"]]
    colours = [liquids[liquid]["shown_colour"] for liquid in ("spring", "dry")]
    assert layers == [[{"share": 1.0, "colour": colour}] for colour in colours]
    assert "spring" not in str(menu)
    await at.machine.store.bottles.correct("dry-1", 1.0)
    menu = (await at.client.get("/v1/guest/menu")).json()
    assert [drink["name"] for drink in menu["drinks"]] == ["Cooler"]


class TestService:
    async def test_closing_sends_back_what_waits_and_the_next_one_counts_anew(self, at: RoundClient) -> None:
        placed = await order(at, "bell", SEAT)
        assert (await at.post("/v1/service/open", {"title": "late"})).status_code == 409
        assert (await at.post("/v1/service/close")).json()["open"] is False
        sent = (await at.client.get(f"/v1/guest/orders/{placed['id']}")).json()
        assert (sent["state"], sent["reason"]) == ("sent_back", "the bar is closed")
        closed = await at.post("/v1/orders", COOLER)
        assert (closed.status_code, closed.json()["type"]) == (409, "/problems/bar-closed")
        await at.post("/v1/service/open", {"title": "third night"})
        assert (await at.post("/v1/orders", COOLER)).json()["number"] == 1

    async def test_it_is_not_closed_over_a_round_with_orders(self, at: RoundClient) -> None:
        await order(at, "bell", SEAT)
        begun = await release(at, 1)
        refused = await at.post("/v1/service/close")
        assert (refused.status_code, refused.json()["type"]) == (409, "/problems/in-use")
        await at.post(f"{begun['links']['self']}/stop")
        await at.machine.writer.drain(5.0)
        assert (await at.post("/v1/service/close")).status_code == 200

    async def test_guests_may_order_or_only_read(self, at: RoundClient) -> None:
        await at.client.put("/v1/service/guests", json={"may_order": False})
        refused = await at.post("/v1/guest/orders", {"recipe_id": "bell", "guest": SEAT})
        assert refused.json()["type"] == "/problems/bar-closed"
        assert (await at.client.get("/v1/guest/menu")).json()["may_order"] is False
        assert (await at.post("/v1/orders", BELL)).status_code == 201

    async def test_the_link_is_made_anew_and_ended_and_is_in_no_event(self, at: RoundClient) -> None:
        orders = at.machine.store.orders
        assert not await orders.admits("")
        assert (await at.client.get("/v1/service/link")).status_code == 404
        first, second = [(await at.post("/v1/service/link")).json()["path"] for _ in "12"]
        assert (await at.client.get("/v1/service/link")).json()["path"] == second
        old, new = (path.removeprefix("/e/") for path in (first, second))
        assert [await orders.admits(key) for key in (old, new, "é")] == [False, True, False]
        told = str(await at.machine.store.journal.since(0, 1000)) + str(await orders.service())
        assert new not in told
        await at.client.delete("/v1/service/link")
        assert not await orders.admits(new)
        await at.post("/v1/service/link")
        await at.post("/v1/service/close")
        assert (await at.client.get("/v1/service/link")).status_code == 404


async def test_a_round_without_orders_is_the_request_that_it_was_before_there_were_any(
    at: RoundClient,
) -> None:
    stored = (
        '{"glasses":[{"recipe_id":"cooler","count":1,"glass_id":null,"volume_ml":null,"guest":null,'
        '"max_ethanol_g":null,"instead":{}}],"auto_start":false,"allow_short":false}'
    )
    await at.post("/v1/rounds", {"glasses": [COOLER]}, **{"Idempotency-Key": "old"})
    mark = sha256(stored.encode()).hexdigest()
    assert await at.machine.store.rounds.find("old", mark) is not None


@pytest.mark.parametrize(
    "body", [{}, {"orders": []}, {"orders": [0]}, {"orders": [1, 1]}, {"orders": list(range(1, 102))}]
)
async def test_a_round_of_no_or_odd_numbers_is_refused(at: RoundClient, body: Any) -> None:
    assert (await at.post("/v1/rounds", body)).json()["type"] == "/problems/invalid-request"
