from collections.abc import AsyncIterator

import httpx
import pytest

from api_app import app_with, client_of
from machine_double import MachineDouble
from tarewell.api.problems import PROBLEMS
from tarewell.records.errors import DiskFullError

WATER = {"doses": [{"channel": 1, "amount_g": 50}]}


def check_problem(reply: httpx.Response, name: str, status: int) -> dict[str, object]:
    """The members that RFC 9457, 3.1 describes, and the media type of 6.1."""
    assert reply.status_code == status
    assert reply.headers["content-type"] == "application/problem+json"
    body: dict[str, object] = reply.json()
    assert body["type"] == f"/problems/{name}"
    assert body["status"] == status
    assert body["title"] == PROBLEMS[name].title
    assert body["detail"]
    assert body["instance"] == reply.request.url.path
    return body


async def test_an_unknown_path(client: httpx.AsyncClient) -> None:
    check_problem(await client.get("/v1/barrels"), "not-found", 404)


async def test_a_wrong_method_names_the_right_ones(client: httpx.AsyncClient) -> None:
    reply = await client.put("/v1/pours", json={})
    check_problem(reply, "method-not-allowed", 405)
    assert set(reply.headers["allow"].split(", ")) == {"GET", "POST"}
    reply = await client.patch("/v1/liquids/house-water")
    assert set(reply.headers["allow"].split(", ")) == {"DELETE", "GET", "PUT"}


async def test_a_body_without_end_is_refused(client: httpx.AsyncClient) -> None:
    said = await client.post("/v1/pours", content=b" " * 70000)
    check_problem(said, "too-large", 413)

    async def unsaid() -> AsyncIterator[bytes]:
        for _ in range(10):
            yield b" " * 10000

    reply = await client.post("/v1/pours", content=unsaid(), headers={"Content-Type": "application/json"})
    check_problem(reply, "too-large", 413)


@pytest.mark.parametrize("content", [b"{", b'{"doses": [}', b"doses=1", b"\xff\xfe", b""])
async def test_what_is_not_json(client: httpx.AsyncClient, content: bytes) -> None:
    reply = await client.post("/v1/pours", content=content, headers={"Content-Type": "application/json"})
    name, status = ("invalid-request", 422) if not content else ("malformed-json", 400)
    check_problem(reply, name, status)


@pytest.mark.parametrize("content", ["[]", "null", "7", '"water"'])
async def test_json_that_is_no_object(client: httpx.AsyncClient, content: str) -> None:
    reply = await client.post("/v1/pours", content=content, headers={"Content-Type": "application/json"})
    check_problem(reply, "invalid-request", 422)


async def test_a_body_that_does_not_say_it_is_json(client: httpx.AsyncClient) -> None:
    reply = await client.post(
        "/v1/pours",
        content=b'{"doses":[{"channel":1,"amount_g":50}]}',
        headers={"Content-Type": "text/plain"},
    )
    check_problem(reply, "invalid-request", 422)


async def test_an_error_of_the_program_tells_the_client_nothing_of_its_inside(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    machine.failure = RuntimeError("secret inside")
    body = check_problem(await client.post("/v1/pours", json=WATER), "internal-error", 500)
    assert "secret" not in str(body)


async def test_a_full_disk_is_told_with_its_cure(client: httpx.AsyncClient, machine: MachineDouble) -> None:
    machine.failure = DiskFullError("the disk is full; free some space, then try again")
    body = check_problem(await client.post("/v1/pours", json=WATER), "records-unavailable", 503)
    assert "free some space" in str(body["detail"])


async def test_every_type_uri_leads_to_its_explanation(client: httpx.AsyncClient) -> None:
    for kind in PROBLEMS.values():
        reply = await client.get(kind.uri)
        assert reply.status_code == 200
        assert kind.meaning in reply.text


async def test_an_unknown_problem_is_not_found(client: httpx.AsyncClient) -> None:
    check_problem(await client.get("/problems/spilled"), "not-found", 404)


@pytest.mark.parametrize(
    "header",
    [
        {},
        {"Authorization": "Bearer first-bell"},
        {"Authorization": "Bearer"},
        {"Authorization": "Basic second-bell"},
        {"Authorization": "second-bell"},
    ],
)
async def test_without_the_token_nothing_is_shown(guarded: httpx.AsyncClient, header: dict[str, str]) -> None:
    for path in ("/v1/machine", "/v1/events", "/v1/nowhere", "/openapi.json", "/docs"):
        reply = await guarded.get(path, headers=header)
        check_problem(reply, "token-required", 401)
        assert reply.headers["www-authenticate"].startswith("Bearer ")


async def test_a_bad_token_is_named_as_such_even_with_a_bad_body(guarded: httpx.AsyncClient) -> None:
    reply = await guarded.post(
        "/v1/pours", content=b"{", headers={"Authorization": "Bearer ä".encode("latin-1")}
    )  # type: ignore[dict-item]
    check_problem(reply, "token-required", 401)
    assert 'error="invalid_token"' in reply.headers["www-authenticate"]


async def test_with_the_token_all_is_open_and_health_always(guarded: httpx.AsyncClient) -> None:
    assert (
        await guarded.get("/v1/machine", headers={"Authorization": "bearer second-bell"})
    ).status_code == 200
    assert (await guarded.get("/v1/health")).status_code == 200


@pytest.mark.parametrize("origin", ["http://elsewhere.test", "null", "http://bar.test:8080"])
async def test_a_page_of_another_origin_changes_nothing(
    client: httpx.AsyncClient, machine: MachineDouble, origin: str
) -> None:
    reply = await client.post("/v1/machine/emergency-stop", headers={"Origin": origin})
    check_problem(reply, "foreign-origin", 403)
    assert machine.latched is False


async def test_the_daemons_own_page_may(machine: MachineDouble) -> None:
    async with client_of(app_with(machine), Origin="http://bar.test") as client:
        assert (await client.post("/v1/machine/release")).status_code == 200
