from typing import Any

import httpx
import pytest

TUMBLER: dict[str, Any] = {"name": "Foyer tumbler", "brim_ml": 320, "headroom_ml": 40}
COOLER: dict[str, Any] = {
    "name": "Green Room Cooler",
    "glass_id": "foyer-tumbler",
    "steps": [
        {"hand": "ice", "what": "three cubes", "ice_g": 60},
        {"liquid_id": "prompters-cordial", "amount": "1 part"},
        {"liquid_id": "house-water", "amount": "4 parts"},
        {"hand": "garnish", "what": "cucumber"},
    ],
}
BELL: dict[str, Any] = {
    "name": "Second Bell",
    "steps": [
        {"liquid_id": "footlight-spirit", "amount": "1 oz"},
        {"liquid_id": "house-water", "amount": "100 ml"},
    ],
}


@pytest.fixture
async def bar(client: httpx.AsyncClient) -> httpx.AsyncClient:
    """The bar with a glass and two recipes, one of them without alcohol."""
    for path, body in (
        ("/v1/glasses/foyer-tumbler", TUMBLER),
        ("/v1/recipes/green-room-cooler", COOLER),
        ("/v1/recipes/second-bell", BELL),
        ("/v1/bottles/water-1", {"liquid_id": "house-water", "full_ml": 5000}),
        ("/v1/bottles/spirit-1", {"liquid_id": "footlight-spirit", "full_ml": 700}),
        ("/v1/bottles/cordial-1", {"liquid_id": "prompters-cordial", "full_ml": 700}),
    ):
        reply = await client.put(path, json=body)
        assert reply.status_code == 200, reply.text
    for bottle, channel in (("water-1", 1), ("spirit-1", 2), ("cordial-1", 4)):
        assert (
            await client.post(f"/v1/bottles/{bottle}/mount", json={"channel": channel})
        ).status_code == 200
    return client


async def test_glasses(bar: httpx.AsyncClient) -> None:
    shown = (await bar.get("/v1/glasses/foyer-tumbler")).json()
    assert shown.items() >= {**TUMBLER, "room_ml": 280.0, "lightest_g": None, "active": True}.items()
    assert [glass["id"] for glass in (await bar.get("/v1/glasses")).json()] == ["foyer-tumbler"]
    used = await bar.delete("/v1/glasses/foyer-tumbler")
    assert (used.status_code, used.json()["type"]) == (409, "/problems/in-use")
    await bar.put("/v1/glasses/spare", json={**TUMBLER, "name": "Spare"})
    assert (await bar.delete("/v1/glasses/spare")).status_code == 204
    assert (await bar.get("/v1/glasses/spare")).json()["active"] is False
    assert len((await bar.get("/v1/glasses", params={"retired": "true"})).json()) == 2
    assert (await bar.get("/v1/glasses/goblet")).status_code == 404


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"brim_ml": 0}, "/brim_ml"),
        ({"headroom_ml": 320}, "/headroom_ml"),
        ({"headroom_ml": -1}, "/headroom_ml"),
        ({"lightest_g": 200}, "/heaviest_g"),
        ({"lightest_g": 300, "heaviest_g": 200}, "/lightest_g"),
        ({"colour": "red"}, "/colour"),
    ],
)
async def test_bad_glasses(client: httpx.AsyncClient, change: dict[str, object], pointer: str) -> None:
    reply = await client.put("/v1/glasses/odd", json={**TUMBLER, **change})
    assert reply.status_code == 422
    assert [error["pointer"] for error in reply.json()["errors"]] == [pointer]


async def test_a_recipe_comes_back_as_it_was_written(bar: httpx.AsyncClient) -> None:
    shown = (await bar.get("/v1/recipes/green-room-cooler")).json()
    assert [step.get("amount") for step in shown["steps"]] == [None, "1 part", "4 parts", None]
    assert shown["steps"][0] == {
        "hand": "ice",
        "what": "three cubes",
        "ice_g": 60.0,
        "liquid_id": None,
        "amount": None,
    }
    again = await bar.put(
        "/v1/recipes/green-room-cooler",
        json={name: shown[name] for name in ("name", "glass_id", "volume_ml", "steps", "note")},
        headers={"If-Match": shown["etag"]},
    )
    assert again.json() == shown
    names = [recipe["name"] for recipe in (await bar.get("/v1/recipes")).json()]
    assert names == ["Green Room Cooler", "Second Bell"]


async def test_a_retired_recipe_leaves_the_menu(bar: httpx.AsyncClient) -> None:
    assert (await bar.delete("/v1/recipes/second-bell")).status_code == 204
    assert [drink["recipe_id"] for drink in (await bar.get("/v1/menu")).json()["drinks"]] == [
        "green-room-cooler"
    ]
    assert (await bar.get("/v1/recipes/second-bell")).json()["active"] is False


def steps(*written: dict[str, Any]) -> dict[str, Any]:
    return {"steps": list(written)}


