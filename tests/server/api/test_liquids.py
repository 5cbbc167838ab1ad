import httpx
import pytest

JUICE = {"name": "Gallery Juice", "density_g_per_ml": 1.04, "density_origin": "weighed", "abv_percent": 0}


async def test_a_liquid_is_put_read_and_replaced(client: httpx.AsyncClient) -> None:
    put = await client.put("/v1/liquids/gallery-juice", json=JUICE)
    assert put.json() == {"id": "gallery-juice", **JUICE, "allergens": None, "active": True}
    await client.put("/v1/liquids/gallery-juice", json={**JUICE, "allergens": ["sulphites"]})
    assert (await client.get("/v1/liquids/gallery-juice")).json()["allergens"] == ["sulphites"]
    names = [liquid["name"] for liquid in (await client.get("/v1/liquids")).json()]
    assert names == ["Footlight Spirit", "Gallery Juice", "House Water", "Prompter's Cordial"]


async def test_a_retired_liquid_leaves_the_list_and_stays_readable(client: httpx.AsyncClient) -> None:
    await client.put("/v1/liquids/gallery-juice", json=JUICE)
    assert (await client.delete("/v1/liquids/gallery-juice")).status_code == 204
    ids = [liquid["id"] for liquid in (await client.get("/v1/liquids")).json()]
    assert "gallery-juice" not in ids
    everything = (await client.get("/v1/liquids", params={"retired": "true"})).json()
    assert "gallery-juice" in [liquid["id"] for liquid in everything]
    assert (await client.get("/v1/liquids/gallery-juice")).json()["active"] is False
    assign = await client.put("/v1/channels/5", json={"liquid_id": "gallery-juice", "name": "right"})
    assert (assign.status_code, assign.json()["type"]) == (409, "/problems/liquid-in-use")


async def test_a_liquid_on_a_channel_is_not_retired(client: httpx.AsyncClient) -> None:
    reply = await client.delete("/v1/liquids/house-water")
    assert reply.status_code == 409
    assert "channel 1" in reply.json()["detail"]


@pytest.mark.parametrize("method", ["GET", "DELETE"])
async def test_an_unknown_liquid(client: httpx.AsyncClient, method: str) -> None:
    assert (await client.request(method, "/v1/liquids/moonlight")).status_code == 404


async def test_channels(client: httpx.AsyncClient) -> None:
    reply = await client.put("/v1/channels/5", json={"liquid_id": None, "name": "spare"})
    assert reply.json() == {"number": 5, "name": "spare", "liquid_id": None}
    assert [channel["number"] for channel in (await client.get("/v1/channels")).json()] == [1, 2, 4, 5]
    unknown = await client.put("/v1/channels/5", json={"liquid_id": "moonlight", "name": "spare"})
    assert unknown.status_code == 422
    assert unknown.json()["errors"][0]["pointer"] == "/liquid_id"


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
        ({"allergens": ["onions"]}, "/allergens/0"),
        ({"abv_percent": 101}, "/abv_percent"),
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
    assert [error["pointer"] for error in reply.json()["errors"]] == [pointer]


@pytest.mark.parametrize("name", ["<script>alert('bar')</script>", "🎭 Gala Fizz 🍹", "x" * 300, "=1+1"])
async def test_odd_names_come_back_as_they_are_and_as_json(client: httpx.AsyncClient, name: str) -> None:
    reply = await client.put("/v1/liquids/gallery-juice", json={**JUICE, "name": name})
    assert reply.headers["content-type"] == "application/json"
    assert reply.headers["x-content-type-options"] == "nosniff"
    assert (await client.get("/v1/liquids/gallery-juice")).json()["name"] == name
