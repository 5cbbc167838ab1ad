"""Delay of the real daemon from a sample's arrival to the frame that it causes, with API requests beside it.

A proxy sits on the line between daemon and simulated board and stamps every line. Lease renewals take the
same way through the daemon as stops: a sample is weighed, the pour decides, the frame is written. So the time
from a sample passing the proxy to the next `keep` or `stop` passing back is the daemon's delay, proxy and
loopback included. Frames that no sample caused (a timed cut-off, a repetition) count from the last sample.
"""

import asyncio
import contextlib
import threading
import time
from pathlib import Path
from statistics import quantiles
from typing import Any

import httpx

from stack import Stack

REQUESTS_PER_S = 50
DOSES = (60.0, 45.0, 60.0, 75.0)


class Proxy:
    """Forwards one TCP connection and stamps the lines in both directions."""

    def __init__(self, host: str, port: int) -> None:
        self._target = (host, port)
        self.delays_s: list[float] = []
        self._sample_s: float | None = None
        self.port = 0
        self._loop = asyncio.new_event_loop()
        self._ready = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()
        self._ready.wait(10)

    def _run(self) -> None:
        async def start() -> asyncio.Server:
            server = await asyncio.start_server(self._connect, "127.0.0.1", 0)
            self.port = server.sockets[0].getsockname()[1]
            return server

        self._server = self._loop.run_until_complete(start())
        self._ready.set()
        self._loop.run_forever()

    async def _connect(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        board_reader, board_writer = await asyncio.open_connection(*self._target)
        with contextlib.suppress(ConnectionError, asyncio.IncompleteReadError):
            await asyncio.gather(
                self._pump(board_reader, writer, self._from_board),
                self._pump(reader, board_writer, self._from_daemon),
            )

    async def _pump(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter, note: Any) -> None:
        while line := await reader.readline():
            note(line, time.perf_counter())
            writer.write(line)
        writer.close()

    def _from_board(self, line: bytes, now_s: float) -> None:
        if line.startswith(b"#"):
            self._sample_s = now_s

    def _from_daemon(self, line: bytes, now_s: float) -> None:
        if self._sample_s is None:
            return
        if b" keep " in line or b" stop " in line:
            self.delays_s.append(now_s - self._sample_s)

    def close(self) -> None:
        """Stop forwarding."""
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join(5)


class Load(threading.Thread):
    """Asks the API steadily, as a page and some scripts would."""

    def __init__(self, url: str) -> None:
        super().__init__(daemon=True)
        self._url = url
        self._stop_now = threading.Event()
        self.times_s: list[float] = []

    def run(self) -> None:
        """Send requests at their times until told to stop."""
        paths = ("/machine", "/scale", "/pours?limit=10", "/channels")
        with httpx.Client(base_url=self._url) as client:
            begin_s = time.perf_counter()
            number = 0
            while not self._stop_now.wait(max(0.0, begin_s + number / REQUESTS_PER_S - time.perf_counter())):
                started = time.perf_counter()
                client.get(paths[number % len(paths)])
                self.times_s.append(time.perf_counter() - started)
                number += 1
            self.seconds = time.perf_counter() - begin_s

    def end(self) -> None:
        """Stop asking."""
        self._stop_now.set()
        self.join(5)


def _memory_mb(pid: int) -> float:
    status = Path(f"/proc/{pid}/status").read_text()
    line = next(line for line in status.splitlines() if line.startswith("VmRSS"))
    return round(int(line.split()[1]) / 1024, 1)


def _ms(times_s: list[float]) -> tuple[float, float]:
    cuts = quantiles(times_s, n=100)
    return round(cuts[49] * 1000, 2), round(cuts[98] * 1000, 2)


def run(folder: Path) -> dict[str, Any]:
    """Pour some doses through the real daemon and report its delays, start time and memory."""
    stack = Stack(folder, tcp="127.0.0.1:0", seed=9201)
    host, port = stack.device.removeprefix("tcp://").rsplit(":", 1)
    proxy = Proxy(host, int(port))
    stack.device = f"tcp://127.0.0.1:{proxy.port}"
    try:
        started = time.perf_counter()
        api = stack.start()
        ready_s = time.perf_counter() - started
        stack.set_up()
        load = Load(str(api.base_url))
        load.start()
        for grams in DOSES:
            stack.finished(stack.pour({"channel": 1, "amount_g": grams})["id"])
        load.end()
        if stack.daemon is None:
            raise RuntimeError("the daemon did not start")
        keep_p50, keep_p99 = _ms(proxy.delays_s)
        api_p50, api_p99 = _ms(load.times_s)
        return {
            "sample_to_frame_p50_ms": keep_p50,
            "sample_to_frame_p99_ms": keep_p99,
            "sample_to_frame_largest_ms": round(max(proxy.delays_s) * 1000, 2),
            "frames_measured": len(proxy.delays_s),
            "requests_per_s": round(len(load.times_s) / load.seconds, 1),
            "request_p50_ms": api_p50,
            "request_p99_ms": api_p99,
            "start_to_ready_s": round(ready_s, 2),
            "memory_mb": _memory_mb(stack.daemon.child.pid),
        }
    finally:
        stack.close()
        proxy.close()
