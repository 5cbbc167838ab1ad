"""Sessions in signed cookies, as values; the clock is the test's."""

import json
from base64 import urlsafe_b64decode, urlsafe_b64encode
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.requests import HTTPConnection

from tarewell.api.access import Role
from tarewell.api.sign_in_tries import MAX_ADDRESSES, MAX_TRIES, WAIT_S, SignInTries
from tarewell.api.visitors import LASTS, Visitors, no_guests

TOKEN = "first-bell-and-second-bell"
BEGIN = datetime(2031, 3, 14, 19, 0, tzinfo=UTC)


class OpenLink:
    """A link of the evening that can be closed, and a clock."""

    def __init__(self, key: str = "tonight") -> None:
        self.key = key
        self.now = BEGIN

    async def admits(self, key: str) -> bool:
        return key == self.key

    def visitors(self, token: str | None = TOKEN) -> Visitors:
        return Visitors(token, self.admits, lambda: self.now)


def sent(cookie: str | None = None, authorization: str | None = None) -> HTTPConnection:
    named = {"cookie": None if cookie is None else f"tarewell={cookie}", "authorization": authorization}
    headers = [(name.encode(), value.encode()) for name, value in named.items() if value is not None]
    return HTTPConnection({"type": "http", "headers": headers})


async def role_of(visitors: Visitors, connection: HTTPConnection) -> Role:
    return (await visitors.of(connection)).role


async def test_a_session_outlives_a_restart_and_never_holds_the_token() -> None:
    evening = OpenLink()
    cookie = evening.visitors().cookie(evening.visitors().operator())
    assert await role_of(evening.visitors(), sent(cookie)) is Role.OPERATOR
    payload = cookie.split(".")[0]
    assert TOKEN not in cookie
    assert TOKEN.encode() not in urlsafe_b64decode(payload + "==")


async def test_another_token_ends_every_session() -> None:
    evening = OpenLink()
    cookie = evening.visitors().cookie(evening.visitors().operator())
    assert await role_of(evening.visitors("another-token-of-the-bar"), sent(cookie)) is Role.NOBODY


@pytest.mark.parametrize("role", [Role.OPERATOR, Role.GUEST])
async def test_a_session_ends_when_its_time_is_over(role: Role) -> None:
    evening = OpenLink()
    visitors = evening.visitors()
    session = visitors.operator() if role is Role.OPERATOR else await visitors.guest("tonight")
    assert session is not None
    cookie = visitors.cookie(session)
    evening.now = BEGIN + LASTS[role] - timedelta(seconds=1)
    assert await role_of(visitors, sent(cookie)) is role
    evening.now = BEGIN + LASTS[role]
    assert await role_of(visitors, sent(cookie)) is Role.NOBODY


async def test_closing_the_link_ends_the_sessions_of_guests_and_of_nobody_else() -> None:
    evening = OpenLink()
    visitors = evening.visitors()
    guest = await visitors.guest("tonight")
    assert guest is not None
    evening.key = "tomorrow"
    assert await role_of(visitors, sent(visitors.cookie(guest))) is Role.NOBODY
    assert await visitors.guest("tonight") is None
    assert await role_of(visitors, sent(visitors.cookie(visitors.operator()))) is Role.OPERATOR


async def test_every_guest_has_an_identity_of_their_own() -> None:
    visitors = OpenLink().visitors()
    guests = [await visitors.guest("tonight") for _ in range(20)]
    assert len({guest.id for guest in guests if guest is not None}) == 20


def forged(cookie: str, **different: Any) -> str:
    payload, signature = cookie.split(".")
    told = json.loads(urlsafe_b64decode(payload + "==")) | different
    return urlsafe_b64encode(json.dumps(told).encode()).decode().rstrip("=") + "." + signature


