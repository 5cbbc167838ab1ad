"""Who sends a request: by the daemon's token, or by a session that a signed cookie holds.

Nothing is stored. The key of the signature is derived from the token, so sessions outlive a restart, and a
new token ends them all.
"""

import json
from base64 import urlsafe_b64decode, urlsafe_b64encode
from collections.abc import Awaitable, Callable
from dataclasses import asdict, dataclass
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from hmac import compare_digest, digest
from inspect import isawaitable
from secrets import token_urlsafe

from starlette.requests import HTTPConnection

from .access import Role

COOKIE = "tarewell"
LASTS = {Role.GUEST: timedelta(hours=24), Role.OPERATOR: timedelta(days=7)}

GuestKeyValid = Callable[[str], bool | Awaitable[bool]]
"""Whether the link of the evening with this key is open now. It is asked for every request of a guest, so
that closing the link ends the guests' sessions; a key should be hard to guess, 128 random bits or more."""


def no_guests(key: str) -> bool:
    """There is no link of the evening."""
    return False


@dataclass(frozen=True, slots=True)
class Session:
    """A visitor who was let in, until `ends_s` (Unix time). `id` is random and tells guests apart."""

    role: Role
    id: str
    ends_s: float
    guest_key: str | None = None

    @property
    def ends_at(self) -> datetime:
        """When it ends, UTC."""
        return datetime.fromtimestamp(self.ends_s, UTC)


@dataclass(frozen=True, slots=True)
class Visitor:
    """Who sends a request. `session` is None without a cookie that counts."""

    role: Role
    session: Session | None = None


def now_utc() -> datetime:
    """The time of the computer, UTC."""
    return datetime.now(UTC)


class Visitors:
    """Tells visitors apart and opens sessions. Without a token everybody is an operator who is no guest."""

    def __init__(
        self, token: str | None, guest_key_valid: GuestKeyValid, now: Callable[[], datetime] = now_utc
    ) -> None:
        self._token = None if token is None else token.encode()
        self._key = digest(self._token or b"", b"tarewell session 1", sha256)  # the number: of the payload
        self._guest_key_valid = guest_key_valid
        self._now = now

    @property
    def token_required(self) -> bool:
        """Whether operators need a token."""
        return self._token is not None

    def is_token(self, given: str) -> bool:
        """Whether this is the daemon's token."""
        return self._token is not None and compare_digest(given.encode(), self._token)

    async def of(self, connection: HTTPConnection) -> Visitor:
        """Who sends this request: a bearer token (RFC 6750) counts before a cookie.

        Raises:
            StoreError: whether the link of the evening is open cannot be read.
        """
        if self.token_required and (given := bearer(connection)) is not None:
            return Visitor(Role.OPERATOR if self.is_token(given) else Role.NOBODY)
        session = await self._session(connection.cookies.get(COOKIE, ""))
        if session is not None:
            return Visitor(session.role, session)
        return Visitor(Role.NOBODY if self.token_required else Role.OPERATOR)

    def operator(self) -> Session:
        """A session of somebody who knew the token."""
        return self._new(Role.OPERATOR)

    async def guest(self, key: str) -> Session | None:
        """A session of somebody who came by the link of the evening; None: it is not open.

        Raises:
            StoreError: whether it is cannot be read.
        """
        return self._new(Role.GUEST, key) if await self._admits(key) else None

    def cookie(self, session: Session) -> str:
        """The value of a cookie that holds the session."""
        told = asdict(session) | {"role": session.role.name}
        payload = urlsafe_b64encode(json.dumps(told).encode()).decode().rstrip("=")
        return f"{payload}.{self._signature(payload)}"

    def _new(self, role: Role, guest_key: str | None = None) -> Session:
        return Session(role, token_urlsafe(16), (self._now() + LASTS[role]).timestamp(), guest_key)

    async def _session(self, cookie: str) -> Session | None:
        """The session that a cookie holds, if it is signed here, not over, and still admitted."""
        payload, _, signature = cookie.partition(".")
        if not compare_digest(signature.encode(), self._signature(payload).encode()):
            return None
        told = json.loads(urlsafe_b64decode(payload + "=="))
        session = Session(**told | {"role": Role[told["role"]]})
        if session.ends_at <= self._now():
            return None
        if session.guest_key is not None and not await self._admits(session.guest_key):
            return None
        return session

    async def _admits(self, key: str) -> bool:
        answer = self._guest_key_valid(key)
        return await answer if isawaitable(answer) else answer

    def _signature(self, payload: str) -> str:
        return digest(self._key, payload.encode(), sha256).hex()


def bearer(connection: HTTPConnection) -> str | None:
    """The bearer token of a request, right or wrong; None: it has none."""
    scheme, _, given = connection.headers.get("authorization", "").partition(" ")
    return given.strip() if scheme.lower() == "bearer" else None
