"""What the routes of pours, rounds and orders share: idempotent starts, paged lists, commands."""

from collections.abc import Mapping
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import Header, Path, Response
from pydantic import BaseModel, StringConstraints

from tarewell.setup_file.forms import VISIBLE

from .problems import responses

Described = dict[int | str, dict[str, Any]]
"""Responses of a route for OpenAPI."""

RecordId = Annotated[
    str,
    Path(max_length=64, description="given at its start", examples=["01959c44-7f7a-7000-8a52-0d7c4a1e93b1"]),
]

IdempotencyKey = Annotated[
    Annotated[str, StringConstraints(min_length=1, max_length=255, pattern=VISIBLE)] | None,
    Header(
        alias="Idempotency-Key",
        description="1 to 255 visible ASCII characters; the same key never begins anything twice",
    ),
]


def _header(description: str) -> dict[str, Any]:
    return {"description": description, "schema": {"type": "string"}}


OCCUPIED = ("machine-busy", "machine-not-ready")
"""Problems of what wants the machine."""


def begun(what: str, view: type[BaseModel], begins: str, *problems: str) -> Described:
    """The responses of a route that begins something once for each key; `begins` says what 201 means,
    `problems` are its own."""
    location = {"Location": _header(f"link to the {what}")}
    replayed = {"Idempotency-Replayed": _header("true: the key was used before, nothing was started")}
    again = f"The key was used before for the same request; this is that {what}"
    return {
        201: {"description": begins, "headers": location},
        200: {"model": view, "description": again, "headers": location | replayed},
        **responses(
            "malformed-json",
            *problems,
            "invalid-request",
            f"{what}-not-possible",
            "idempotency-conflict",
        ),
    }


def set_start_headers(response: Response, link: str, replayed: bool) -> None:
    """Set Location, and mark the answer to a repeated request."""
    response.headers["Location"] = link
    if replayed:
        response.status_code = 200
        response.headers["Idempotency-Replayed"] = "true"


def listed(link: str) -> Described:
    """The responses of a list; `link` describes its Link header."""
    return {200: {"headers": {"Link": _header(f"RFC 8288: {link}")}}, **responses("invalid-request")}


def set_page_links(
    response: Response, path: str, asked: Mapping[str, Any], older: str | None, newer: str | None = None
) -> None:
    """Link to the adjacent pages, `asked` kept: `next` to older records, `prev` to newer ones."""
    links = [
        f'<{path}?{urlencode({**asked, cursor: record_id})}>; rel="{relation}"'
        for relation, cursor, record_id in (("next", "before", older), ("prev", "after", newer))
        if record_id is not None
    ]
    if links:
        response.headers["Link"] = ", ".join(links)


def command_route(what: str, *more: str) -> dict[str, Any]:
    """The OpenAPI entries of a route that gives a command; `more` are its own problems."""
    return {
        "status_code": 202,
        "response_description": f"The command was accepted; the answer shows the {what} just afterwards",
        "responses": responses("not-found", "command-not-possible", "machine-not-ready", *more),
    }
