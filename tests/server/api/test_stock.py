from typing import Any

import httpx
import pytest

from api_app import Poured

CORDIAL: dict[str, Any] = {"liquid_id": "prompters-cordial", "full_g": 800, "tare_g": 412, "low_g": 90}


@pytest.fixture
async def bar(client: httpx.AsyncClient) -> httpx.AsyncClient:
    """The bar with a bottle of cordial mounted and another on the shelf."""
    for name in ("cordial-1", "cordial-2"):
        assert (await client.put(f"/v1/bottles/{name}", json=CORDIAL)).status_code == 200
    assert (await client.post("/v1/bottles/cordial-1/mount", json={"channel": 4})).status_code == 200
    return client


async def test_a_bottle_by_the_volume_on_its_label(client: httpx.AsyncClient) -> None:
    body = {"liquid_id": "footlight-spirit", "full_ml": 700}
    shown = (await client.put("/v1/bottles/spirit-1", json=body)).json()
    # 0.94805 g/ml at 20 °C (OIML R 22)
    assert shown["full_g"] == pytest.approx(700 * 0.94805, abs=0.05)
    assert (shown["content_g"], shown["level"], shown["channel"]) == (shown["full_g"], "enough", None)
    assert shown["low_g"] == pytest.approx(shown["full_g"] / 10, abs=0.06)


async def test_what_is_poured_leaves_the_mounted_bottle(bar: httpx.AsyncClient, poured: Poured) -> None:
    pour = await poured(4, 50.0)
    shown = (await bar.get("/v1/bottles/cordial-1")).json()
    assert shown["content_g"] == pytest.approx(800 - 50.4)
    newest, opening = (await bar.get("/v1/bottles/cordial-1/movements")).json()
    assert (newest["kind"], newest["change_g"], newest["pour"]) == ("pour", -50.4, pour["links"]["self"])
    assert (opening["kind"], opening["change_g"], opening["pour"]) == ("opening", 800.0, None)
    assert len((await bar.get("/v1/bottles/cordial-1/movements", params={"limit": 1})).json()) == 1


async def test_low_and_empty_are_shown(bar: httpx.AsyncClient) -> None:
    for content_g, level in ((91, "enough"), (90, "low"), (1, "empty")):
        reply = await bar.post("/v1/bottles/cordial-1/weigh", json={"content_g": content_g})
        assert reply.json()["level"] == level
        stock = {liquid["liquid_id"]: liquid for liquid in (await bar.get("/v1/stock")).json()["liquids"]}
        assert stock["prompters-cordial"]["level"] == level
    cordial = stock["prompters-cordial"]
    assert (cordial["mounted_g"], cordial["shelf_g"]) == (1.0, 800.0)
    assert [bottle["id"] for bottle in cordial["bottles"]] == ["cordial-1", "cordial-2"]
    assert (stock["house-water"]["level"], stock["house-water"]["bottles"]) == ("empty", [])


async def test_a_bottle_is_corrected_by_weighing_it(bar: httpx.AsyncClient) -> None:
    shown = (await bar.post("/v1/bottles/cordial-1/weigh", json={"gross_g": 1000})).json()
    assert shown["content_g"] == 1000 - 412
    assert (await bar.get("/v1/bottles/cordial-1/movements")).json()[0]["kind"] == "correction"


@pytest.mark.parametrize("gross_g", [200, 5000])
async def test_a_mass_that_the_bottle_cannot_have(bar: httpx.AsyncClient, gross_g: float) -> None:
    reply = await bar.post("/v1/bottles/cordial-1/weigh", json={"gross_g": gross_g})
    assert (reply.status_code, reply.json()["type"]) == (422, "/problems/weighing-refused")
    assert (await bar.get("/v1/bottles/cordial-1")).json()["content_g"] == 800


async def test_a_bottle_whose_empty_mass_nobody_knows(bar: httpx.AsyncClient) -> None:
    await bar.put("/v1/bottles/water-1", json={"liquid_id": "house-water", "full_ml": 500})
    reply = await bar.post("/v1/bottles/water-1/weigh", json={"gross_g": 700})
    assert reply.json()["type"] == "/problems/weighing-refused"
    assert "tare_g" in reply.json()["detail"]


