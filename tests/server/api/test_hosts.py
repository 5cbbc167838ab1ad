"""Which names the daemon answers to, as raw requests, since clients tidy the Host header up."""

import json
from typing import Any

import pytest
from starlette.types import Message, Receive, Scope, Send

from tarewell.api.guard import Guard
from tarewell.api.visitors import Visitors, no_guests


async def asked(
    headers: dict[str, str], listens_at: str = "127.0.0.1", names: tuple[str, ...] = ()
) -> tuple[int, str]:
    """Status and detail of a POST; 204 is the application's own."""
    sent: list[Message] = []

    async def app(scope: Scope, receive: Receive, send: Send) -> None:
        await send({"type": "http.response.start", "status": 204, "headers": []})
        await send({"type": "http.response.body", "body": b"{}"})

    async def receive() -> Message:
        return {"type": "http.request"}

    async def send(message: Message) -> None:
        sent.append(message)

    scope: dict[str, Any] = {
        "type": "http",
        "method": "POST",
        "path": "/v1/pours",
        "headers": [(name.lower().encode(), value.encode()) for name, value in headers.items()],
    }
    await Guard(app, Visitors(None, no_guests), listens_at, names)(scope, receive, send)
    start, body = sent
    return start["status"], json.loads(body["body"]).get("detail", "")


async def test_a_page_whose_name_was_made_to_lead_here_is_refused() -> None:
    page = {"Host": "evil.example:8788", "Origin": "http://evil.example:8788"}
    status, detail = await asked(page)
    assert status == 421
    assert "not known as evil.example" in detail
    assert "add it to the setting `hosts`" in detail


@pytest.mark.parametrize("name", ["localhost", "LocalHost", "localhost.", "127.0.0.1", "127.0.0.53", "[::1]"])
@pytest.mark.parametrize("port", ["", ":8788", ":9"])
async def test_this_computer_is_known_with_and_without_a_port(name: str, port: str) -> None:
    for listens_at in ("127.0.0.1", "0.0.0.0", "bar.example"):
        status, _ = await asked({"Host": name + port, "Origin": f"http://{name}{port}"}, listens_at)
        assert status == 204


@pytest.mark.parametrize(
    "host",
    [
        "localhost.evil.example",
        "evil.example#localhost",
        "localhost@evil.example",
        "localhost:8788@evil.example",
        "localhost:8788:8788",
        "127.0.0.1.evil.example",
        "192.0.2.7",
        "[fd00::7]",
        "0.0.0.0",
        "[::1",
        "::1",
        "localhost/",
        " ",
        "",
    ],
)
async def test_what_only_looks_like_this_computer_is_refused(host: str) -> None:
    status, detail = await asked({"Host": host})
    assert status == 421
    assert detail


async def test_a_request_without_a_host_is_refused() -> None:
    assert await asked({}) == (421, "the request has no Host header; send the daemon's address in it")


async def test_the_address_listened_at_and_the_names_set_are_known() -> None:
    names = ("bar.example", "FD00::7")
    for host in ("192.0.2.7", "192.0.2.7:8788", "bar.example", "BAR.example.:80", "[fd00:0::7]:8788"):
        assert (await asked({"Host": host}, "192.0.2.7", names))[0] == 204
    for host in ("192.0.2.8", "foyer.example", "[fd00::8]"):
        assert (await asked({"Host": host}, "192.0.2.7", names))[0] == 421


@pytest.mark.parametrize("listens_at", ["0.0.0.0", "::"])
async def test_where_all_addresses_are_listened_at_each_is_known_and_no_name(listens_at: str) -> None:
    """A page is never named by an address that is not its own, so an address cannot be rebound."""
    for host in ("192.0.2.7:8788", "[fd00::7]"):
        assert (await asked({"Host": host}, listens_at))[0] == 204
    assert (await asked({"Host": "evil.example"}, listens_at))[0] == 421
