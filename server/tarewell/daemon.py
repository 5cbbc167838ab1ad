"""The daemon: records, machine and API in one process, from start to a clean end."""

import asyncio
import logging
import signal
import socket
import sys
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager, contextmanager, suppress
from pathlib import Path
from typing import NoReturn

import uvicorn

from tarewell import __version__
from tarewell.api.app import create_app
from tarewell.local_panel.channels import ChannelChoices
from tarewell.local_panel.panel import LocalPanel
from tarewell.local_panel.recipes import RecipeChoices
from tarewell.operation.operation import Operation
from tarewell.operation.rounds import Rounds
from tarewell.records.errors import StoreError
from tarewell.records.store import Store
from tarewell.settings import Settings

log = logging.getLogger(__name__)

GRACEFUL_S = 3
"""How long open requests may take to end after the machine has stopped."""


class StartError(Exception):
    """The daemon cannot start; one line that says why and what to do."""


class _Server(uvicorn.Server):
    """Uvicorn, with the signals left to the daemon."""

    def __init__(self, config: uvicorn.Config, ready: Callable[[], None]) -> None:
        super().__init__(config)
        self._ready = ready

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        """The daemon stops the machine first, then this server."""
        yield

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Start, then say so."""
        await super().startup(sockets)
        if self.started:
            self._ready()


def listen(host: str, port: int) -> socket.socket:
    """A socket that listens at the address.

    Raises:
        StartError: the address cannot be had.
    """
    try:
        family, *_, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        # asyncio turns Nagle's delay off only where the protocol is named; answers would wait 40 ms for it
        listening = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        try:
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            listening.bind(address[:2])
            listening.listen(128)
        except OSError:
            listening.close()
            raise
        return listening
    except socket.gaierror as error:
        raise StartError(
            f"there is no address {host} ({error.strerror}); correct the setting `host`"
        ) from error
    except OSError as error:
        raise StartError(
            f"cannot listen at {host}:{port} ({error.strerror}); is a daemon running already? "
            "End it, or change the setting `port`"
        ) from error


def url_of(listening: socket.socket) -> str:
    """Where people find the daemon."""
    host, port = listening.getsockname()[:2]
    return f"http://[{host}]:{port}" if ":" in host else f"http://{host}:{port}"


def _say(line: str) -> None:
    print(line, flush=True)


async def serve(settings: Settings, say: Callable[[str], None] = _say) -> None:
    """Run until SIGINT or SIGTERM; then pumps off, records closed. `say` gets the ready line.

    Raises:
        StartError: the address, or the database's directory, cannot be had.
        StoreError: the database cannot be used.
    """
    listening = listen(settings.host, settings.port)
    with listening:
        _make_directory(settings.database.parent)
        store = await Store.open(settings.database, settings.machine_id, __version__)
        try:
            operation = Operation(settings, store)
            try:
                await operation.start()
                rounds = Rounds(settings, store, operation)
                await rounds.start()
                try:
                    async with _panel(settings, store, operation, rounds):
                        await _serve(settings, store, operation, rounds, listening, say)
                finally:
                    await rounds.close()
            finally:
                await operation.close()
        finally:
            await store.close()


@asynccontextmanager
async def _panel(
    settings: Settings, store: Store, operation: Operation, rounds: Rounds
) -> AsyncIterator[None]:
    """Knob and display at work meanwhile."""
    recipes = RecipeChoices(store, settings.scale, settings.dosing, settings.menu.small)
    panel = LocalPanel(operation, rounds, store, [recipes, ChannelChoices(store, settings.scale)])
    running = asyncio.create_task(panel.run(), name="panel")
    try:
        yield
    finally:
        running.cancel()
        await asyncio.wait({running})


def _make_directory(path: Path) -> None:
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StartError(
            f"the directory {path} for the database cannot be made ({error.strerror}); "
            "correct the setting `database`"
        ) from error


async def _serve(
    settings: Settings,
    store: Store,
    operation: Operation,
    rounds: Rounds,
    listening: socket.socket,
    say: Callable[[str], None],
) -> None:
    config = uvicorn.Config(
        create_app(operation, rounds, store, settings),
        lifespan="off",
        log_config=None,
        access_log=False,
        timeout_graceful_shutdown=GRACEFUL_S,
    )
    server = _Server(config, lambda: say(f"ready {url_of(listening)}"))
    asked = asyncio.Event()
    loop = asyncio.get_running_loop()
    for number in (signal.SIGINT, signal.SIGTERM):
        loop.add_signal_handler(number, asked.set)
    serving = asyncio.create_task(server.serve(sockets=[listening]), name="api")
    waiting = asyncio.create_task(asked.wait(), name="signals")
    try:
        await asyncio.wait({serving, waiting}, return_when=asyncio.FIRST_COMPLETED)
        log.info("closing")
        await rounds.close()
        await operation.close()
        server.should_exit = True
        await serving
    finally:
        waiting.cancel()
        with suppress(asyncio.CancelledError):
            await waiting
        for number in (signal.SIGINT, signal.SIGTERM):
            loop.remove_signal_handler(number)


def run(settings: Settings) -> NoReturn:
    """Run the daemon as this process: exits with 0 after a clean end, with 1 and one line where it fails."""
    logging.basicConfig(
        level=settings.log_level.upper(), format="%(levelname)s %(name)s: %(message)s", stream=sys.stderr
    )
    try:
        asyncio.run(serve(settings))
    except (StartError, StoreError) as error:
        print(f"tarewell: {error}", file=sys.stderr)
        sys.exit(1)
    sys.exit(0)
