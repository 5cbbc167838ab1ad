"""Starts a front: a process group of its own with two sockets to the machine and the listening one."""

import socket
import subprocess
import sys
from contextlib import suppress
from dataclasses import dataclass

COMMAND = (sys.executable, "-m", "tarewell.front")


@dataclass(frozen=True, slots=True)
class Front:
    """A started front, and the machine's end of its sockets."""

    process: "subprocess.Popen[bytes]"
    requests: socket.socket
    changes: socket.socket


def launch(listening: socket.socket, config: bytes, command: tuple[str, ...] = COMMAND) -> Front:
    """Start one; `config` goes to its standard input, the sockets' file descriptors are its arguments."""
    ours, theirs = socket.socketpair()
    our_changes, their_changes = socket.socketpair()
    fds = (theirs.fileno(), their_changes.fileno(), listening.fileno())
    with theirs, their_changes:
        process = subprocess.Popen(
            [*command, *map(str, fds)], stdin=subprocess.PIPE, pass_fds=fds, process_group=0
        )
    if process.stdin is not None:
        with suppress(BrokenPipeError), process.stdin:
            process.stdin.write(config)
    return Front(process, ours, our_changes)
