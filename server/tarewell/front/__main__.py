"""Started by the machine process: settings on standard input, three inherited sockets by their numbers.

Nothing is collected while the program loads: all of it stays. `process` turns collection on once it serves.
"""

import gc
import json
import os
import socket
import sys

gc.disable()
os.sched_setscheduler(0, os.SCHED_OTHER, os.sched_param(0))  # a real-time priority is the machine's alone

from tarewell.settings import Settings  # noqa: E402

from .process import run  # noqa: E402


def main() -> None:
    """`python -m tarewell.front REQUESTS_FD CHANGES_FD LISTENING_FD`."""
    settings = Settings(**json.load(sys.stdin))
    requests, changes, listening = (socket.socket(fileno=int(number)) for number in sys.argv[1:4])
    run(settings, requests, changes, listening)


main()
