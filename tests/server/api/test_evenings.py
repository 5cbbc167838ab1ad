"""The plan of an evening and recipe cards over the API."""

from typing import Any

import httpx
import pytest

from planned_bar import SETUP

PLAY: dict[str, Any] = {
    "guests": 80,
    "hours": 0.5,
    "drinks_per_guest_h": 1.2,
    "mix": {"green-room-cooler": 3, "second-bell": 1},
}


@pytest.fixture
async def bar(client: httpx.AsyncClient) -> httpx.AsyncClient:
    """A bar with four recipes, two of them without alcohol."""
    reply = await client.post("/v1/setup/import", params={"dry_run": False}, content=SETUP)
    assert reply.status_code == 200, reply.text
    return client


async def test_an_evening_is_planned(bar: httpx.AsyncClient) -> None:
    reply = await bar.post("/v1/evenings/plan", json=PLAY)
    assert reply.status_code == 200, reply.text
    shown = reply.json()
    assert (shown["drinks"], shown["drinks_alcohol_free"]) == (48, 36)
    assert {entry["recipe_id"]: entry["drinks"] for entry in shown["recipes"]} == {
        "green-room-cooler": 36,
        "second-bell": 12,
    }
    liquids = {entry["liquid_id"]: entry for entry in shown["liquids"]}
    assert liquids["footlight-spirit"]["used_ml"] == 12 * 25
    assert liquids["footlight-spirit"]["buy_ml"] == 0  # a bottle of 700 ml is there
    assert liquids["house-water"]["bottles"] == [{"ml": 5000, "count": 1}]  # 6.3 l less 5 l
    assert liquids["prompters-cordial"]["stock_ml"] == 500
    assert not liquids["foyer-soda"]["by_machine"]
    # 12 times 10 ml of ethanol among 80, a UK unit is 10 ml
    assert shown["standard_drinks_per_guest"] == pytest.approx(12 / 80, abs=0.005)
    assert shown["pace"] == "too_slow"
    assert shown["verdict"].startswith("The machine does not keep up")
    assert shown["care"]


async def test_the_same_seed_gives_the_same_queue(bar: httpx.AsyncClient) -> None:
    first, again, other = [
        (await bar.post("/v1/evenings/plan", json={**PLAY, "seed": seed})).json() for seed in (3, 3, 4)
    ]
    assert first == again
    assert first["queue"] != other["queue"]


async def test_a_browser_gets_a_page_that_may_run_nothing(bar: httpx.AsyncClient) -> None:
    body = {**PLAY, "title": "<i>Gala</i>"}
    reply = await bar.post("/v1/evenings/plan", json=body, headers={"Accept": "text/html"})
    assert reply.headers["Content-Type"] == "text/html; charset=utf-8"
    assert "default-src 'none'" in reply.headers["Content-Security-Policy"]
    assert "&lt;i&gt;Gala&lt;/i&gt;" in reply.text
    assert "<svg" in reply.text


async def test_other_media_types_are_refused(bar: httpx.AsyncClient) -> None:
    reply = await bar.post("/v1/evenings/plan", json=PLAY, headers={"Accept": "image/png"})
    assert reply.status_code == 406
    assert "application/json or text/html" in reply.json()["detail"]


@pytest.mark.parametrize(
    ("change", "pointers"),
    [
        ({"guests": -1}, ["/guests"]),
        ({"guests": 1.5}, ["/guests"]),
        ({"hours": 0}, ["/hours"]),
        ({"mix": {}}, ["/mix"]),
        ({"mix": {"second-bell": 0}}, ["/mix"]),
        ({"mix": {"house-red": 1}}, ["/mix/house-red"]),
        ({"peak_share": 0.5}, ["/peak_minutes"]),
        ({"bottle_sizes": {"nectar": [{"ml": 0}]}}, ["/bottle_sizes/nectar", "/bottle_sizes/nectar/0/ml"]),
        ({"times": {"ice": 3}}, ["/times/ice"]),
        ({"seed": -1}, ["/seed"]),
        ({"guests": 10**300, "intervals": 10**300}, ["/guests", "/intervals"]),
        ({"mix": {"second-bell": 1e308}}, ["/mix/second-bell"]),
        ({"peak_share": 0.5, "peak_minutes": 5, "intervals": 10**400}, ["/intervals"]),
        ({"title": ""}, ["/title"]),
        ({"guests": 0, "hours": 99}, ["/guests", "/hours"]),
    ],
)
async def test_what_cannot_be_is_pointed_at(
    bar: httpx.AsyncClient, change: dict[str, Any], pointers: list[str]
) -> None:
    reply = await bar.post("/v1/evenings/plan", json={**PLAY, **change})
    assert (reply.status_code, reply.json()["type"]) == (422, "/problems/invalid-request")
    assert [error["pointer"] for error in reply.json()["errors"]] == pointers


async def test_every_recipe_has_a_card(bar: httpx.AsyncClient) -> None:
    names = [entry["name"] for entry in (await bar.get("/v1/recipes")).json()]
    page = await bar.get("/v1/cards")
    assert page.headers["Content-Type"] == "text/html; charset=utf-8"
    assert "default-src 'none'" in page.headers["Content-Security-Policy"]
    places = [page.text.index(f">{name}</h1>") for name in names]
    assert places == sorted(places)
    assert page.text.count("without alcohol") == 2
    assert page.text.count('<div class="sheet">') == 1


async def test_one_card(bar: httpx.AsyncClient) -> None:
    page = (await bar.get("/v1/recipes/curtain-up/card")).text
    assert "<h1>Curtain Up</h1>" in page
    assert "Contains sulphites. Not checked: Curtain Liqueur." in page
    assert (await bar.get("/v1/recipes/third-bell/card")).status_code == 404


async def test_a_retired_recipe_has_no_card_among_all(bar: httpx.AsyncClient) -> None:
    await bar.delete("/v1/recipes/curtain-up")
    assert "Curtain Up" not in (await bar.get("/v1/cards")).text


async def test_without_recipes_the_sheet_says_so(client: httpx.AsyncClient) -> None:
    assert "There are no recipes yet." in (await client.get("/v1/cards")).text
