"""Starts the machine from the settings; errors at the start surface here, before anything runs."""

import json
import os
import socket
import sys
from pathlib import Path
from typing import NoReturn

from tarewell.settings import Settings
from tarewell.typed_json import dump


class StartError(Exception):
    """The daemon cannot start; one line that says why and what to do."""


def listen(host: str, port: int) -> socket.socket:
    """A socket that listens at the address.

    Raises:
        StartError: the address is not available.
    """
    try:
        family, *_, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        # asyncio disables Nagle's delay only where the protocol is named; else answers would wait 40 ms
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
            f"cannot listen at {host}:{port} ({error.strerror}); is a daemon already running? "
            "End it, or change the setting `port`"
        ) from error


def _make_directory(path: Path) -> None:
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StartError(
            f"the directory {path} for the database cannot be created ({error.strerror}); "
            "correct the setting `database`"
        ) from error


def run(settings: Settings) -> NoReturn:
    """Become the machine process, which keeps this process's id and needs few of the modules loaded here.

    Exits with 1 and one line where the daemon cannot start.
    """
    try:
        listening = listen(settings.host, settings.port)
        _make_directory(settings.database.parent)
    except StartError as error:
        print(f"tarewell: {error}", file=sys.stderr)
        sys.exit(1)
    given = {"machine": dump(settings.machine), "front": settings.for_front()}
    read_end, write_end = os.pipe()
    with os.fdopen(write_end, "wb") as file:
        file.write(json.dumps(given).encode())
    for descriptor in (read_end, listening.fileno()):
        os.set_inheritable(descriptor, True)
    sys.stdout.flush()
    fds = (str(read_end), str(listening.fileno()))
    # What threads and large answers leave behind goes back to the system.
    limits = {"MALLOC_ARENA_MAX": "1", "MALLOC_TRIM_THRESHOLD_": "65536", "MALLOC_MMAP_THRESHOLD_": "65536"}
    os.execve(sys.executable, [sys.executable, "-m", "tarewell.operation", *fds], os.environ | limits)