WATER: dict[str, Any] = {"liquid_id": "house-water", "amount": "4 parts"}


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        (steps(), "/steps"),
        (steps({"hand": "ice", "what": "cubes", "ice_g": 60}), "/steps"),
        (steps({**WATER, "amount": "0 parts"}), "/steps/0/amount"),
        (steps({**WATER, "amount": "-1 ml"}), "/steps/0/amount"),
        (steps({**WATER, "amount": "3 pints"}), "/steps/0/amount"),
        (steps({**WATER, "amount": "3"}), "/steps/0/amount"),
        (steps({**WATER, "amount": 3}), "/steps/0/amount"),
        (steps(WATER, {"amount": "1 part"}), "/steps/1/liquid_id"),
        (steps({**WATER, "liquid_id": "moonlight"}), "/steps/0/liquid_id"),
        (steps({**WATER, "liquid_id": "Moon light"}), "/steps/0/liquid_id"),
        (steps(WATER, {"hand": "shake", "what": "it"}), "/steps/1/hand"),
        (steps(WATER, {"hand": "ice", "what": "cubes"}), "/steps/1/ice_g"),
        (steps(WATER, {"hand": "garnish", "what": "two\nlines"}), "/steps/1/what"),
        (steps(WATER, {"hand": "garnish", "what": "peel", "amount": "1 ml"}), "/steps/1/amount"),
        ({"glass_id": "goblet"}, "/glass_id"),
        ({"volume_ml": 0}, "/volume_ml"),
        ({"note": "x" * 2001}, "/note"),
    ],
)
async def test_bad_recipes(bar: httpx.AsyncClient, change: dict[str, Any], pointer: str) -> None:
    reply = await bar.put("/v1/recipes/odd", json={"name": "Odd", **steps(WATER), **change})
    assert reply.status_code == 422
    assert [error["pointer"] for error in reply.json()["errors"]] == [pointer]
    assert (await bar.get("/v1/recipes/odd")).status_code == 404


async def test_every_bad_amount_of_a_recipe_is_told_at_once(bar: httpx.AsyncClient) -> None:
    written = steps({**WATER, "amount": "3 pints"}, WATER, {**WATER, "amount": "x"})
    errors = (await bar.put("/v1/recipes/odd", json={"name": "Odd", **written})).json()["errors"]
    assert [error["pointer"] for error in errors] == ["/steps/0/amount", "/steps/2/amount"]
    assert "convert it to one of ml" in errors[0]["detail"]


async def test_a_recipe_with_a_retired_liquid(bar: httpx.AsyncClient) -> None:
    await bar.put("/v1/liquids/old-juice", json={"name": "Old Juice", "density_g_per_ml": 1.04})
    await bar.delete("/v1/liquids/old-juice")
    reply = await bar.put(
        "/v1/recipes/odd", json={"name": "Odd", **steps({"liquid_id": "old-juice", "amount": "1 part"})}
    )
    assert (reply.status_code, reply.json()["type"]) == (409, "/problems/in-use")


@pytest.mark.parametrize("name", ["<img src=x onerror=alert(1)>", "🎭 Gala Fizz 🍹", "x" * 300])
async def test_odd_names_and_steps_come_back_as_they_are(bar: httpx.AsyncClient, name: str) -> None:
    written = steps(WATER, {"hand": "other", "what": name})
    reply = await bar.put("/v1/recipes/odd", json={"name": name, **written, "note": f"{name}\nsecond line"})
    assert reply.status_code == 200
    assert (reply.json()["name"], reply.json()["steps"][1]["what"]) == (name, name)
    menu = await bar.get("/v1/menu")
    assert menu.headers["content-type"] == "application/json"
    assert name in [drink["name"] for drink in menu.json()["drinks"]]


async def test_a_plan_in_grams(bar: httpx.AsyncClient) -> None:
    plan = (await bar.get("/v1/recipes/second-bell/plan")).json()
    assert (plan["possible"], plan["blockers"]) == (True, [])
    # a US fluid ounce is 29.5735 ml (NIST Handbook 44, Appendix C); 40 % vol has 0.94805 g/ml (OIML R 22)
    spirit, water = plan["steps"]
    assert (spirit["channel"], spirit["liquid_id"]) == (2, "footlight-spirit")
    assert spirit["target_g"] == pytest.approx(29.5735 * 0.94805, abs=0.01)
    assert plan["target_g"] == pytest.approx(spirit["target_g"] + water["target_g"], abs=0.01)
    # 0.4 of 29.5735 ml of ethanol at 0.78924 g/ml (OIML R 22); a UK unit is 10 ml of it
    assert plan["ethanol_g"] == pytest.approx(9.34, abs=0.01)
    assert plan["standard_drinks"] == pytest.approx(1.18, abs=0.01)
    assert plan["allergens"] == []
    assert set(plan["allergens_unknown"]) == {"footlight-spirit", "house-water"}