@pytest.mark.parametrize("body", [{}, {"gross_g": 1, "content_g": 1}, {"gross_g": 0}, {"content_g": -1}])
async def test_a_weighing_that_says_nothing(bar: httpx.AsyncClient, body: dict[str, float]) -> None:
    reply = await bar.post("/v1/bottles/cordial-1/weigh", json=body)
    assert (reply.status_code, reply.json()["type"]) == (422, "/problems/invalid-request")


async def test_more_than_a_full_bottle_is_pointed_at(bar: httpx.AsyncClient) -> None:
    reply = await bar.post("/v1/bottles/cordial-1/weigh", json={"content_g": 900})
    assert [error["pointer"] for error in reply.json()["errors"]] == ["/content_g"]


async def test_a_swap_is_one_call(bar: httpx.AsyncClient) -> None:
    swapped = await bar.post("/v1/channels/4/swap", json={"bottle_id": "cordial-2"})
    assert swapped.json()["channel"] == 4
    assert (await bar.get("/v1/bottles/cordial-1")).json()["channel"] is None
    unknown = await bar.post("/v1/channels/4/swap", json={"bottle_id": "cordial-9"})
    assert unknown.status_code == 404


async def test_a_swap_says_that_the_old_bottle_is_empty(bar: httpx.AsyncClient) -> None:
    await bar.post("/v1/channels/4/swap", json={"bottle_id": "cordial-2", "emptied": True})
    assert (await bar.get("/v1/bottles/cordial-1")).json()["content_g"] == 0
    assert "cordial-1" not in [bottle["id"] for bottle in (await bar.get("/v1/bottles")).json()]


async def test_two_bottles_on_one_channel(bar: httpx.AsyncClient) -> None:
    reply = await bar.post("/v1/bottles/cordial-2/mount", json={"channel": 4})
    assert (reply.status_code, reply.json()["type"]) == (409, "/problems/channel-taken")
    assert "cordial-1" in reply.json()["detail"]
    await bar.post("/v1/bottles/cordial-1/unmount")
    assert (await bar.post("/v1/bottles/cordial-2/mount", json={"channel": 4})).status_code == 200


async def test_a_channel_under_a_bottle_keeps_its_liquid(bar: httpx.AsyncClient) -> None:
    reply = await bar.put("/v1/channels/4", json={"liquid_id": "house-water", "name": "left"})
    assert (reply.status_code, reply.json()["type"]) == (409, "/problems/channel-taken")


async def test_mounting_gives_the_channel_its_liquid(bar: httpx.AsyncClient) -> None:
    await bar.put("/v1/channels/5", json={"liquid_id": None, "name": "spare"})
    await bar.post("/v1/bottles/cordial-2/mount", json={"channel": 5})
    assert (await bar.get("/v1/channels/5")).json()["liquid_id"] == "prompters-cordial"
    shown = (await bar.get("/v1/bottles/cordial-2")).json()
    assert shown["opened_at"].startswith("2031-03-14T")


async def test_putting_a_bottle_again_does_not_fill_it(bar: httpx.AsyncClient, poured: Poured) -> None:
    await poured(4, 50.0)
    shown = (await bar.put("/v1/bottles/cordial-1", json={**CORDIAL, "low_g": 120})).json()
    assert (shown["low_g"], shown["channel"]) == (120, 4)
    assert shown["content_g"] == pytest.approx(800 - 50.4)
    other = await bar.put("/v1/bottles/cordial-1", json={**CORDIAL, "liquid_id": "house-water"})
    assert (other.status_code, other.json()["type"]) == (409, "/problems/in-use")


async def test_a_discarded_bottle_stays_with_its_movements(bar: httpx.AsyncClient) -> None:
    gone = (await bar.delete("/v1/bottles/cordial-1")).json()
    assert (gone["channel"], gone["content_g"]) == (None, 0)
    assert [bottle["id"] for bottle in (await bar.get("/v1/bottles")).json()] == ["cordial-2"]
    everything = (await bar.get("/v1/bottles", params={"emptied": "true"})).json()
    assert [bottle["id"] for bottle in everything] == ["cordial-1", "cordial-2"]
    assert (await bar.get("/v1/bottles/cordial-1/movements")).json()[0]["change_g"] == -800
    assert (await bar.delete("/v1/bottles/cordial-9")).status_code == 404


