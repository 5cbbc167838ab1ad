"""The encoding between machine and front: one JSON object a line over a stream socket."""

import json
from typing import Any, get_args

from tarewell.machine import requests
from tarewell.machine.requests import MachineRequest
from tarewell.typed_json import dump, load

MAX_LINE_BYTES = 1 << 20
"""The largest round has about 100 kB; a peer that sends more is disconnected."""

REQUESTS: dict[str, type[MachineRequest[Any]]] = {
    kind.__name__: kind for kind in MachineRequest.__subclasses__() if kind.__module__ == requests.__name__
}


class WireError(Exception):
    """A message that this program does not send: the two processes are of different builds."""


def dump_request(request: MachineRequest[Any]) -> dict[str, Any]:
    """A request as JSON, with its name."""
    return {"ask": type(request).__name__, "with": dump(request)}


def load_request(data: dict[str, Any]) -> MachineRequest[Any]:
    """The request from its JSON.

    Raises:
        WireError: an unknown name, or other fields.
    """
    try:
        request: MachineRequest[Any] = load(REQUESTS[data["ask"]], data["with"])
    except (KeyError, TypeError, ValueError) as error:
        raise WireError(f"a request cannot be read: {error!r}") from error
    return request


def load_answer(request: MachineRequest[Any], data: Any) -> Any:
    """The answer to a request, by the type that the request names."""
    (base,) = type(request).__orig_bases__  # type: ignore[attr-defined]
    return load(get_args(base)[0], data)


def line_of(message: dict[str, Any]) -> bytes:
    """A message as bytes for the socket."""
    return json.dumps(message, separators=(",", ":")).encode() + b"\n"


def messages_in(data: bytes) -> tuple[list[dict[str, Any]], bytes]:
    """The complete messages, and the beginning of the next one.

    Raises:
        WireError: a line that is too long, or not a JSON object.
    """
    *lines, rest = data.split(b"\n")
    if len(rest) > MAX_LINE_BYTES:
        raise WireError(f"a line has more than {MAX_LINE_BYTES} bytes")
    messages = []
    for line in lines:
        try:
            message = json.loads(line)
        except ValueError as error:
            raise WireError(f"a line is not JSON: {error}") from error
        if not isinstance(message, dict):
            raise WireError("a line is not a JSON object")
        messages.append(message)
    return messages, rest
