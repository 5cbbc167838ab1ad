"""Conditional requests, RFC 9110 section 13: nobody overwrites a state that they have not seen."""

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

ETAG_HEADER = {"ETag": {"description": "entity tag of the response", "schema": {"type": "string"}}}
TAGGED: dict[int | str, dict[str, Any]] = {
    200: {"headers": ETAG_HEADER},
    304: {"description": "Not modified: the tag matches `If-None-Match`", "headers": ETAG_HEADER},
}
"""The responses of a route that returns an item with its tag."""


class Preconditions:
    """The preconditions of a request."""

    def __init__(
        self,
        if_match: Annotated[
            str | None,
            Header(description="only if it still has one of these tags; `*`: only if it exists"),
        ] = None,
        if_none_match: Annotated[
            str | None, Header(description="`*` with a change: only if it does not exist yet")
        ] = None,
    ) -> None:
        self._if_match = if_match
        self._if_none_match = if_none_match

    def expected(self, seen: T | None, view: Callable[[T], Tagged]) -> T | Unchecked | None:
        """The state that a change may replace: `seen` where the request has preconditions and they hold.

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
        """The response 304 to a read of a state that the client already has, else None.

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
    """Whether a header names the state with this tag (None: the item does not exist)."""
    if header.strip() == "*":
        return tag is not None
    tags = _TAG.findall(header)
    return tag in [named.removeprefix("W/") if weak else named for named in tags]


def _changed(header: str, sent: str, tag: str | None) -> ProblemError:
    now = "it does not exist" if tag is None else f"its tag is {tag}"
    return ProblemError(
        "changed-meanwhile",
        f"{header} says {sent[:80]}, and {now}; read it again, check it, then send the change again",
    )
