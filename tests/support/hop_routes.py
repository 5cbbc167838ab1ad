"""Four routes through the running program, hop by hop.

Both processes run in this one, in simulated time: the machine on a simulated board, the front with its real
server, and a real socket between them. Stepped time stands in for the serial port.
"""

import asyncio
import json
import re
import socket
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from hop_tracer import Call, HopTracer, Watcher
from stepped_bar import Bar, bar, settings
from stepped_loop import run_stepped
from tarewell.api.app import create_app
from tarewell.api.importing import ChildImporter
from tarewell.dosing.states import PourState
from tarewell.exchange.client import SocketClient
from tarewell.front.server import Server
from tarewell.menu.values import Bottle, Glass, Recipe, RecipeDose
from tarewell.operation.clients import FrontConnection
from tarewell.quantities.units import parse_amount
from tarewell.records.store import Store

KEY = "row-f-seat-12"
RECIPE = Recipe(
    "overture", "Overture", (RecipeDose("house-water", "60 ml", parse_amount("60 ml")),), "tumbler"
)
TUMBLER = Glass("tumbler", "Tumbler", 250.0, 20.0, 230.0, 270.0)
PORT = "SteppedPort.write"


def _tracers() -> dict[str, HopTracer]:
    """For each route what it carries, in the forms that it takes, and where it begins and ends."""
    return {
        "sample": HopTracer(
            re.compile(
                r"b'#|\['#|Sample\(|SampleArrived\(|\.Reading object"
                r"|^Alarm\(|Raised\(|StopPumps\(|Stop\(|b'>.. stop"
            ),
            start="Link.data_received",
            end=PORT,
            apart=re.compile(r"ActiveAlarm\("),
            newest=True,
        ),
        "request": HopTracer(re.compile(rf"{KEY}|PourBody\("), start="Guard.__call__", end="begin_pour"),
        "recipe": HopTracer(
            re.compile(rf"{RECIPE.name}|PourPlan\(|RunPump\(|Run\(|b'>.. run"),
            start="read_menu",
            end=PORT,
            apart=re.compile(r"MachineState\(|RoundProgress\(|Committed\(|^\{'state'"),
        ),
        "alarm": HopTracer(
            re.compile(
                r"'?name'?[=:] ?'glass_lifted'|\"event\":\[\"alarm\",[^]]*\"glass_lifted\"|event: alarm"
            ),
            start="PourChecks.glass",
            end="marked.<locals>.send_marked",
            apart=re.compile(r"MachineState\(|PourProgress\(|^\{'state'"),
        ),
    }


class _Guests:
    """Who talks to the front over HTTP."""

    def __init__(self, address: tuple[str, int]) -> None:
        self._address = address

    async def post(self, path: str, body: Any, key: str = "") -> dict[str, Any]:
        """The JSON of an answer that is no problem."""
        data = json.dumps(body).encode()
        lines = [
            f"POST {path} HTTP/1.1",
            "Host: localhost",
            "Connection: close",
            f"Content-Length: {len(data)}",
        ]
        lines += ["Content-Type: application/json", *([f"Idempotency-Key: {key}"] if key else [])]
        reader, writer = await asyncio.open_connection(*self._address)
        writer.write("\r\n".join(lines).encode() + b"\r\n\r\n" + data)
        head, _, text = (await reader.read()).partition(b"\r\n\r\n")
        writer.close()
        if not head.startswith(b"HTTP/1.1 2"):
            raise RuntimeError(f"POST {path}: {text.decode()}")
        answer: dict[str, Any] = json.loads(text)
        return answer

    @asynccontextmanager
    async def stream(self) -> AsyncIterator[None]:
        """Read the stream of events meanwhile."""
        reader, writer = await asyncio.open_connection(*self._address)
        writer.write(b"GET /v1/events HTTP/1.1\r\nHost: localhost\r\n\r\n")
        await reader.readuntil(b"retry: 1000")
        try:
            yield
        finally:
            writer.close()


@asynccontextmanager
async def _front(place: Bar) -> AsyncIterator[_Guests]:
    loop = asyncio.get_running_loop()
    ours, theirs = socket.socketpair()
    connection, client = FrontConnection(place.interpreter, lambda: None), SocketClient()
    await loop.connect_accepted_socket(lambda: connection, theirs)
    await loop.connect_accepted_socket(lambda: client, ours)
    await client.known
    store = Store.reading(place.path)
    planning = settings(place.path).planning
    app = create_app(client, store, planning, ChildImporter(place.path, planning.small))
    listening = socket.create_server(("127.0.0.1", 0))
    server = Server(app, lambda: None)
    serving = loop.create_task(server.serve(sockets=[listening]), name="api")
    try:
        yield _Guests(listening.getsockname())
    finally:
        client.feed.close()
        server.should_exit = True
        await serving
        await store.close()
        connection.close()
        await client.over
        await connection.over


async def _set_up(store: Store) -> None:
    await store.glasses.put(TUMBLER)
    await store.recipes.put(RECIPE)
    await store.bottles.put(Bottle("bottle-1", "house-water", 700.0, 1000.0, 50.0))
    await store.bottles.mount("bottle-1", 1)


async def _comes_to(place: Bar, state: PourState) -> None:
    def there() -> bool:
        pour = place.interpreter.state.pour
        return pour is not None and pour.state is state

    await place.until(there)


async def _play(place: Bar, guests: _Guests, watcher: Watcher, routes: dict[str, HopTracer]) -> None:
    """An order that is taken back; then a drink from a recipe whose glass is lifted twice."""
    bench = place.machine.bench
    with watcher.watch(routes["request"]):
        pour = await guests.post("/v1/pours", {"doses": [{"channel": 1, "amount_g": 20}]}, KEY)
    await guests.post(f"/v1/pours/{pour['id']}/abort", {})
    await place.until(lambda: place.status.pour_id is None)
    with watcher.watch(routes["recipe"]):
        order = {"glasses": [{"recipe_id": RECIPE.id}], "auto_start": True}
        ordered = await guests.post("/v1/rounds", order)
        bench.place_glass(mass_g=250.0)
        await place.until(lambda: routes["recipe"].done)
    await _comes_to(place, PourState.COARSE_FEED)
    await asyncio.sleep(0.5)
    with watcher.watch(routes["sample"]):
        bench.lift_glass()
        await place.until(lambda: routes["sample"].done)
    await _comes_to(place, PourState.HELD)
    bench.place_glass(mass_g=250.0)
    await asyncio.sleep(1.0)
    await guests.post(f"/v1/rounds/{ordered['id']}/restart", {})
    await _comes_to(place, PourState.COARSE_FEED)
    await asyncio.sleep(0.5)
    async with guests.stream():
        with watcher.watch(routes["alarm"]):
            bench.lift_glass()
            await place.until(lambda: routes["alarm"].done)


def watched() -> dict[str, list[Call]]:
    """The hops of each route, as they were seen just now."""
    routes, watcher = _tracers(), Watcher()

    async def main(folder: Path) -> None:
        async with bar(folder) as place:
            await _set_up(place.store)
            async with _front(place) as guests:
                await place.ready()
                await _play(place, guests, watcher, routes)

    try:
        with TemporaryDirectory() as folder:
            run_stepped(lambda: main(Path(folder)))
    finally:
        watcher.close()
    return {name: tracer.hops() for name, tracer in routes.items()}
