"""Guards every request: known host, a visitor who may ask for it, no foreign page, bounded body.

This is plain ASGI middleware around everything, so that an event stream passes through unbuffered and a
request without a token is refused before its body is read.
"""

from collections.abc import Collection, Iterable
from urllib.parse import quote, urlsplit

from starlette.exceptions import HTTPException
from starlette.requests import HTTPConnection
from starlette.responses import RedirectResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from tarewell.records.errors import StoreError

from .access import Role, stated_role
from .headers import marked
from .hosts import KnownHosts
from .problems import ProblemError, problem_response
from .visitors import COOKIE, Visitor, Visitors, bearer

MAX_BODY_BYTES = 65536
MAX_SETUP_BYTES = 1 << 20
SETUP_PATH = "/v1/setup/import"
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})


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
    """Passes a request on if it names a known host, comes from no foreign page, and its visitor may ask.

    `host` is the listening address, `hosts` are further names of the daemon, `origins` are foreign pages that
    are none. Who asks stands in the connection's state, as `visitor`, unless anybody may ask.
    """

    def __init__(
        self, app: ASGIApp, visitors: Visitors, host: str, hosts: Iterable[str], origins: Collection[str] = ()
    ) -> None:
        self._app = app
        self._visitors = visitors
        self._hosts = KnownHosts(host, hosts)
        self._origins = origins

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Handle one connection."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        send = marked(send, scope["path"])
        connection = HTTPConnection(scope)
        try:
            self._check(connection)
            await self._admit(connection)
        except ProblemError as refusal:
            if refusal.status == 401 and _shown_in_a_browser(connection):
                answer = RedirectResponse(f"/sign-in?to={quote(_address(connection), safe='/')}", 303)
                await answer(scope, receive, send)
            else:
                await problem_response(refusal, scope["path"])(scope, receive, send)
        else:
            await self._app(scope, _limited(receive, _max_bytes(scope)), send)

    def _check(self, connection: HTTPConnection) -> None:
        """What needs to hold whoever asks."""
        headers = connection.headers
        if (unknown := self._hosts.refusal(headers.get("host"))) is not None:
            raise unknown
        origin = headers.get("origin")
        foreign = (
            headers.get("sec-fetch-site") in ("cross-site", "same-site")
            if origin is None
            else (origin not in self._origins and not _is_own(origin, connection))
        )
        if foreign and connection.scope["method"] not in SAFE_METHODS:
            raise _foreign(
                f"a page of {origin or 'another site'} may not change anything at {headers['host']}; use a "
                "page of the daemon itself, or add the origin to the setting `allowed_origins`"
            )
        length = headers.get("content-length", "0")
        if length.isdecimal() and int(length) > (max_bytes := _max_bytes(connection.scope)):
            raise _too_large(max_bytes)

    async def _admit(self, connection: HTTPConnection) -> None:
        """Whether this visitor may ask for this."""
        method = connection.scope["method"]
        least = stated_role(method, connection.scope["path"])
        if least is Role.NOBODY:
            return
        try:
            visitor = await self._visitors.of(connection)
        except StoreError as error:
            raise ProblemError("records-unavailable", str(error)) from error
        if visitor.role < (Role.OPERATOR if least is None else least):
            raise _denial(connection, visitor)
        if visitor.session is not None and method not in SAFE_METHODS and not _from_own_page(connection):
            raise _foreign(
                "a change by a session has to come from a page of the daemon, whose browser says so in "
                "`Origin` or `Sec-Fetch-Site`; from elsewhere send `Authorization: Bearer TOKEN`"
            )
        connection.state.visitor = visitor


def _is_own(origin: str, connection: HTTPConnection) -> bool:
    return urlsplit(origin).netloc.lower() == connection.headers["host"].lower()


def _from_own_page(connection: HTTPConnection) -> bool:
    """Whether the browser says that a page of the daemon sends this. One may be too old for `Sec-Fetch-Site`,
    which comes over https or from this computer only; `Origin` comes with every change."""
    origin = connection.headers.get("origin")
    if origin is None:
        return connection.headers.get("sec-fetch-site") == "same-origin"
    return _is_own(origin, connection)


def _shown_in_a_browser(connection: HTTPConnection) -> bool:
    """Whether a person opens this address, rather than a program."""
    return connection.scope["method"] == "GET" and "text/html" in connection.headers.get("accept", "")


def _address(connection: HTTPConnection) -> str:
    """Path and query, which begin with a single slash: two would lead to another host."""
    query = connection.scope["query_string"].decode("latin-1")
    path = "/" + quote(connection.scope["path"].lstrip("/"))
    return f"{path}?{query}" if query else path


def _foreign(detail: str) -> ProblemError:
    return ProblemError("foreign-origin", detail)


def _denial(connection: HTTPConnection, visitor: Visitor) -> ProblemError:
    """Why a visitor may not ask for this, with the cure."""
    if visitor.role is Role.GUEST:
        return ProblemError(
            "operators-only",
            "guests see the menu and order; to run the machine, sign in with the daemon's token at /sign-in",
        )
    asked = 'Bearer realm="tarewell"'
    if bearer(connection) or (COOKIE not in connection.cookies and "authorization" in connection.headers):
        detail, asked = (
            "the token is wrong; compare it with the setting `token`",
            asked + ', error="invalid_token"',
        )
    elif COOKIE in connection.cookies:
        detail = "the session is over, or the token was changed; sign in again at /sign-in"
    else:
        detail = (
            "no token was sent; add the header `Authorization: Bearer TOKEN` with the daemon's token, or "
            "sign in at /sign-in"
        )
    return ProblemError("token-required", detail, headers={"WWW-Authenticate": asked})
