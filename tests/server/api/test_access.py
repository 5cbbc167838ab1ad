"""Who is let in to what, through the whole application, attacks included."""

import json
import re
from collections.abc import AsyncIterator
from typing import Any

import httpx
import pytest
from fastapi import FastAPI
from starlette.routing import Route

from api_app import app_with, client_of, got_raw
from event_stream import event_stream
from machine_double import MachineDouble
from tarewell.api.access import Role, stated_role
from tarewell.api.context import CurrentVisitor
from tarewell.exchange.live import LiveEvent
from tarewell.records.errors import DiskFullError

TOKEN = "second-bell-and-third-bell"
OWN = {"Origin": "http://bar.test"}


async def tonight(key: str) -> bool:
    return key == "tonight"


@pytest.fixture
def app(machine: MachineDouble) -> FastAPI:
    return app_with(machine, TOKEN, guest_key_valid=tonight)


@pytest.fixture
async def operator(app: FastAPI) -> AsyncIterator[httpx.AsyncClient]:
    """A browser at the daemon's page, signed in."""
    async with client_of(app, **OWN) as browser:
        assert (await browser.post("/v1/session", json={"token": TOKEN})).status_code == 200
        yield browser


@pytest.fixture
async def guest(app: FastAPI) -> AsyncIterator[httpx.AsyncClient]:
    """A phone that opened the link of the evening."""
    async with client_of(app, **OWN) as phone:
        assert (await phone.get("/e/tonight")).status_code == 303
        yield phone


def every_route(app: FastAPI) -> list[tuple[str, str]]:
    """Method and path of each route, described or not; parameters are filled in."""
    described = [(method.upper(), path) for path, item in app.openapi()["paths"].items() for method in item]
    others = [
        (method, route.path)
        for route in app.routes
        if isinstance(route, Route)
        for method in route.methods or ()
    ]
    return [(method, re.sub(r"{\w+(:path)?}", "x", path)) for method, path in described + others]


def test_every_route_states_who_may_ask(app: FastAPI) -> None:
    routes = every_route(app)
    assert len(routes) > 70
    assert [route for route in routes if stated_role(*route) is None] == []


def test_what_the_table_does_not_list_has_no_role() -> None:
    for asked in (("GET", "/v1/nowhere"), ("POST", "/v1/guest/orders/7/release"), ("POST", "/v1/health")):
        assert stated_role(*asked) is None


async def test_a_guest_gets_nowhere_but_to_menu_and_orders(app: FastAPI, guest: httpx.AsyncClient) -> None:
    refused = 0
    for method, path in every_route(app):
        if stated_role(method, path) is Role.OPERATOR:
            reply = await guest.request(method, path, content=b"{")
            assert reply.status_code == 403, (method, path)
            assert method == "HEAD" or reply.json()["type"] == "/problems/operators-only"
            refused += 1
    assert refused > 60
    for method, path in (
        ("GET", "/v1/guest/menu"),
        ("POST", "/v1/guest/orders"),
        ("DELETE", "/v1/guest/orders/7"),
    ):
        assert stated_role(method, path) is Role.GUEST
        assert (await guest.request(method, path)).status_code not in (401, 403)
    for method, path in (("PUT", "/v1/guest/orders/7"), ("POST", "/v1/guest/menu"), ("GET", "/v1/nowhere")):
        assert (await guest.request(method, path)).status_code == 403


async def test_no_spelling_of_an_address_gets_a_guest_to_the_machine(
    app: FastAPI, guest: httpx.AsyncClient
) -> None:
    for path in (
        "/v1/guest/../machine",
        "/v1/guest/%2e%2e/machine",
        "/page/../v1/machine",
        "//v1/machine",
        "/V1/machine",
    ):
        status, _, body = await got_raw(app, path, **_cookie(guest))
        assert status in (403, 404)
        assert json.loads(body)["type"] in ("/problems/operators-only", "/problems/not-found")


def _cookie(client: httpx.AsyncClient) -> dict[str, str]:
    return {"Cookie": f"tarewell={client.cookies['tarewell']}"}


# Signing in and out


