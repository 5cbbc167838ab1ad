"""Guards every request: known host, bearer token (RFC 6750), no foreign page, bounded body.

This is plain ASGI middleware around everything, so that an event stream passes through unbuffered and a
request without a token is refused before its body is read.
"""

from collections.abc import Iterable
from secrets import compare_digest
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from .hosts import KnownHosts
from .problems import ProblemError, problem_response

OPEN_PATHS = frozenset({"/v1/health"})
MAX_BODY_BYTES = 65536
MAX_SETUP_BYTES = 1 << 20
SETUP_PATH = "/v1/setup/import"
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})


def _without_sniffing(send: Send) -> Send:
    """Tells browsers to respect the media type, so that a name never becomes markup."""

    async def send_marked(message: Message) -> None:
        if message["type"] == "http.response.start":
            MutableHeaders(scope=message)["X-Content-Type-Options"] = "nosniff"
        await send(message)

    return send_marked


def _max_bytes(scope: Scope) -> int:
    return MAX_SETUP_BYTES if scope.get("path") == SETUP_PATH else MAX_BODY_BYTES


def _too_large(max_bytes: int) -> ProblemError:
    return ProblemError("too-large", f"a body has at most {max_bytes} bytes here; send less")


def _limited(receive: Receive, max_bytes: int) -> Receive:
    """Ends a body that grows beyond the limit without having declared its length."""
    taken = 0

    async def receive_limited() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > max_bytes:
            # the framework's own error, since it turns any other error while reading a body into a 400
            raise HTTPException(413, f"a body has at most {max_bytes} bytes here; send less")
        return message

    return receive_limited


class Guard:
    """Passes a request on if it names a known host, has the token, if one is set, and comes from no foreign
    page.

    `host` is the listening address, `hosts` are further names of the daemon.
    """

    def __init__(self, app: ASGIApp, token: str | None, host: str, hosts: Iterable[str]) -> None:
        self._app = app
        self._hosts = KnownHosts(host, hosts)
        self._token = None if token is None else token.encode()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Handle one connection."""
        if scope["type"] == "http" and (refusal := self._refusal(scope)) is not None:
            await problem_response(refusal, scope["path"])(scope, receive, send)
        else:
            await self._app(scope, _limited(receive, _max_bytes(scope)), _without_sniffing(send))

    def _refusal(self, scope: Scope) -> ProblemError | None:
        headers = Headers(scope=scope)
        if (unknown := self._hosts.refusal(headers.get("host"))) is not None:
            return unknown
        origin = headers.get("origin")
        if scope["method"] not in SAFE_METHODS and origin is not None:
            host = headers["host"]
            if urlsplit(origin).netloc.lower() != host.lower():
                return ProblemError(
                    "foreign-origin",
                    f"a page of {origin} may not change anything at {host}; use a page of the daemon itself",
                )
        length = headers.get("content-length", "0")
        if length.isdecimal() and int(length) > (max_bytes := _max_bytes(scope)):
            return _too_large(max_bytes)
        if self._token is None or scope["path"] in OPEN_PATHS:
            return None
        scheme, _, given = headers.get("authorization", "").partition(" ")
        if scheme.lower() == "bearer" and compare_digest(given.strip().encode(), self._token):
            return None
        asked = 'Bearer realm="tarewell"'
        if not given:
            return ProblemError(
                "token-required",
                "no token was sent; add the header `Authorization: Bearer TOKEN` with the daemon's token",
                headers={"WWW-Authenticate": asked},
            )
        return ProblemError(
            "token-required",
            "the token is wrong; compare it with the setting `token`",
            headers={"WWW-Authenticate": asked + ', error="invalid_token"'},
        )
