"""Conditional requests, RFC 9110 section 13: nobody overwrites what they have not seen."""

import re
from collections.abc import Callable
from typing import Annotated, Any, TypeVar

from fastapi import Depends, Header, Response

from tarewell.records.catalogue import ANY, Unchecked
from tarewell.setup_file.setup import Part

from .problems import ProblemError
from .schemas import Tagged

T = TypeVar("T", bound=Part)

_TAG = re.compile(r'(?:W/)?"[\x21\x23-\x7e]*"', re.ASCII)

ETAG_HEADER = {"ETag": {"description": "entity tag of what is shown", "schema": {"type": "string"}}}
TAGGED: dict[int | str, dict[str, Any]] = {
    200: {"headers": ETAG_HEADER},
    304: {"description": "It is as `If-None-Match` says", "headers": ETAG_HEADER},
}
"""The answers of a route that shows a thing with its tag."""


class Preconditions:
    """What the request says about the state that it was written for."""

    def __init__(
        self,
        if_match: Annotated[
            str | None,
            Header(description="only if it still has one of these tags; `*`: only if it is there"),
        ] = None,
        if_none_match: Annotated[
            str | None, Header(description="`*` with a change: only if it is not there yet")
        ] = None,
    ) -> None:
        self._if_match = if_match
        self._if_none_match = if_none_match

    def expected(self, seen: T | None, view: Callable[[T], Tagged]) -> T | Unchecked | None:
        """What a change may replace: `seen` where the request has preconditions and they hold.

        Raises:
            ProblemError: they do not.
        """
        if self._if_match is None and self._if_none_match is None:
            return ANY
        tag = None if seen is None else view(seen).etag
        if self._if_match is not None and not _names(self._if_match, tag, weak=False):
            raise _changed("If-Match", self._if_match, tag)
        if self._if_none_match is not None and _names(self._if_none_match, tag, weak=True):
            raise _changed("If-None-Match", self._if_none_match, tag)
        return seen

    def unchanged(self, view: Tagged) -> Response | None:
        """The answer 304 to a reading of what the client has already, None otherwise.

        Raises:
            ProblemError: If-Match names another state.
        """
        if self._if_match is not None and not _names(self._if_match, view.etag, weak=False):
            raise _changed("If-Match", self._if_match, view.etag)
        if self._if_none_match is not None and _names(self._if_none_match, view.etag, weak=True):
            return Response(status_code=304, headers={"ETag": view.etag})
        return None


Conditions = Annotated[Preconditions, Depends()]


def _names(header: str, tag: str | None, weak: bool) -> bool:
    """Whether a header names the state with this tag (None: the thing is not there)."""
    if header.strip() == "*":
        return tag is not None
    tags = _TAG.findall(header)
    return tag in [named.removeprefix("W/") if weak else named for named in tags]


def _changed(header: str, sent: str, tag: str | None) -> ProblemError:
    now = "it is not there" if tag is None else f"its tag is {tag}"
    return ProblemError(
        "changed-meanwhile",
        f"{header} says {sent[:80]}, and {now}; read it again, look at it, then send the change anew",
    )
