"""`python -m tarewell.operation CONFIG_FD LISTENING_FD`, started by `tarewell serve` in its own place.

The front is started first: it has far more to load, and does so while the machine is being built.
"""

import gc
import json
import os
import socket
import sys

from .launch import launch


def main() -> None:
    """Read the configuration, start the front, become the machine; `process` turns collection on again."""
    gc.disable()
    config_fd, listening_fd = map(int, sys.argv[1:3])
    with os.fdopen(config_fd, "rb") as file:
        given = json.load(file)
    front_config = json.dumps(given["front"]).encode()
    with socket.socket(fileno=listening_fd) as listening:
        first = launch(listening, front_config)

        from tarewell.machine.known import MachineConfig
        from tarewell.typed_json import load

        from .process import run

        run(load(MachineConfig, given["machine"]), front_config, listening, first)


main()
