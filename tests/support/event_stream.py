"""Reads server-sent events from an ASGI app as they arrive; httpx's transport waits for the end."""

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import Any

from starlette.types import ASGIApp, Message

WAIT_S = 5.0


class EventReader:
    """The open stream: `status`, and `next` for each block between blank lines."""

    def __init__(self) -> None:
        self._messages: asyncio.Queue[Message] = asyncio.Queue()
        self._gone = asyncio.Event()
        self._asked = False
        self._text = ""
        self.ended = False
        self.status = 0
        self.over = False

    async def receive(self) -> Message:
        if not self._asked:
            self._asked = True
            return {"type": "http.request", "body": b"", "more_body": False}
        await self._gone.wait()
        return {"type": "http.disconnect"}

    async def send(self, message: Message) -> None:
        self._messages.put_nowait(message)

    def disconnect(self) -> None:
        self._gone.set()

    async def start(self) -> None:
        message = await asyncio.wait_for(self._messages.get(), WAIT_S)
        self.status = message["status"]

    async def next(self) -> dict[str, str]:
        """The fields of the next block; comments are under "comment". Empty at the end of the stream."""
        while "\n\n" not in self._text:
            message = await asyncio.wait_for(self._messages.get(), WAIT_S)
            self._text += message.get("body", b"").decode()
            if not message.get("more_body", False):
                self.ended = True
                break
        block, _, self._text = self._text.partition("\n\n")
        return dict(_field(line) for line in block.splitlines())


def _field(line: str) -> tuple[str, str]:
    name, _, value = line.partition(": ")
    return name if name.strip(":") else "comment", value


@asynccontextmanager
async def event_stream(app: ASGIApp, headers: dict[str, str] | None = None) -> AsyncIterator[EventReader]:
    """GET /v1/events; the client disconnects at the end of the block."""
    reader = EventReader()
    sent = [(name.lower().encode(), value.encode()) for name, value in (headers or {}).items()]
    scope: dict[str, Any] = {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": "GET",
        "scheme": "http",
        "path": "/v1/events",
        "raw_path": b"/v1/events",
        "query_string": b"",
        "root_path": "",
        "headers": [(b"host", b"bar.test"), *sent],
        "client": ("127.0.0.1", 50000),
        "server": ("bar.test", 80),
        "state": {},
    }
    answering: Any = app(scope, reader.receive, reader.send)
    task: asyncio.Task[None] = asyncio.create_task(answering)
    try:
        await reader.start()
        yield reader
    finally:
        reader.disconnect()
        await asyncio.wait_for(task, WAIT_S)
        reader.over = task.done()
