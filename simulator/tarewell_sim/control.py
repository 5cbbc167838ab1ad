"""The back door over a loopback socket: request and answer are one JSON object a line.

{"do": "place_glass", "with": {"mass_g": 240}}      ->  {"ok": true}
{"do": "truth"}                                     ->  {"ok": true, "truth": {...}}
{"do": "plase_glass"}                               ->  {"ok": false, "error": "..."}
"""

import asyncio
import json
import socket
from ipaddress import ip_address
from typing import Any

from .bench import BenchError
from .machine import SimulatedMachine
from .ports import SimulatedPortError, listen_failed


def parse_address(text: str) -> tuple[str, int]:
    """HOST:PORT as host and port.

    Raises:
        SimulatedPortError: another form.
    """
    host, colon, port = text.rpartition(":")
    if not colon or not host or not port.isdecimal() or int(port) > 65535:
        raise SimulatedPortError(
            f"expected HOST:PORT, such as 127.0.0.1:0, got '{text}'; port 0 picks any free one"
        )
    return host, int(port)


def parse_loopback(text: str) -> tuple[str, int]:
    """HOST:PORT on this computer's loopback, since the back door can do anything.

    Raises:
        SimulatedPortError: another form or another host.
    """
    host, port = parse_address(text)
    try:
        loopback = host == "localhost" or ip_address(host).is_loopback
    except ValueError:
        loopback = False
    if not loopback:
        raise SimulatedPortError(f"the back door is open to this computer only, got '{host}'; use 127.0.0.1")
    return host, port


async def serve(machine: SimulatedMachine, host: str, port: int) -> tuple[asyncio.Server, str]:
    """Start the back door; returns the server and its address.

    Raises:
        SimulatedPortError: the address is not available.
    """

    async def serve_client(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        try:
            while line := await reader.readline():
                writer.write(json.dumps(answer(machine, line)).encode() + b"\n")
                await writer.drain()
        except (ConnectionError, ValueError):  # ValueError: a line beyond the reader's limit
            pass
        except asyncio.CancelledError:
            pass  # the simulator ends, and asyncio would print a traceback for an idle connection
        finally:
            writer.close()

    try:
        server = await asyncio.start_server(serve_client, host, port)
    except OSError as error:
        raise listen_failed(host, port, error) from error
    bound = server.sockets[0].getsockname()
    return server, f"{bound[0]}:{bound[1]}"


def answer(machine: SimulatedMachine, line: bytes) -> dict[str, Any]:
    """Carry out one line."""
    try:
        asked = json.loads(line)
        if not isinstance(asked, dict) or not isinstance(asked.get("do"), str):
            raise BenchError('expected {"do": COMMAND, "with": {...}}')
        if asked["do"] == "truth":
            return {"ok": True, "truth": machine.truth.as_dict()}
        machine.bench.call(asked["do"], dict(asked.get("with") or {}))
    except (ValueError, TypeError) as error:
        return {"ok": False, "error": str(error)}
    return {"ok": True}


class ControlClient:
    """Blocking client of the back door, for tests and demonstrations."""

    def __init__(self, address: str, timeout_s: float = 5.0) -> None:
        """Connect to HOST:PORT.

        Raises:
            OSError: nobody listens there.
        """
        self._socket = socket.create_connection(parse_address(address), timeout_s)
        self._file = self._socket.makefile("rwb")

    def __enter__(self) -> "ControlClient":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Close the connection."""
        self._file.close()
        self._socket.close()

    def call(self, name: str, **args: Any) -> None:
        """Carry out a command of `Bench`.

        Raises:
            BenchError: the command was refused.
            ConnectionError: the simulator is gone.
        """
        self._ask({"do": name, "with": args})

    def truth(self) -> dict[str, Any]:
        """The present physical state, under the names of `Truth`."""
        truth: dict[str, Any] = self._ask({"do": "truth"})["truth"]
        return truth

    def _ask(self, request: dict[str, Any]) -> dict[str, Any]:
        self._file.write(json.dumps(request).encode() + b"\n")
        self._file.flush()
        line = self._file.readline()
        if not line:
            raise ConnectionError("the simulator hung up; is it still running?")
        reply: dict[str, Any] = json.loads(line, object_hook=_channel_keys)
        if not reply["ok"]:
            raise BenchError(reply["error"])
        return reply


def _channel_keys(data: dict[str, Any]) -> dict[Any, Any]:
    """JSON has text keys only; channels are numbers."""
    return {int(key) if key.isdecimal() else key: value for key, value in data.items()}
