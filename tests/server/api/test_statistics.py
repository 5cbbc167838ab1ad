"""Statistics over the API; the sums themselves are tested with the records."""

from typing import Any

import httpx
import pytest

from api_app import Poured
from tarewell.menu.values import Bottle
from tarewell.records.store import Store


async def get(client: httpx.AsyncClient, path: str, **query: Any) -> Any:
    reply = await client.get(f"/v1/statistics{path}", params=query)
    assert reply.status_code == 200, reply.text
    return reply.json()


async def test_a_channel_has_limits_from_eight_doses_on(client: httpx.AsyncClient, poured: Poured) -> None:
    for number in range(8):
        (before,) = (await get(client, ""))["errors"] or [{"limits": None}]
        assert before["limits"] is None
        await poured(amount_g=50.0 + number)
    (errors,) = (await get(client, ""))["errors"]
    assert (errors["channel"], errors["liquid_id"], errors["doses"]) == (1, "house-water", 8)
    assert errors["limits"] == {"mean_g": 0.4, "lower_g": 0.4, "upper_g": 0.4}
    assert (await get(client, "", channel=4))["errors"] == []
    assert (await get(client, "", liquid="house-water"))["errors"] == [errors]


async def test_a_chart_has_doses_changes_and_lessons(
    client: httpx.AsyncClient, poured: Poured, store: Store
) -> None:
    ids = [(await poured())["id"] for _ in range(2)]
    await store.bottles.put(Bottle("water-2", "house-water", 700.0, 700.0, 70.0, channel=1))
    ids.append((await poured())["id"])
    chart = await get(client, "/errors", channel=1, liquid="house-water")
    assert [dose["pour_id"] for dose in chart["doses"]] == ids
    assert {dose["error_g"] for dose in chart["doses"]} == {0.4}
    assert (chart["limits"], chart["runs"], chart["learned"]) == (None, [], [])
    assert [(change["kind"], change["what"]) for change in chart["changes"]] == [
        ("liquid", "house-water"),
        ("bottle", "water-2"),
    ]
    newest = await get(client, "/errors", channel=1, liquid="house-water", limit=1)
    assert (newest["doses"], newest["changes"]) == (chart["doses"][-1:], [])


async def test_doses_usage_and_sums_of_a_day(client: httpx.AsyncClient, poured: Poured) -> None:
    day = (await poured())["created_at"][:10]
    await poured(channel=4)
    doses = await get(client, "/doses")
    assert [(row["channel"], row["doses"], row["within"]) for row in doses] == [(1, 1, 1), (4, 1, 1)]
    usage = await get(client, "/usage", day=doses[0]["day"])
    assert [row["liquid_id"] for row in usage] == ["house-water", "prompters-cordial"]
    assert usage[0]["poured_ml"] == pytest.approx(50.4 / 0.9982, abs=0.01)  # water at 20 degC, Tanaka
    sums = await get(client, "/pours", day=doses[0]["day"])
    assert (sums["pours"], sums["drinks"], sums["delivered_g"]) == (2, 2, 100.8)
    assert (await get(client, "/pours", day="2031-01-01"))["pours"] == 0
    assert day.startswith("2031-03-1")


@pytest.mark.parametrize(
    ("path", "query", "parameter"),
    [
        ("", {"day": "2031-03-14", "since": "2031-03-14T00:00:00Z"}, "query"),
        ("", {"day": "14.3.2031"}, "day"),
        ("/usage", {"channel": "1"}, "channel"),
        ("/errors", {"channel": "1"}, "liquid"),
        ("/errors", {"channel": "1", "liquid": "house-water", "limit": "1001"}, "limit"),
        ("/pours", {"limit": "5"}, "limit"),
        ("/doses", {"day": "9999-12-31"}, "day"),
    ],
)
async def test_bad_questions(
    client: httpx.AsyncClient, path: str, query: dict[str, str], parameter: str
) -> None:
    reply = await client.get(f"/v1/statistics{path}", params=query)
    assert reply.status_code == 422
    assert reply.json()["errors"][0]["parameter"] == parameter
