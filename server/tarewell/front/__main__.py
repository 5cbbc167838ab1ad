"""Started by the machine process: settings on standard input, three inherited sockets by their numbers."""

import json
import socket
import sys

from tarewell.settings import Settings

from .process import run


def main() -> None:
    """`python -m tarewell.front REQUESTS_FD CHANGES_FD LISTENING_FD`."""
    settings = Settings(**json.load(sys.stdin))
    requests, changes, listening = (socket.socket(fileno=int(number)) for number in sys.argv[1:4])
    run(settings, requests, changes, listening)


main()
