"""The front process, from its sockets to its end. It ends with the machine."""

import asyncio
import gc
import logging
import os
import resource
import socket
import sys

from tarewell.api.app import create_app
from tarewell.api.context import BarFacts
from tarewell.api.importing import ChildImporter
from tarewell.api.journal_check import verify_in_child
from tarewell.exchange.changes import RemoteWrites
from tarewell.exchange.client import SocketClient
from tarewell.exchange.round_planning import RoundPlanner
from tarewell.local_panel.channels import ChannelChoices
from tarewell.local_panel.panel import LocalPanel
from tarewell.local_panel.recipes import RecipeChoices
from tarewell.records.store import Store
from tarewell.settings import Settings

from .server import Server, call_on_signals

log = logging.getLogger(__name__)

NICE = 5
"""Niceness of the front: the machine process has priority on the processor."""


async def run_front(
    settings: Settings, requests: socket.socket, changes: socket.socket, listening: socket.socket
) -> None:
    """Serve until the machine is gone or the process is asked to end.

    Raises:
        ExceptionGroup: an error in the program.
    """
    loop = asyncio.get_running_loop()
    client = SocketClient()
    await loop.create_connection(lambda: client, sock=requests)
    ended = asyncio.Event()
    client.over.add_done_callback(lambda _: ended.set())
    call_on_signals(ended.set)
    store = Store.beside(settings.database, RemoteWrites(changes, lost=ended.set))
    try:
        await asyncio.wait({client.known, client.over}, return_when=asyncio.FIRST_COMPLETED)
        if client.over.done():
            return
        await _serve(settings, client, store, listening, ended)
    finally:
        await store.close()


async def _serve(
    settings: Settings, client: SocketClient, store: Store, listening: socket.socket, ended: asyncio.Event
) -> None:
    planning = settings.planning
    importer = ChildImporter(settings.database, planning.small)
    token = None if settings.token is None else settings.token.get_secret_value()
    app = create_app(
        client,
        store,
        planning,
        importer,
        token,
        settings.host,
        settings.hosts,
        allowed_origins=settings.allowed_origins,
        guest_key_valid=store.orders.admits,
        verify=verify_in_child(settings.database),
        bar=BarFacts(settings.name, settings.scale, settings.currency),
    )

    def ready() -> None:
        client.report_ready()
        gc.freeze()
        gc.enable()

    server = Server(app, ready)
    recipes = RecipeChoices(store, settings.scale, settings.dosing, planning.small)
    panel = LocalPanel(
        client, RoundPlanner(store, client, planning), store, [recipes, ChannelChoices(store, settings.scale)]
    )
    async with asyncio.TaskGroup() as group:
        at_panel = group.create_task(panel.run(), name="panel")
        serving = group.create_task(server.serve(sockets=[listening]), name="api")
        await ended.wait()
        client.feed.close()
        server.should_exit = True
        await serving
        at_panel.cancel()


def run(
    settings: Settings, requests: socket.socket, changes: socket.socket, listening: socket.socket
) -> None:
    """Run the front in this process until it ends."""
    logging.basicConfig(
        level=settings.log_level.upper(), format="%(levelname)s %(name)s: %(message)s", stream=sys.stderr
    )
    os.nice(NICE)
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (max(soft, min(hard, 4096)), hard))
    try:
        asyncio.run(run_front(settings, requests, changes, listening))
    except BaseException:
        log.critical("an error in the program ends the front", exc_info=True)
        sys.stderr.flush()
        os._exit(70)
