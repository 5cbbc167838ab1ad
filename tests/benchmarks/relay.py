"""Stands on the line between daemon and board in a process of its own, and stamps what passes.

`python relay.py HOST PORT` connects to the board for every daemon that connects to it, and prints the port
at which it listens. A line on standard input ends a measurement: one JSON object comes back, and the next
begins.

Lease renewals are written in the pass that weighed a sample, on the way that a stop takes. So the time from a
sample handed to the daemon to the next `keep` read from it is the daemon's delay, loopback included. Stops
themselves do not count: most are timed to fall between two samples. Nor does a renewal that had to wait for
the board's answer to another request, such as a line of the display; a stop waits for none.
"""

import contextlib
import json
import os
import selectors
import socket
import sys
import time
from statistics import quantiles
from typing import Any

LATE_S = 0.4
"""Renewals further apart than this, within a pour, let the usual lease run out."""


class Relay:
    """Forwards bytes both ways; one daemon at a time."""

    def __init__(self, board: tuple[str, int]) -> None:
        self._board_address = board
        self._selector = selectors.DefaultSelector()
        self._listening = socket.create_server(("127.0.0.1", 0))
        self.port: int = self._listening.getsockname()[1]
        self._selector.register(self._listening, selectors.EVENT_READ, self._accept)
        self._selector.register(sys.stdin, selectors.EVENT_READ, self._report)
        self._daemon: socket.socket | None = None
        self._board: socket.socket | None = None
        self._sample_s: float | None = None
        self._renewed_s: float | None = None
        self._unanswered = False
        self._clear()

    def _clear(self) -> None:
        self._delays_s: list[float] = []
        self._late_renewals = 0
        self._late_samples = 0

    def run(self) -> None:
        """Forward until standard input ends."""
        while True:
            for key, _ in self._selector.select():
                key.data()

    def _accept(self) -> None:
        self._hang_up()
        self._daemon, _ = self._listening.accept()
        self._board = socket.create_connection(self._board_address)
        for side in (self._daemon, self._board):
            side.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        self._selector.register(self._daemon, selectors.EVENT_READ, self._from_daemon)
        self._selector.register(self._board, selectors.EVENT_READ, self._from_board)

    def _hang_up(self) -> None:
        for side in (self._daemon, self._board):
            if side is not None:
                self._selector.unregister(side)
                side.close()
        self._daemon = self._board = None

    def _from_board(self) -> None:
        data = self._read(self._board)
        if data and self._daemon is not None:
            self._daemon.sendall(data)
            if b"<" in data:
                self._unanswered = False
            if b"#" in data:
                self._sample_s = None if self._unanswered else time.monotonic()

    def _from_daemon(self) -> None:
        data = self._read(self._daemon)
        now_s = time.monotonic()
        if not data or self._board is None:
            return
        if b" keep " in data and self._sample_s is not None:
            self._delays_s.append(now_s - self._sample_s)
        if b" run " in data or b" stop " in data:
            self._renewed_s = now_s if b" run " in data else None
        elif b" keep " in data:
            if self._renewed_s is not None and now_s - self._renewed_s > LATE_S:
                self._late_renewals += 1
            self._renewed_s = now_s
        self._unanswered = True
        self._sample_s = None
        self._board.sendall(data)

    def _read(self, side: socket.socket | None) -> bytes:
        data = b""
        with contextlib.suppress(OSError):
            data = side.recv(65536) if side is not None else b""
        if not data:
            self._hang_up()
        return data

    def _report(self) -> None:
        if not sys.stdin.readline():
            sys.exit()
        result: dict[str, Any] = {"frames": len(self._delays_s), "late_renewals": self._late_renewals}
        if len(self._delays_s) > 1:
            cuts = quantiles(self._delays_s, n=100)
            result |= {
                "p50_ms": round(cuts[49] * 1000, 2),
                "p99_ms": round(cuts[98] * 1000, 2),
                "largest_ms": round(max(self._delays_s) * 1000, 2),
            }
        print(json.dumps(result), flush=True)
        self._clear()


if __name__ == "__main__":
    with contextlib.suppress(PermissionError, AttributeError):  # a late stamp would be blamed on the daemon
        os.sched_setscheduler(0, os.SCHED_FIFO, os.sched_param(10))
    relay = Relay((sys.argv[1], int(sys.argv[2])))
    print(relay.port, flush=True)
    relay.run()
