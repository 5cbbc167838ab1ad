"""Changes of the records over a socket of their own: requested in the front, carried out by the writer.

Request and answer are one JSON object a line, with the name of the change and its arguments. A list as the
last argument follows in lines of its own, one an entry, so that no line is large. A thread serves the far
end, so that the machine's event loop reads, decodes and waits for none of it.
"""

import asyncio
import json
import logging
import socket
import threading
from collections.abc import Callable
from inspect import signature
from io import BufferedRWPair
from typing import Any, Concatenate, ParamSpec, TypeVar, get_type_hints

from tarewell.machine.requests import NotAnsweredError
from tarewell.records.changes import BY_NAME
from tarewell.records.transaction import Transaction
from tarewell.records.writer import Writer
from tarewell.typed_json import dump, load

from .refusals import dump_refusal, load_refusal
from .wire import WireError, line_of

log = logging.getLogger(__name__)

P = ParamSpec("P")
T = TypeVar("T")

WITHIN_S = 30.0


class RemoteWrites:
    """Writes through another process, one change after the other. `lost` is called when the connection
    ends."""

    def __init__(self, connection: socket.socket, lost: Callable[[], None]) -> None:
        self._lost = lost
        connection.settimeout(WITHIN_S)
        self._file: BufferedRWPair = connection.makefile("rwb")
        self._turn = asyncio.Lock()

    async def write(
        self, work: Callable[Concatenate[Transaction, P], T], /, *args: P.args, **kwargs: P.kwargs
    ) -> T:
        """See `records.writer.Writes.write`."""
        given = signature(work).bind(None, *args, **kwargs)
        given.apply_defaults()
        # A caller that goes away must not let the next one in before its own exchange is over.
        answer = await asyncio.shield(
            asyncio.create_task(self._in_turn(work.__name__, list(given.args[1:])), name="change")
        )
        if answer is None:
            self._lost()
            raise NotAnsweredError(
                "the machine process does not answer; check whether it was done, then try again"
            )
        if "refused" in answer:
            raise load_refusal(answer["refused"])
        result: T = load(get_type_hints(work)["return"], answer["result"])
        return result

    async def _in_turn(self, name: str, arguments: list[Any]) -> dict[str, Any] | None:
        async with self._turn:
            return await asyncio.to_thread(self._exchange, name, arguments)

    def _exchange(self, name: str, arguments: list[Any]) -> dict[str, Any] | None:
        entries = arguments.pop() if arguments and isinstance(arguments[-1], list | tuple) else None
        head = {"change": name, "with": dump(arguments), "entries": None if entries is None else len(entries)}
        try:
            self._file.write(line_of(head))
            for entry in entries or ():
                self._file.write(line_of({"entry": dump(entry)}))
            self._file.flush()
            line = self._file.readline()
        except OSError as error:
            log.error("the machine process does not accept changes: %s", error)
            return None
        if not line.endswith(b"\n"):
            return None  # it ended, perhaps in the middle of its answer
        answer: dict[str, Any] = json.loads(line)
        return answer


def serve_changes(connection: socket.socket, writer: Writer) -> threading.Thread:
    """Carry out the changes from a connection, until it ends, in a thread of their own."""
    thread = threading.Thread(target=_serve, args=(connection, writer), name="changes", daemon=True)
    thread.start()
    return thread


def _serve(connection: socket.socket, writer: Writer) -> None:
    with connection, connection.makefile("rwb") as file:
        try:
            while line := file.readline():
                file.write(line_of(_answer(json.loads(line), file, writer)))
                file.flush()
        except (OSError, ValueError, KeyError, TypeError) as error:
            log.error("the connection for changes ended: %r", error)


def _answer(head: dict[str, Any], file: BufferedRWPair, writer: Writer) -> dict[str, Any]:
    rest = [json.loads(file.readline())["entry"] for _ in range(head["entries"] or 0)]
    try:
        work = BY_NAME.get(head["change"])
        if work is None:
            raise WireError(f"there is no change {head['change']!r}")
        given = [*head["with"], *([] if head["entries"] is None else [rest])]
        return {"result": dump(writer.submit(work, *_arguments(work, given)).result())}
    except Exception as error:
        return {"refused": dump_refusal(error)}


def _arguments(work: Callable[..., Any], given: list[Any]) -> list[Any]:
    hints = get_type_hints(work)
    names = list(signature(work).parameters)[1:]
    return [load(hints[name], value) for name, value in zip(names, given, strict=True)]
