import csv
import io
import re

import httpx
import pytest

from api_app import Poured

LINK = re.compile(r'<([^>]+)>; rel="(\w+)"')


def links(reply: httpx.Response) -> dict[str, str]:
    return {relation: target for target, relation in LINK.findall(reply.headers.get("link", ""))}


async def test_next_links_walk_the_whole_history_and_prev_links_come_back(
    client: httpx.AsyncClient, poured: Poured
) -> None:
    ids = [(await poured())["id"] for _ in range(7)]
    pages, target = [], "/v1/pours?limit=3"
    while target:
        reply = await client.get(target)
        pages.append([pour["id"] for pour in reply.json()])
        last, target = target, links(reply).get("next", "")
    assert pages == [ids[:3:-1], ids[3:0:-1], [ids[0]]]
    back, target = [], last
    while target:
        reply = await client.get(target)
        back.append([pour["id"] for pour in reply.json()])
        target = links(reply).get("prev", "")
    assert [pour for page in reversed(back) for pour in page] == ids[::-1]


async def test_filters_are_kept_in_the_links(client: httpx.AsyncClient, poured: Poured) -> None:
    for channel in (1, 4, 1, 4, 1):
        await poured(channel=channel)
    query = {"channel": 1, "state": "complete", "since": "2031-03-14T19:00:00+00:00", "limit": 2}
    first = await client.get("/v1/pours", params=query)
    second = await client.get(links(first)["next"])
    channels = [pour["doses"][0]["channel"] for pour in first.json() + second.json()]
    assert channels == [1, 1, 1]
    assert "next" not in links(second)


async def test_since_and_until_cut_the_time(client: httpx.AsyncClient, poured: Poured) -> None:
    times = [(await poured())["created_at"] for _ in range(3)]
    reply = await client.get("/v1/pours", params={"since": times[1], "until": times[2]})
    assert [pour["created_at"] for pour in reply.json()] == [times[1]]


async def test_an_empty_history_has_no_links(client: httpx.AsyncClient) -> None:
    reply = await client.get("/v1/pours")
    assert reply.json() == []
    assert "link" not in reply.headers


@pytest.mark.parametrize(
    ("query", "parameter"),
    [
        ({"limit": "0"}, "limit"),
        ({"limit": "501"}, "limit"),
        ({"since": "2031-03-14T19:00:00"}, "since"),
        ({"until": "yesterday"}, "until"),
        ({"state": "spilled"}, "state"),
        ({"channel": "left"}, "channel"),
        ({"colour": "red"}, "colour"),
        ({"before": "a", "after": "b"}, "query"),
    ],
)
async def test_bad_filters(client: httpx.AsyncClient, query: dict[str, str], parameter: str) -> None:
    for path in ("/v1/pours", "/v1/pours.csv"):
        reply = await client.get(path, params=query)
        assert reply.status_code == 422
        assert reply.json()["errors"][0]["parameter"] == parameter


async def test_the_history_as_csv_has_a_line_for_each_dose(client: httpx.AsyncClient, poured: Poured) -> None:
    ids = [(await poured(amount_g=50.0 + i))["id"] for i in range(3)]
    reply = await client.get("/v1/pours.csv", params={"limit": 1})
    assert reply.headers["content-type"].startswith("text/csv")
    rows = list(csv.DictReader(io.StringIO(reply.text)))
    assert [row["pour_id"] for row in rows] == ids[::-1]
    assert (rows[0]["target_g"], rows[0]["delivered_g"], rows[0]["deviation_g"]) == ("52.0", "52.4", "0.4")


async def test_a_name_that_looks_like_a_formula_is_text_in_csv(
    client: httpx.AsyncClient, poured: Poured
) -> None:
    body = {"name": '=HYPERLINK("x")', "density_g_per_ml": 1.0}
    await client.put("/v1/liquids/house-water", json=body)
    await poured()
    (row,) = csv.DictReader(io.StringIO((await client.get("/v1/pours.csv")).text))
    assert row["liquid_name"] == '\'=HYPERLINK("x")'
