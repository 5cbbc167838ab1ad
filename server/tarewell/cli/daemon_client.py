"""Talks to a running daemon over its API."""

import json
import time
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any, Self

import httpx
import typer

from .failures import CliError, ExitCode

Json = dict[str, Any]

RETRY_PAUSES_S = (0.2, 0.5, 1.0, 2.0, 4.0)
"""Pauses between retries of a request that is safe to repeat."""

STREAM_SILENCE_S = 25.0
"""The daemon sends at least a comment every 15 s."""

BUSY = httpx.Timeout(10.0, read=30.0)
"""A computer that is busy may take so long to answer."""

Url = Annotated[str, typer.Option(envvar="TAREWELL_URL", help="URL of the daemon.")]
Token = Annotated[
    str | None, typer.Option(envvar="TAREWELL_TOKEN", help="The daemon's token, if it has one.")
]
DEFAULT_URL = "http://127.0.0.1:8788"


@dataclass(frozen=True, slots=True)
class StreamEvent:
    """A server-sent event."""

    kind: str
    body: Json
    id: str | None


class RefusedError(CliError):
    """The daemon answered with an error; `problem` is its problem (RFC 9457), where it is one, and `kind`
    the name of its type."""

    def __init__(self, reply: httpx.Response) -> None:
        super().__init__(_problem(reply), ExitCode.REFUSED)
        try:
            self.problem: Json = reply.json()
        except ValueError:
            self.problem = {}
        self.kind = str(self.problem.get("type", "")).removeprefix("/problems/")


class DaemonClient:
    """A session with one daemon; a context manager."""

    def __init__(self, url: str, token: str | None = None) -> None:
        headers = {"Tarewell-Origin": "command_line"}
        if token is not None:
            headers["Authorization"] = f"Bearer {token}"
        try:
            self._http = httpx.Client(base_url=url, headers=headers, timeout=BUSY)
        except (httpx.InvalidURL, ValueError, TypeError) as error:
            raise CliError(f"{url!r} is not a URL ({error}); give one such as {DEFAULT_URL}") from error
        self.url = url

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._http.close()

    def get(self, path: str, params: dict[str, Any] | None = None) -> Any:
        """The JSON at a path."""
        return self.ask("GET", path, params=params).json()

    def ask(self, method: str, path: str, *, repeat: bool = False, **request: Any) -> httpx.Response:
        """Send a request; one that is safe to `repeat` is retried while there is no answer.

        Raises:
            CliError: no answer; as RefusedError, the daemon answers with a problem.
        """
        pauses = RETRY_PAUSES_S if repeat or method == "GET" else ()
        for pause_s in (*pauses, None):
            try:
                reply = self._http.request(method, path, **request)
                break
            except httpx.ConnectError as error:
                if pause_s is None or not repeat:
                    raise self._no_answer(error) from error
                time.sleep(pause_s)
            except (httpx.TransportError, httpx.UnsupportedProtocol) as error:
                if pause_s is None:
                    raise self._no_answer(error) from error
                time.sleep(pause_s)
        if reply.is_error:
            raise RefusedError(reply)
        return reply

    def _no_answer(self, error: Exception) -> CliError:
        return CliError(
            f"no answer from the daemon at {self.url} ({error}); start it with `tarewell serve`, "
            "or give its address with --url",
            ExitCode.NO_DAEMON,
        )

    def events(self, last_id: str | None = None) -> Iterator[StreamEvent]:
        """The event stream, from after `last_id` or from now on; the first event is our own "open".

        Raises:
            httpx.TransportError: the stream broke.
        """
        headers = {} if last_id is None else {"Last-Event-ID": last_id}
        timeout = httpx.Timeout(10.0, read=STREAM_SILENCE_S)
        with self._http.stream("GET", "/v1/events", headers=headers, timeout=timeout) as reply:
            if reply.is_error:
                reply.read()
                raise RefusedError(reply)
            yield StreamEvent("open", {}, None)
            fields: dict[str, str] = {}
            for line in reply.iter_lines():
                name, _, value = line.partition(":")
                if name:
                    fields[name] = value.removeprefix(" ")
                elif not line:
                    if "data" in fields:
                        yield StreamEvent(
                            fields.get("event", "message"), json.loads(fields["data"]), fields.get("id")
                        )
                    fields = {}


def _problem(reply: httpx.Response) -> str:
    """The problem's detail and blockers in one line."""
    try:
        problem = reply.json()
        detail = str(problem["detail"])
    except (ValueError, KeyError, TypeError):
        return f"HTTP {reply.status_code} from {reply.request.url}; is that a Tarewell daemon?"
    blockers = problem.get("blockers", [])
    return "; ".join([detail, *(reason for reason in blockers if _cause(reason) not in detail)])


def _cause(reason: str) -> str:
    """What a blocker says after its first words: a refusal may say the same after others."""
    return reason.partition(": ")[2] or reason
