"""Signing in and out, and the link of the evening, by which guests come in."""

import asyncio
import logging
from math import ceil
from typing import Annotated

from fastapi import APIRouter, Path, Request, Response
from fastapi.responses import RedirectResponse

from tarewell.api.access import Role
from tarewell.api.context import Machine, Services
from tarewell.api.page import notice
from tarewell.api.problems import ProblemError, responses
from tarewell.api.schemas.sessions import SessionView, SignInBody
from tarewell.api.visitors import COOKIE, LASTS, Session, Visitor

log = logging.getLogger(__name__)

router = APIRouter(prefix="/v1/session", tags=["access"])
links = APIRouter(include_in_schema=False)

_LINK_OVER = "This link is not valid, or no longer. Ask at the bar for the one of this evening."


@router.get("", summary="Who you are, and what you may do")
async def read_session(machine: Machine, request: Request) -> SessionView:
    """Anybody may ask."""
    return _view(machine, await machine.visitors.of(request))


@router.post(
    "",
    summary="Sign in with the daemon's token",
    responses=responses(
        "malformed-json", "token-required", "command-not-possible", "invalid-request", "too-many-tries"
    ),
)
async def sign_in(body: SignInBody, machine: Machine, request: Request, response: Response) -> SessionView:
    """Sets a cookie that scripts cannot read. It never holds the token, and ends after seven days or when the
    token is changed."""
    if not machine.visitors.token_required:
        raise ProblemError("command-not-possible", "this daemon has no token; nobody needs to sign in")
    address = "" if request.client is None else request.client.host
    now_s = asyncio.get_running_loop().time()
    if wait_s := ceil(machine.tries.wait_s(address, now_s)):
        raise ProblemError(
            "too-many-tries",
            f"too many wrong tokens came from this address; wait {wait_s} s",
            headers={"Retry-After": str(wait_s)},
        )
    if not machine.visitors.is_token(body.token):
        machine.tries.wrong(address, now_s)
        log.warning("a wrong token from %s", address)
        raise ProblemError("token-required", "that is not the token of this bar; it is the setting `token`")
    machine.tries.right(address)
    session = machine.visitors.operator()
    _set_cookie(machine, request, response, session)
    return _view(machine, Visitor(session.role, session))


@router.delete("", summary="Sign out", status_code=204, responses=responses("foreign-origin"))
async def sign_out(machine: Machine, request: Request, response: Response) -> None:
    """Takes the cookie back, from guests, too, and ends the session's event streams. Without one nothing
    happens."""
    session = (await machine.visitors.of(request)).session
    if session is not None:
        machine.client.feed.end_session(session.id)
    response.delete_cookie(COOKIE, httponly=True, samesite="strict")


@links.get("/e/{key}")
async def open_link(
    key: Annotated[str, Path(max_length=200)], machine: Machine, request: Request
) -> Response:
    """The link of the evening: a guest's session, and on to the menu. An operator who is signed in stays one,
    and a guest who opens the same link again stays the same guest."""
    session = await machine.visitors.guest(key)
    if session is None:
        return notice(_LINK_OVER, 404)
    response = RedirectResponse("/menu", 303, headers={"Cache-Control": "no-store"})
    before = (await machine.visitors.of(request)).session
    if before is None or (before.role is Role.GUEST and before.guest_key != key):
        _set_cookie(machine, request, response, session)
    return response


def _view(machine: Services, visitor: Visitor) -> SessionView:
    return SessionView.of(visitor, machine.bar.name, machine.visitors.token_required)


def _set_cookie(machine: Services, request: Request, response: Response, session: Session) -> None:
    response.set_cookie(
        COOKIE,
        machine.visitors.cookie(session),
        max_age=int(LASTS[session.role].total_seconds()),
        secure=request.url.scheme == "https",
        httponly=True,
        samesite="strict",
    )