async def test_a_plan_for_another_glass_volume_and_limit(bar: httpx.AsyncClient) -> None:
    await bar.put("/v1/glasses/thimble", json={"name": "Thimble", "brim_ml": 60, "headroom_ml": 10})
    small = (await bar.get("/v1/recipes/second-bell/plan", params={"glass": "thimble"})).json()
    assert small["possible"] is False
    assert {blocker["code"] for blocker in small["blockers"]} == {"glass_too_small"}
    half = (await bar.get("/v1/recipes/second-bell/plan", params={"volume": 65})).json()
    assert half["volume_ml"] == pytest.approx(65, abs=0.1)
    mild = (await bar.get("/v1/recipes/second-bell/plan", params={"max_ethanol_g": 4})).json()
    assert mild["ethanol_g"] == pytest.approx(4, abs=0.01)
    assert mild["strength_percent_vol"] == half["strength_percent_vol"]
    assert mild["notes"]


async def test_ice_takes_room(bar: httpx.AsyncClient) -> None:
    cooler = (await bar.get("/v1/recipes/green-room-cooler/plan")).json()
    assert cooler["steps"][0]["hand"] == "ice"
    assert 200 < cooler["volume_ml"] < 280 - 50
    assert cooler["ethanol_g"] == 0


@pytest.mark.parametrize(
    ("query", "parameter"),
    [
        ({"volume": -1}, "volume"),
        ({"volume": "nan"}, "volume"),
        ({"max_ethanol_g": "inf"}, "max_ethanol_g"),
        ({"glass": "No Such"}, "glass"),
    ],
)
async def test_bad_questions_for_a_plan(
    bar: httpx.AsyncClient, query: dict[str, Any], parameter: str
) -> None:
    reply = await bar.get("/v1/recipes/second-bell/plan", params=query)
    assert (reply.status_code, reply.json()["errors"][0]["parameter"]) == (422, parameter)


async def test_a_plan_of_nothing(bar: httpx.AsyncClient) -> None:
    assert (await bar.get("/v1/recipes/moonlight/plan")).status_code == 404
    unknown = (await bar.get("/v1/recipes/second-bell/plan", params={"glass": "goblet"})).json()
    assert [blocker["code"] for blocker in unknown["blockers"]] == ["glass_unknown"]


async def test_the_menu_says_what_can_be_poured_now_and_how_many(bar: httpx.AsyncClient) -> None:
    menu = (await bar.get("/v1/menu")).json()
    # UK unit, 10 ml of ethanol at 20 °C
    assert menu["standard_drink_g"] == pytest.approx(7.89, abs=0.01)
    by_id = {drink["recipe_id"]: drink for drink in menu["drinks"]}
    bell = by_id["second-bell"]
    assert bell["possible"] is True
    assert (bell["remaining_now"], bell["limited_by"]) == (700 // 29.5735, "footlight-spirit")
    await bar.post("/v1/bottles/spirit-1/unmount")
    gone = (await bar.get("/v1/menu")).json()["drinks"][1]
    assert (gone["recipe_id"], gone["possible"], gone["remaining_now"]) == ("second-bell", False, 0)
    assert gone["blockers"][0]["step"] == 0


async def test_a_recipe_is_planned_without_saving_it(bar: httpx.AsyncClient) -> None:
    saved = (await bar.get("/v1/recipes/green-room-cooler/plan")).json()
    shown = (await bar.post("/v1/recipes/check", json=COOLER)).json()
    assert {**shown, "recipe_id": "green-room-cooler"} == saved
    smaller = await bar.post("/v1/recipes/check", json=COOLER, params={"volume": 120})
    assert smaller.json()["volume_ml"] == pytest.approx(120.0)
    assert len((await bar.get("/v1/recipes")).json()) == 2


async def test_a_faulty_recipe_is_told_all_its_faults(bar: httpx.AsyncClient) -> None:
    steps = [{"liquid_id": "stage-fog", "amount": "1 part"}, {"liquid_id": "house-water", "amount": "some"}]
    reply = await bar.post("/v1/recipes/check", json={**COOLER, "steps": steps})
    assert (reply.status_code, reply.json()["errors"][0]["pointer"]) == (422, "/steps/1/amount")
    reply = await bar.post("/v1/recipes/check", json={**COOLER, "steps": steps[:1], "glass_id": "bucket"})
    assert {error["pointer"] for error in reply.json()["errors"]} == {"/steps/0/liquid_id", "/glass_id"}


async def test_an_inside_that_contradicts_the_brim_is_kept_and_told(client: httpx.AsyncClient) -> None:
    body = {
        "name": "Beaker",
        "brim_ml": 250,
        "headroom_ml": 20,
        "rim_mm": 80,
        "base_mm": 60,
        "height_mm": 100,
    }
    shown = (await client.put("/v1/glasses/beaker", json=body)).json()
    assert (shown["rim_mm"], shown["base_mm"], shown["height_mm"]) == (80, 60, 100)
    assert len(shown["warnings"]) == 1
    assert "250 ml" in shown["warnings"][0]