async def test_signing_in_sets_a_cookie_that_no_script_and_no_other_site_gets(app: FastAPI) -> None:
    async with client_of(app, **OWN) as browser:
        assert (await browser.get("/v1/machine")).status_code == 401
        reply = await browser.post("/v1/session", json={"token": TOKEN})
        attributes = set(reply.headers["set-cookie"].lower().split("; ")[1:])
        assert attributes == {"httponly", "max-age=604800", "path=/", "samesite=strict"}
        assert TOKEN not in reply.headers["set-cookie"]
        body = reply.json()
        assert body["role"] == "operator"
        assert body["may"] == ["order", "operate"]
        assert (await browser.get("/v1/machine")).status_code == 200
        assert (await browser.get("/v1/session")).json() == body


async def test_over_https_the_cookie_stays_there(app: FastAPI) -> None:
    async with httpx.AsyncClient(transport=httpx.ASGITransport(app), base_url="https://bar.test") as browser:
        reply = await browser.post("/v1/session", json={"token": TOKEN})
        assert "; Secure" in reply.headers["set-cookie"]


async def test_signing_out(operator: httpx.AsyncClient) -> None:
    assert (await operator.delete("/v1/session")).status_code == 204
    assert (await operator.get("/v1/machine")).status_code == 401
    assert (await operator.get("/v1/session")).json()["role"] == "nobody"


async def test_signing_out_ends_the_event_streams_of_its_session_and_no_others(
    app: FastAPI, operator: httpx.AsyncClient, machine: MachineDouble
) -> None:
    async with client_of(app, **OWN) as colleague:
        await colleague.post("/v1/session", json={"token": TOKEN})
        theirs = _cookie(colleague)
    async with event_stream(app, _cookie(operator)) as own, event_stream(app, theirs) as other:
        await own.next()
        await other.next()
        await operator.delete("/v1/session")
        assert await own.next() == {}
        assert own.ended
        machine.feed.publish(LiveEvent("reading", {}))
        assert (await other.next())["event"] == "reading"


async def test_who_comes_without_anything_is_told_that_a_token_is_needed(app: FastAPI) -> None:
    async with client_of(app) as browser:
        assert (await browser.get("/v1/session")).json() == {
            "name": "Tarewell",
            "role": "nobody",
            "may": [],
            "token_required": True,
            "ends_at": None,
        }


