from typing import Any

import httpx
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tarewell.dosing.inflight import InFlight
from tarewell.records.store import Store

JUICE: dict[str, Any] = {"name": "Gallery Juice", "density_g_per_ml": 1.04, "abv_percent": 0}


async def test_a_liquid_is_put_read_and_replaced(client: httpx.AsyncClient) -> None:
    put = (await client.put("/v1/liquids/gallery-juice", json=JUICE)).json()
    assert put["id"] == "gallery-juice"
    assert put.items() >= JUICE.items()
    assert (put["allergens"], put["active"], put["density_origin"]) == (None, True, "entered")
    await client.put("/v1/liquids/gallery-juice", json={**JUICE, "allergens": ["sulphites"]})
    assert (await client.get("/v1/liquids/gallery-juice")).json()["allergens"] == ["sulphites"]
    names = [liquid["name"] for liquid in (await client.get("/v1/liquids")).json()]
    assert names == ["Footlight Spirit", "Gallery Juice", "House Water", "Prompter's Cordial"]


@pytest.mark.parametrize(
    ("way", "g_per_ml", "origin"),
    [
        # OIML R 22 at 20 °C: 948.05 kg/m³ for 40 % vol, 998.20 kg/m³ for water
        ({"abv_percent": 40}, 0.94805, "strength"),
        ({"abv_percent": 0, "sugar_g_per_l": 0}, 0.9982, "water"),
        # ICUMSA table of sucrose at 20 °C, from memory: 1.12698 for 30 g in 100 g
        ({"brix": 30}, 1.12698, "brix"),
        ({"weighed": {"net_g": 52.0, "volume_ml": 50, "volume_uncertainty_ml": 0.5}}, 1.04, "weighed"),
        ({"weighed": {"full_g": 1230, "empty_g": 450, "content_ml": 750}}, 1.04, "weighed"),
        ({"density_g_per_ml": 1.04, "density_uncertainty_g_per_ml": 0.001}, 1.04, "entered"),
    ],
)
async def test_the_density_by_each_way(
    client: httpx.AsyncClient, way: dict[str, object], g_per_ml: float, origin: str
) -> None:
    shown = (await client.put("/v1/liquids/odd-bottle", json={"name": "Odd Bottle", **way})).json()
    assert shown["density_g_per_ml"] == pytest.approx(g_per_ml, abs=1e-4)
    assert shown["density_origin"] == origin
    assert 0 < shown["density_uncertainty_g_per_ml"] < 0.05


async def test_a_cold_bottle_is_denser_than_its_density_was_found(client: httpx.AsyncClient) -> None:
    shown = (
        await client.put(
            "/v1/liquids/cold-spirit", json={"name": "Cold Spirit", "abv_percent": 40, "serving_c": 4}
        )
    ).json()
    # OIML R 22: about 0.7 kg/m³ for each degree at 40 % vol
    warmer_by = shown["serving_density_g_per_ml"] - shown["density_g_per_ml"]
    assert warmer_by == pytest.approx(16 * 0.0007, rel=0.1)
    assert shown["serving_density_uncertainty_g_per_ml"] > shown["density_uncertainty_g_per_ml"]


async def test_a_retired_liquid_leaves_the_list_and_stays_readable(client: httpx.AsyncClient) -> None:
    await client.put("/v1/liquids/gallery-juice", json=JUICE)
    assert (await client.delete("/v1/liquids/gallery-juice")).status_code == 204
    ids = [liquid["id"] for liquid in (await client.get("/v1/liquids")).json()]
    assert "gallery-juice" not in ids
    everything = (await client.get("/v1/liquids", params={"retired": "true"})).json()
    assert "gallery-juice" in [liquid["id"] for liquid in everything]
    assert (await client.get("/v1/liquids/gallery-juice")).json()["active"] is False
    assign = await client.put("/v1/channels/5", json={"liquid_id": "gallery-juice", "name": "right"})
    assert (assign.status_code, assign.json()["type"]) == (409, "/problems/in-use")


async def test_a_liquid_on_a_channel_is_not_retired(client: httpx.AsyncClient) -> None:
    reply = await client.delete("/v1/liquids/house-water")
    assert reply.status_code == 409
    assert "channel 1" in reply.json()["detail"]


@pytest.mark.parametrize("method", ["GET", "DELETE"])
async def test_an_unknown_liquid(client: httpx.AsyncClient, method: str) -> None:
    assert (await client.request(method, "/v1/liquids/moonlight")).status_code == 404


async def test_channels(client: httpx.AsyncClient) -> None:
    reply = await client.put("/v1/channels/5", json={"liquid_id": None, "name": "spare"})
    assert reply.json().items() >= {"number": 5, "name": "spare", "liquid_id": None}.items()
    assert [channel["number"] for channel in (await client.get("/v1/channels")).json()] == [1, 2, 4, 5]
    assert (await client.get("/v1/channels/5")).json() == reply.json()
    assert (await client.get("/v1/channels/6")).status_code == 404
    unknown = await client.put("/v1/channels/5", json={"liquid_id": "moonlight", "name": "spare"})
    assert unknown.status_code == 422
    assert unknown.json()["errors"][0]["pointer"] == "/liquid_id"


async def test_a_channel_is_not_emptied_by_leaving_its_liquid_out(client: httpx.AsyncClient) -> None:
    reply = await client.put("/v1/channels/1", json={"name": "left"})
    assert [error["pointer"] for error in reply.json()["errors"]] == ["/liquid_id"]


