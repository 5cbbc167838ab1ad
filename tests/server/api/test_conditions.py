"""Conditional requests after RFC 9110, section 13; every case for one kind, the basics for all."""

import asyncio
from typing import Any

import httpx
import pytest

from tarewell.records.store import Store

WATER = "/v1/liquids/house-water"
BODY: dict[str, Any] = {"name": "House Water", "abv_percent": 0, "sugar_g_per_l": 0}
GLASS: dict[str, Any] = {"name": "Tumbler", "brim_ml": 300, "headroom_ml": 30}
RECIPE: dict[str, Any] = {"name": "Plain", "steps": [{"liquid_id": "house-water", "amount": "10 cl"}]}
BOTTLE: dict[str, Any] = {"liquid_id": "house-water", "full_ml": 500}

KINDS = [
    ("/v1/liquids/gallery-juice", {**BODY, "name": "Gallery Juice"}),
    ("/v1/glasses/tumbler", GLASS),
    ("/v1/recipes/plain", RECIPE),
    ("/v1/channels/5", {"name": "spare", "liquid_id": None}),
    ("/v1/bottles/water-1", BOTTLE),
]


@pytest.mark.parametrize(("path", "body"), KINDS)
async def test_the_tag_follows_what_is_shown(
    client: httpx.AsyncClient, path: str, body: dict[str, Any]
) -> None:
    first = (await client.put(path, json=body)).json()
    assert (await client.put(path, json=body)).json()["etag"] == first["etag"]
    read = await client.get(path)
    assert read.headers["etag"] == read.json()["etag"] == first["etag"]
    change = {"low_g": 33.0} if "bottles" in path else {"name": "Another"}
    assert (await client.put(path, json={**body, **change})).json()["etag"] != first["etag"]


@pytest.mark.parametrize(("path", "body"), KINDS)
async def test_of_two_editors_the_second_is_told(
    client: httpx.AsyncClient, path: str, body: dict[str, Any]
) -> None:
    seen = (await client.put(path, json=body)).json()["etag"]
    change = {"low_g": 33.0} if "bottles" in path else {"name": "Mine"}
    other = {"low_g": 44.0} if "bottles" in path else {"name": "Theirs"}
    mine = await client.put(path, json={**body, **change}, headers={"If-Match": seen})
    assert mine.status_code == 200
    theirs = await client.put(path, json={**body, **other}, headers={"If-Match": seen})
    assert (theirs.status_code, theirs.json()["type"]) == (412, "/problems/changed-meanwhile")
    assert (await client.get(path)).json() == mine.json()


@pytest.mark.parametrize(("path", "body"), KINDS)
async def test_create_only(client: httpx.AsyncClient, path: str, body: dict[str, Any]) -> None:
    created = await client.put(path, json=body, headers={"If-None-Match": "*"})
    assert created.status_code == 200
    again = await client.put(path, json=body, headers={"If-None-Match": "*"})
    assert again.status_code == 412


async def test_at_the_same_moment_one_of_many_editors_wins(client: httpx.AsyncClient) -> None:
    seen = (await client.get(WATER)).headers["etag"]
    replies = await asyncio.gather(
        *(
            client.put(WATER, json={**BODY, "note": f"by {number}"}, headers={"If-Match": seen})
            for number in range(8)
        )
    )
    codes = sorted(reply.status_code for reply in replies)
    assert codes == [200] + 7 * [412]
    winner = next(reply for reply in replies if reply.status_code == 200)
    assert (await client.get(WATER)).json() == winner.json()


async def test_at_the_same_moment_one_of_many_creators_wins(client: httpx.AsyncClient) -> None:
    replies = await asyncio.gather(
        *(
            client.put(
                "/v1/glasses/tumbler",
                json={**GLASS, "name": f"Tumbler {number}"},
                headers={"If-None-Match": "*"},
            )
            for number in range(8)
        )
    )
    assert sorted(reply.status_code for reply in replies) == [200] + 7 * [412]


@pytest.mark.parametrize("sent", ['"other"', "W/{tag}", "", "nonsense", '"a", "b"'])
async def test_if_match_that_does_not_hold_changes_nothing(client: httpx.AsyncClient, sent: str) -> None:
    before = (await client.get(WATER)).json()
    header = {"If-Match": sent.format(tag=before["etag"])}
    assert (await client.put(WATER, json={**BODY, "note": "x"}, headers=header)).status_code == 412
    assert (await client.get(WATER)).json() == before


@pytest.mark.parametrize("sent", ["{tag}", '"other", {tag}', "*"])
async def test_if_match_that_holds(client: httpx.AsyncClient, sent: str) -> None:
    tag = (await client.get(WATER)).headers["etag"]
    header = {"If-Match": sent.format(tag=tag)}
    assert (await client.put(WATER, json={**BODY, "note": "x"}, headers=header)).status_code == 200


async def test_if_match_star_creates_nothing(client: httpx.AsyncClient) -> None:
    reply = await client.put("/v1/glasses/tumbler", json=GLASS, headers={"If-Match": "*"})
    assert reply.status_code == 412
    assert (await client.get("/v1/glasses/tumbler")).status_code == 404


@pytest.mark.parametrize("sent", ["{tag}", "W/{tag}", "*"])
async def test_what_the_client_has_already_is_not_sent_again(client: httpx.AsyncClient, sent: str) -> None:
    tag = (await client.get(WATER)).headers["etag"]
    reply = await client.get(WATER, headers={"If-None-Match": sent.format(tag=tag)})
    assert (reply.status_code, reply.content, reply.headers["etag"]) == (304, b"", tag)
    assert (await client.get(WATER, headers={"If-None-Match": '"other"'})).status_code == 200


async def test_retiring_keeps_the_precondition(client: httpx.AsyncClient) -> None:
    tag = (await client.put("/v1/glasses/tumbler", json=GLASS)).json()["etag"]
    assert (await client.delete("/v1/glasses/tumbler", headers={"If-Match": '"old"'})).status_code == 412
    assert (await client.delete("/v1/glasses/tumbler", headers={"If-Match": tag})).status_code == 204


async def test_without_conditions_the_last_one_wins(client: httpx.AsyncClient, store: Store) -> None:
    for note in ("first", "second"):
        assert (await client.put(WATER, json={**BODY, "note": note})).status_code == 200
    assert (await store.liquids.get("house-water")).note == "second"
