"""The machine process: board, control and records, with the front as its child.

Every long-lived task is in one group: one that fails ends the process, with the pumps off by their lease.
"""

import asyncio
import faulthandler
import gc
import logging
import os
import signal
import socket
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

from tarewell import __version__
from tarewell.machine.known import MachineConfig
from tarewell.records.errors import StoreError
from tarewell.records.revision import newest_revision, revision_of
from tarewell.records.store import Store

from .front_keeper import FrontDownError, FrontKeeper
from .interpreter import Interpreter
from .launch import Front, launch

log = logging.getLogger(__name__)

EXIT_CANNOT_START, EXIT_FRONT_DOWN, EXIT_FAULT = 1, 69, 70
"""1 with the cure on standard error; 69 and 70 as EX_UNAVAILABLE and EX_SOFTWARE of sysexits.h."""

TICK_S = 0.05
LATE_S = 0.15
"""A loop blocked for this long may be too late to renew the lease."""

HUNG_S = 2.0
"""When the loop is blocked for longer, its stack is written to standard error."""

SWITCH_S = 0.0005
"""How long another thread of this process (the writer's) may delay the control loop."""


async def run_machine(
    config: MachineConfig,
    start_front: Callable[[], Front],
    url: str,
    say: Callable[[str], None],
    first: Front | None = None,
) -> None:
    """Run until SIGINT or SIGTERM; then pumps off, records closed. `say` prints the ready line.

    Raises:
        StoreError: the database cannot be used.
        FrontDownError: the front does not stay up.
        Exception: an error in the program, from any task.
    """
    path = Path(config.database)
    await asyncio.to_thread(_bring_up_to_date, path)
    store = await Store.open(path, config.machine_id, __version__)
    try:
        if store.writer is None:
            raise RuntimeError("the machine's own store writes")
        machine = Interpreter(config, store, store.writer)
        said = False

        def ready() -> None:
            nonlocal said
            if not said:
                said = True
                say(f"ready {url}")

        keeper = FrontKeeper(machine, store.writer, start_front, ready, first)
        try:
            async with asyncio.TaskGroup() as group:
                await _serve(group, machine, keeper)
        except* (FrontDownError, StoreError) as found:
            raise found.exceptions[0] from None
        finally:
            await keeper.end()
    finally:
        await store.close()


async def _serve(group: asyncio.TaskGroup, machine: Interpreter, keeper: FrontKeeper) -> None:
    """Until a signal comes; then everything ends in order."""
    loop, asked = asyncio.get_running_loop(), asyncio.Event()
    for number in (signal.SIGINT, signal.SIGTERM):
        loop.add_signal_handler(number, asked.set)
    front = group.create_task(keeper.run(), name="front")
    meter = group.create_task(_measure_lateness(machine), name="lateness")
    try:
        await machine.start(group)
        gc.freeze()  # all that was loaded stays, so no collection need look at it again
        gc.enable()
        await asked.wait()
        log.info("closing")
    finally:
        await machine.close()
    await keeper.end()
    for task in (front, meter):
        task.cancel()


async def _measure_lateness(machine: Interpreter) -> None:
    """Detect when the loop was blocked, and dump the stack when it is blocked for long."""
    loop = asyncio.get_running_loop()
    watched_s = float("-inf")
    try:
        while True:
            now_s = loop.time()
            if now_s > watched_s + HUNG_S / 2:  # each time costs a thread
                watched_s = now_s
                faulthandler.dump_traceback_later(1.5 * HUNG_S)
            await asyncio.sleep(TICK_S)
            if (late_s := loop.time() - now_s - TICK_S) > LATE_S:
                machine.host_late(late_s)
    finally:
        faulthandler.cancel_dump_traceback_later()


def _bring_up_to_date(path: Path) -> None:
    """Migrate in a child process, since the migration library is large and needed once.

    Raises:
        StoreError: as for `records.migrate.upgrade`.
    """
    if path.exists() and revision_of(path) == newest_revision():
        return
    command = [sys.executable, "-m", "tarewell.records", str(path)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        raise StoreError(done.stderr.strip().splitlines()[-1])


def url_of(listening: socket.socket) -> str:
    """The URL of the daemon."""
    host, port = listening.getsockname()[:2]
    return f"http://[{host}]:{port}" if ":" in host else f"http://{host}:{port}"


def run(config: MachineConfig, front_config: bytes, listening: socket.socket, first: Front) -> None:
    """Run the machine in this process until it ends; the exit code is 0 after a clean end."""
    logging.basicConfig(
        level=config.log_level.upper(), format="%(levelname)s %(name)s: %(message)s", stream=sys.stderr
    )
    sys.setswitchinterval(SWITCH_S)
    try:
        asyncio.run(
            run_machine(
                config,
                lambda: launch(listening, front_config),
                url_of(listening),
                lambda line: print(line, flush=True),
                first,
            )
        )
    except StoreError as error:
        _exit(EXIT_CANNOT_START, first, f"tarewell: {error}")
    except FrontDownError as error:
        _exit(EXIT_FRONT_DOWN, first, f"tarewell: {error}")
    except BaseException:
        log.critical("an error in the program ends the machine process", exc_info=True)
        _exit(EXIT_FAULT, first)


def _exit(code: int, first: Front, line: str = "") -> None:
    """End at once, whatever threads are still running, and end the first front too."""
    if line:
        print(line, file=sys.stderr)
    sys.stderr.flush()
    first.process.kill()
    os._exit(code)