@pytest.mark.parametrize("number", ["0", "9", "two", "-1"])
async def test_a_channel_that_no_board_has(client: httpx.AsyncClient, number: str) -> None:
    reply = await client.put(f"/v1/channels/{number}", json={"liquid_id": None, "name": "spare"})
    assert reply.status_code == 422
    assert reply.json()["errors"][0]["parameter"] == "number"


@pytest.mark.parametrize("liquid_id", ["Gallery-Juice", "-juice", "juice-", "a--b", "j_1", "ö", "x" * 61])
async def test_an_id_that_is_no_slug(client: httpx.AsyncClient, liquid_id: str) -> None:
    reply = await client.put(f"/v1/liquids/{liquid_id}", json=JUICE)
    assert reply.status_code == 422
    assert reply.json()["errors"][0]["parameter"] == "liquid_id"


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"density_g_per_ml": 0.69}, "/density_g_per_ml"),
        ({"density_g_per_ml": 1.61}, "/density_g_per_ml"),
        ({"density_g_per_ml": None}, "/density_g_per_ml"),
        ({"density_g_per_ml": "1.04"}, "/density_g_per_ml"),
        ({"brix": 30}, "/brix"),
        ({"weighed": {"net_g": 52, "volume_ml": 50}}, "/weighed"),
        ({"weighed": {"full_g": 52}}, "/weighed/empty_g"),
        ({"density_g_per_ml": None, "brix": 120}, "/brix"),
        ({"density_g_per_ml": None, "weighed": {"net_g": -1, "volume_ml": 50}}, "/weighed/net_g"),
        ({"density_origin": "hearsay"}, "/density_origin"),
        ({"density_origin": "brix"}, "/density_origin"),
        ({"sugar_g_per_l": -1}, "/sugar_g_per_l"),
        ({"serving_c": 90}, "/serving_c"),
        ({"cost_per_l": -1}, "/cost_per_l"),
        ({"allergens": ["onions"]}, "/allergens/0"),
        ({"allergens": "none"}, "/allergens"),
        ({"abv_percent": 110}, "/abv_percent"),
        ({"abv_percent": -1}, "/abv_percent"),
        ({"name": ""}, "/name"),
        ({"name": "   "}, "/name"),
        ({"name": "two\nlines"}, "/name"),
        ({"name": "x" * 301}, "/name"),
        ({"colour": "red"}, "/colour"),
    ],
)
async def test_bad_liquids(client: httpx.AsyncClient, change: dict[str, object], pointer: str) -> None:
    reply = await client.put("/v1/liquids/gallery-juice", json={**JUICE, **change})
    assert reply.status_code == 422
    missing = [error["pointer"] for error in reply.json()["errors"]]
    assert pointer in missing
    assert all(error["detail"] for error in reply.json()["errors"])


@pytest.mark.parametrize("name", ["<script>alert('bar')</script>", "🎭 Gala Fizz 🍹", "x" * 300, "=1+1"])
async def test_odd_names_come_back_as_they_are_and_as_json(client: httpx.AsyncClient, name: str) -> None:
    reply = await client.put("/v1/liquids/gallery-juice", json={**JUICE, "name": name})
    assert reply.headers["content-type"] == "application/json"
    assert reply.headers["x-content-type-options"] == "nosniff"
    assert (await client.get("/v1/liquids/gallery-juice")).json()["name"] == name


LINES = st.text(st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp"]), min_size=1, max_size=300).filter(
    lambda name: name == name.strip()
)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(name=LINES)
async def test_any_name_on_one_line(client: httpx.AsyncClient, name: str) -> None:
    reply = await client.put("/v1/liquids/gallery-juice", json={**JUICE, "name": name})
    assert reply.status_code == 200, reply.text
    assert reply.json()["name"] == name


async def test_a_liquid_has_a_colour_that_is_its_own_or_found(client: httpx.AsyncClient) -> None:
    before = (await client.get("/v1/liquids/house-water")).json()
    listed = {liquid["id"]: liquid["shown_colour"] for liquid in (await client.get("/v1/liquids")).json()}
    assert before["colour"] is None
    assert before["shown_colour"] == listed["house-water"]
    assert len(set(listed.values())) == len(listed)
    body = {"name": "House Water", "abv_percent": 0, "sugar_g_per_l": 0, "colour": "#bcd8e0"}
    after = (await client.put("/v1/liquids/house-water", json=body)).json()
    assert (after["colour"], after["shown_colour"]) == ("#bcd8e0", "#bcd8e0")


async def test_what_a_channel_has_taught_is_shown_with_its_spreads(
    client: httpx.AsyncClient, store: Store
) -> None:
    taught = InFlight(0.0512, 0.0221, 20.04, 9).with_share(100, 0.31).with_run(255, 0.0612)
    taught = taught.with_lacks([(0.45, -0.02131)])
    await store.inflight.add(1, "house-water", taught, None)
    (shown,) = (await client.get("/v1/channels/1/taught")).json()
    assert shown == {
        "liquid_id": "house-water",
        "stops": 9,
        "in_flight_s": 0.051,
        "in_flight_spread_s": 0.022,
        "flow_g_per_s": 20.04,
        "flow_spread_share": 0.03,
        "speeds": [{"speed": 100, "share": 0.31}],
        "timed_runs": [{"speed": 255, "offset_s": 0.061, "spread_s": 0.03, "count": 1, "after_gap": False}],
        "settling": [{"after_s": 0.45, "lack_s": -0.0213, "spread_s": 0.01, "count": 1}],
        "drips_g": 0.0,
        "drips_seen": 0,
    }
    assert (await client.get("/v1/channels/2/taught")).json() == []
    assert (await client.get("/v1/channels/7/taught")).status_code == 404