async def test_a_guest_who_writes_operator_into_the_cookie_is_nobody() -> None:
    visitors = OpenLink().visitors()
    guest = await visitors.guest("tonight")
    assert guest is not None
    cookie = visitors.cookie(guest)
    assert await role_of(visitors, sent(cookie)) is Role.GUEST
    for changed in (
        forged(cookie, role="OPERATOR"),
        forged(cookie, ends_s=4e9),
        forged(cookie, guest_key=None),
        forged(cookie, id=""),
        cookie.split(".")[0],
        cookie.split(".")[0] + ".",
        cookie[:-1],
        cookie + "0",
        "." + cookie.split(".")[1],
        Visitors("", no_guests).cookie(visitors.operator()),
    ):
        assert await role_of(visitors, sent(changed)) is Role.NOBODY


@given(
    st.text(st.characters(min_codepoint=0x21, max_codepoint=0xFF, exclude_characters=";,\x7f"), max_size=200)
)
async def test_no_made_up_cookie_lets_anybody_in(cookie: str) -> None:
    assert await role_of(OpenLink().visitors(), sent(cookie)) is Role.NOBODY


async def test_a_wrong_token_is_not_made_up_for_by_a_cookie() -> None:
    visitors = OpenLink().visitors()
    cookie = visitors.cookie(visitors.operator())
    assert await role_of(visitors, sent(cookie, "Bearer wrong")) is Role.NOBODY
    assert await role_of(visitors, sent(None, f"bearer {TOKEN}")) is Role.OPERATOR
    # a proxy in front may ask for a password of its own, which browsers then send along
    assert await role_of(visitors, sent(cookie, "Basic Zm9v")) is Role.OPERATOR


async def test_without_a_token_everybody_is_an_operator_but_guests() -> None:
    visitors = OpenLink().visitors(None)
    guest = await visitors.guest("tonight")
    assert guest is not None
    assert await role_of(visitors, sent(visitors.cookie(guest), "Bearer anything")) is Role.GUEST
    assert await role_of(visitors, sent()) is Role.OPERATOR


def test_an_address_waits_after_five_wrong_tokens_and_no_longer_than_said() -> None:
    tries = SignInTries()
    for second in range(MAX_TRIES):
        assert tries.wait_s("192.0.2.7", second) == 0
        tries.wrong("192.0.2.7", second)
    assert tries.wait_s("192.0.2.7", 4.0) == WAIT_S == 30
    assert tries.wait_s("192.0.2.7", 24.0) == 10
    assert tries.wait_s("192.0.2.8", 4.0) == 0
    assert tries.wait_s("192.0.2.7", 34.0) == 0
    tries.wrong("192.0.2.7", 34.0)
    assert tries.wait_s("192.0.2.7", 34.0) == 0, "it counts from one again"


def test_the_right_token_forgets_the_wrong_ones() -> None:
    tries = SignInTries()
    for _ in range(2):
        for _ in range(MAX_TRIES - 1):
            tries.wrong("192.0.2.7", 0.0)
        tries.right("192.0.2.7")
    assert tries.wait_s("192.0.2.7", 0.0) == 0


def test_a_host_with_many_addresses_of_one_network_is_one() -> None:
    tries = SignInTries()
    for host in range(MAX_TRIES):
        tries.wrong(f"2001:db8:1:2::{host}", 0.0)
    assert tries.wait_s("2001:db8:1:2:ffff::1", 0.0) == WAIT_S
    assert tries.wait_s("2001:db8:1:3::1", 0.0) == 0


def test_very_many_addresses_take_no_more_room_and_the_newest_still_wait() -> None:
    tries = SignInTries()
    for number in range(10 * MAX_ADDRESSES):
        for _ in range(MAX_TRIES):
            tries.wrong(f"host-{number}", 0.0)
    waiting = [number for number in range(10 * MAX_ADDRESSES) if tries.wait_s(f"host-{number}", 0.0)]
    assert waiting == list(range(9 * MAX_ADDRESSES, 10 * MAX_ADDRESSES))