async def test_without_a_token_nobody_needs_to_sign_in(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    async with client_of(app_with(machine)) as browser:
        body = (await browser.get("/v1/session")).json()
        assert (body["role"], body["token_required"]) == ("operator", False)
        reply = await browser.post("/v1/session", json={"token": TOKEN})
        assert reply.status_code == 409
        assert "nobody needs to sign in" in reply.json()["detail"]


async def test_very_many_tries_wait_and_let_nobody_in(app: FastAPI) -> None:
    async with client_of(app) as browser:
        answers = [await browser.post("/v1/session", json={"token": f"guess-{n}"}) for n in range(200)]
        assert [reply.status_code for reply in answers[:5]] == [401] * 5
        assert {reply.status_code for reply in answers[5:]} == {429}
        assert 1 <= int(answers[-1].headers["retry-after"]) <= 30
        assert "that is not the token of this bar" in answers[0].json()["detail"]
        assert "set-cookie" not in answers[-1].headers
        right = await browser.post("/v1/session", json={"token": TOKEN})
        assert right.status_code == 429, "else trying would go on"
        by_token = await browser.get("/v1/machine", headers={"Authorization": f"Bearer {TOKEN}"})
        assert by_token.status_code == 200, "an emergency stop never waits for a guess"


async def test_odd_tokens_are_wrong(app: FastAPI) -> None:
    async with client_of(app) as browser:
        for token in ("", "ä" * 20, "\x00", TOKEN + " "):
            assert (await browser.post("/v1/session", json={"token": token})).status_code == 401


async def test_a_person_without_a_session_is_led_to_the_sign_in_and_a_program_is_not(app: FastAPI) -> None:
    for path, to in (
        ("/docs", "/sign-in?to=/docs"),
        ("/v1/cards?a=b&c=%26", "/sign-in?to=/v1/cards%3Fa%3Db%26c%3D%2526"),
        ("//evil.example/x", "/sign-in?to=/evil.example/x"),
        ("/\\evil.example", "/sign-in?to=/%255Cevil.example"),
    ):
        status, headers, _ = await got_raw(app, path, Accept="text/html,*/*;q=0.8")
        assert (status, headers["location"]) == (303, to)
    assert (await got_raw(app, "/docs"))[0] == 401


# Cross-site requests


async def test_a_cookie_alone_changes_nothing_from_elsewhere(
    app: FastAPI, operator: httpx.AsyncClient, machine: MachineDouble
) -> None:
    for headers in (
        {"Origin": "http://elsewhere.test"},
        {"Origin": "http://bar.test:3000"},
        {"Origin": "null"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {"Sec-Fetch-Site": "none"},
        {},
    ):
        cookie = _cookie(operator)
        async with client_of(app) as elsewhere:
            reply = await elsewhere.post("/v1/machine/emergency-stop", headers=headers | cookie)
            assert reply.status_code == 403
            assert reply.json()["type"] == "/problems/foreign-origin"
            assert machine.latched is False


async def test_the_page_of_the_daemon_changes_things_by_its_cookie(
    app: FastAPI, operator: httpx.AsyncClient, machine: MachineDouble
) -> None:
    for headers in (OWN, {"Sec-Fetch-Site": "same-origin"}):
        machine.latched = False
        async with client_of(app) as browser:
            reply = await browser.post("/v1/machine/emergency-stop", headers=headers | _cookie(operator))
            assert reply.status_code == 200
            assert machine.latched is True


async def test_a_rebound_name_gets_nothing_even_with_a_cookie(
    app: FastAPI, operator: httpx.AsyncClient
) -> None:
    rebound = {"Host": "evil.example", "Origin": "http://evil.example"}
    async with client_of(app) as browser:
        for path in ("/", "/v1/session", "/v1/machine", "/e/tonight", "/page/page.js"):
            assert (await browser.get(path, headers=rebound | _cookie(operator))).status_code == 421
        reply = await browser.post("/v1/session", json={"token": TOKEN}, headers=rebound)
        assert reply.status_code == 421


# Guests


async def test_the_link_of_the_evening_leads_to_the_menu_without_its_key(app: FastAPI) -> None:
    async with client_of(app) as phone:
        reply = await phone.get("/e/tonight")
        assert (reply.status_code, reply.headers["location"]) == (303, "/menu")
        assert reply.headers["cache-control"] == "no-store"
        assert {"HttpOnly", "SameSite=strict"} <= set(reply.headers["set-cookie"].split("; "))
        body = (await phone.get("/v1/session")).json()
        assert (body["role"], body["may"]) == ("guest", ["order"])


async def test_a_route_of_guests_knows_which_guest_asks(
    app: FastAPI, guest: httpx.AsyncClient, operator: httpx.AsyncClient
) -> None:
    @app.get("/v1/guest/name")
    def name(visitor: CurrentVisitor) -> str:
        return "-" if visitor.session is None else f"{visitor.role.name} {visitor.session.id}"

    first = (await guest.get("/v1/guest/name")).json()
    assert first.startswith("GUEST ")
    assert (await guest.get("/v1/guest/name")).json() == first
    assert (await operator.get("/v1/guest/name")).json().startswith("OPERATOR ")
    async with client_of(app, **OWN) as phone:
        assert (await phone.get("/v1/guest/name")).status_code == 401
        await phone.get("/e/tonight")
        assert (await phone.get("/v1/guest/name")).json() not in (first, "-")


async def test_a_wrong_link_lets_nobody_in_and_says_what_to_do(app: FastAPI) -> None:
    async with client_of(app) as phone:
        for key in ("yesterday", "tonight ", "%00", "ü", "x" * 200):
            reply = await phone.get(f"/e/{key}")
            assert reply.status_code == 404
            assert "Ask at the bar" in reply.text
            assert "set-cookie" not in reply.headers


async def test_a_guest_who_opens_the_link_again_stays_the_same_guest(guest: httpx.AsyncClient) -> None:
    assert "set-cookie" not in (await guest.get("/e/tonight")).headers


async def test_a_link_that_is_slipped_to_an_operator_takes_nothing_away(operator: httpx.AsyncClient) -> None:
    assert (await operator.get("/e/tonight")).status_code == 303
    assert (await operator.get("/v1/machine")).status_code == 200


async def test_a_guest_who_has_the_token_may_sign_in(guest: httpx.AsyncClient) -> None:
    assert (await guest.get("/v1/machine")).status_code == 403
    assert (await guest.post("/v1/session", json={"token": TOKEN})).status_code == 200
    assert (await guest.get("/v1/machine")).status_code == 200


async def test_without_a_token_a_guest_is_a_guest_all_the_same(machine: MachineDouble) -> None:
    async with client_of(app_with(machine, guest_key_valid=tonight), **OWN) as phone:
        assert (await phone.get("/v1/machine")).status_code == 200
        await phone.get("/e/tonight")
        assert (await phone.get("/v1/machine")).status_code == 403
        await phone.delete("/v1/session")
        assert (await phone.get("/v1/machine")).status_code == 200


async def test_records_that_cannot_say_whether_the_link_is_open_are_a_problem(machine: MachineDouble) -> None:
    failing: list[Exception] = []

    def valid(key: str) -> bool:
        if failing:
            raise failing[0]
        return True

    async with client_of(app_with(machine, TOKEN, guest_key_valid=valid)) as phone:
        await phone.get("/e/any")
        failing.append(DiskFullError("the disk is full; free some space"))
        reply = await phone.get("/v1/guest/menu")
        assert reply.status_code == 503
        assert reply.json()["type"] == "/problems/records-unavailable"


# Pages of other origins

PAGE = {"Origin": "https://foyer.example"}


@pytest.fixture
async def opened(machine: MachineDouble) -> AsyncIterator[httpx.AsyncClient]:
    """A daemon with a token that lets pages of one other origin in."""
    async with client_of(app_with(machine, TOKEN, allowed_origins=("https://foyer.example",))) as client:
        yield client


ASKS = {
    "Access-Control-Request-Method": "POST",
    "Access-Control-Request-Headers": "authorization,content-type",
}


async def test_a_listed_page_is_let_in_with_the_token(
    opened: httpx.AsyncClient, machine: MachineDouble
) -> None:
    before = await opened.options("/v1/machine/emergency-stop", headers=PAGE | ASKS)
    assert before.status_code == 200
    assert before.headers["access-control-allow-origin"] == "https://foyer.example"
    assert "POST" in before.headers["access-control-allow-methods"]
    token = {"Authorization": f"Bearer {TOKEN}"}
    reply = await opened.post("/v1/machine/emergency-stop", headers=PAGE | token)
    assert reply.status_code == 200
    assert machine.latched is True
    assert reply.headers["access-control-allow-origin"] == "https://foyer.example"
    assert "ETag" in reply.headers["access-control-expose-headers"]
    refused = await opened.get("/v1/machine", headers=PAGE)
    assert refused.status_code == 401
    assert refused.headers["access-control-allow-origin"] == "https://foyer.example", "else it cannot say why"


async def test_a_cookie_never_counts_from_a_listed_page(
    opened: httpx.AsyncClient, machine: MachineDouble
) -> None:
    await opened.post("/v1/session", json={"token": TOKEN})
    reply = await opened.post("/v1/machine/emergency-stop", headers=PAGE)
    assert reply.status_code == 403
    assert machine.latched is False
    assert "access-control-allow-credentials" not in reply.headers


async def test_a_page_that_is_not_listed_stays_out(opened: httpx.AsyncClient) -> None:
    for origin in (
        "https://foyer.example:8443",
        "http://foyer.example",
        "null",
        "https://x.foyer.example",
    ):
        before = await opened.options("/v1/machine", headers=ASKS | {"Origin": origin})
        assert before.status_code == 400
        token = {"Authorization": f"Bearer {TOKEN}"}
        reply = await opened.get("/v1/machine", headers=token | {"Origin": origin})
        assert "access-control-allow-origin" not in reply.headers
        assert reply.headers["vary"] == "Origin"
        changed = await opened.post("/v1/machine/release", headers=token | {"Origin": origin})
        assert changed.status_code == 403


async def test_where_no_page_is_listed_none_is_told_anything(client: httpx.AsyncClient) -> None:
    for reply in (
        await client.options("/v1/machine", headers=PAGE | ASKS),
        await client.get("/v1/session", headers=PAGE),
    ):
        assert not [name for name in reply.headers if name.startswith("access-control")]


async def test_what_a_program_without_a_browser_sends_is_as_before(
    app: FastAPI, machine: MachineDouble
) -> None:
    headers: dict[str, Any] = {"Authorization": f"Bearer {TOKEN}"}
    async with client_of(app, **headers) as program:
        assert (await program.post("/v1/machine/emergency-stop")).status_code == 200
        assert machine.latched is True