async def test_a_bottle_that_was_changed_meanwhile_is_not_discarded(bar: httpx.AsyncClient) -> None:
    seen = (await bar.get("/v1/bottles/cordial-1")).headers["ETag"]
    await bar.put("/v1/bottles/cordial-1", json={**CORDIAL, "low_g": 130})
    reply = await bar.delete("/v1/bottles/cordial-1", headers={"If-Match": seen})
    assert (reply.status_code, reply.json()["type"]) == (412, "/problems/changed-meanwhile")
    now = (await bar.get("/v1/bottles/cordial-1")).headers["ETag"]
    assert (await bar.delete("/v1/bottles/cordial-1", headers={"If-Match": now})).status_code == 200


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"full_g": None}, "/full_g"),
        ({"full_ml": 700}, "/full_ml"),
        ({"full_g": 0}, "/full_g"),
        ({"content_g": 801}, "/content_g"),
        ({"low_g": 900}, "/low_g"),
        ({"tare_g": 0}, "/tare_g"),
        ({"liquid_id": "moonlight"}, "/liquid_id"),
        ({"opened_at": "yesterday"}, "/opened_at"),
        ({"opened_at": "2031-02-30T10:00:00Z"}, "/opened_at"),
        ({"channel": 4}, "/channel"),
    ],
)
async def test_bad_bottles(client: httpx.AsyncClient, change: dict[str, Any], pointer: str) -> None:
    reply = await client.put("/v1/bottles/odd", json={**CORDIAL, **change})
    assert reply.status_code == 422
    assert [error["pointer"] for error in reply.json()["errors"]] == [pointer]


@pytest.mark.parametrize("channel", [0, 9, "4", None])
async def test_a_channel_that_no_board_has(bar: httpx.AsyncClient, channel: object) -> None:
    reply = await bar.post("/v1/bottles/cordial-2/mount", json={"channel": channel})
    assert reply.json()["errors"][0]["pointer"] == "/channel"


async def test_a_channel_that_was_never_set_up(bar: httpx.AsyncClient) -> None:
    assert (await bar.post("/v1/bottles/cordial-2/mount", json={"channel": 7})).status_code == 404


async def test_a_new_bottle_is_swapped_in_with_what_its_label_says_and_the_swap_undone(
    bar: httpx.AsyncClient,
) -> None:
    body = {
        "bottle_id": "cordial-3",
        "emptied": True,
        "new": {"liquid_id": "prompters-cordial", "full_g": 700},
    }
    mounted = (await bar.post("/v1/channels/4/swap", json=body)).json()
    assert (mounted["id"], mounted["channel"], mounted["content_g"]) == ("cordial-3", 4, 700)
    back = (await bar.post("/v1/channels/4/swap/undo")).json()
    assert (back["id"], back["channel"], back["content_g"]) == ("cordial-1", 4, 800)
    again = await bar.post("/v1/channels/4/swap/undo")
    assert (again.status_code, again.json()["type"]) == (404, "/problems/not-found")


async def test_a_fault_of_a_new_bottle_points_into_the_body(bar: httpx.AsyncClient) -> None:
    for new, pointer in (
        ({"liquid_id": "no-such", "full_g": 700}, "/new/liquid_id"),
        ({"liquid_id": "prompters-cordial", "full_g": 700, "content_g": 900}, "/new/content_g"),
    ):
        reply = await bar.post("/v1/channels/4/swap", json={"bottle_id": "cordial-3", "new": new})
        assert [error["pointer"] for error in reply.json()["errors"]] == [pointer]
    assert (await bar.get("/v1/bottles/cordial-1")).json()["channel"] == 4


async def test_the_outlook_has_each_channel_and_what_is_empty_first(
    bar: httpx.AsyncClient, poured: Poured
) -> None:
    recipe = {"name": "Cordial, neat", "steps": [{"liquid_id": "prompters-cordial", "amount": "40 g"}]}
    assert (await bar.put("/v1/recipes/neat", json=recipe)).status_code == 200
    before = (await bar.get("/v1/stock/outlook")).json()
    assert before["first"] is None
    await poured(4, 50.0)
    after = (await bar.get("/v1/stock/outlook")).json()
    cordial = next(channel for channel in after["channels"] if channel["channel"] == 4)
    assert cordial["drinks"] == [{"recipe_id": "neat", "name": "Cordial, neat", "dose_g": 40.0, "count": 18}]
    assert after["first"] == 4
    assert cordial["pace_g_per_h"] == pytest.approx(50.4 * 3600 / after["span_s"], abs=0.1)
