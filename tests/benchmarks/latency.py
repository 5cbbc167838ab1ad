"""Delay of the real daemon from a sample to the frame that it causes, beside one load after another.

`python tests/benchmarks/latency.py "80 streams, page open"` measures beside nothing and these loads alone.
"""

import json
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
sys.path.append(str(HERE.parent / "support"))

import loads  # noqa: E402

from stack import Stack  # noqa: E402

DOSES = 3
DOSE_G = 60.0
SETTLE_S = 2.0
"""How long a load runs before it counts."""


class Child:
    """A process beside the daemon that answers line by line."""

    def __init__(self, script: str, *args: str) -> None:
        self._process = subprocess.Popen(
            [sys.executable, str(HERE / script), *args],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def read(self) -> Any:
        """The next line, as JSON."""
        if self._process.stdout is None:
            raise RuntimeError("the process was started without a pipe")
        return json.loads(self._process.stdout.readline())

    def ask(self) -> Any:
        """Send a line; the answer."""
        if self._process.stdin is None:
            raise RuntimeError("the process was started without a pipe")
        self._process.stdin.write("\n")
        self._process.stdin.flush()
        return self.read()

    def end(self) -> None:
        """Kill it."""
        self._process.kill()
        self._process.wait()
        for stream in (self._process.stdin, self._process.stdout):
            if stream is not None:
                stream.close()


def processes(pid: int) -> list[str]:
    """A process and its children."""
    found = subprocess.run(["pgrep", "-P", str(pid)], capture_output=True, text=True, check=False)
    return [str(pid), *found.stdout.split()]


def memory_mb(pid: int) -> float:
    """Memory of a process and its children in MB, shared pages counted once (proportional set size)."""
    total_kb = 0
    for number in processes(pid):
        rollup = Path(f"/proc/{number}/smaps_rollup").read_text()
        total_kb += next(int(line.split()[1]) for line in rollup.splitlines() if line.startswith("Pss:"))
    return round(total_kb / 1024, 1)


def run(folder: Path, cores: str | None = None, names: Sequence[str] = tuple(loads.LOADS)) -> dict[str, Any]:
    """Pour `DOSES` beside nothing and each load; `cores` confines the daemon, as for `taskset -c`."""
    stack = Stack(folder, tcp="127.0.0.1:0", seed=9201)
    host, port = stack.device.removeprefix("tcp://").rsplit(":", 1)
    relay = Child("relay.py", host, port)
    stack.device = f"tcp://127.0.0.1:{relay.read()}"
    result: dict[str, Any] = {}
    try:
        started = time.perf_counter()
        api = stack.start()
        result["start_to_link_s"] = round(time.perf_counter() - started, 2)
        if stack.daemon is None:
            raise RuntimeError("the daemon did not start")
        if cores is not None:
            _confine(stack.daemon.child.pid, cores)
        stack.set_up()
        result["memory_mb"] = memory_mb(stack.daemon.child.pid)
        for name in ("nothing", *names):
            result[name] = _beside(stack, relay, name, str(api.base_url))
        result["memory_after_mb"] = memory_mb(stack.daemon.child.pid)
    finally:
        stack.close()
        relay.end()
    return result


def _confine(pid: int, cores: str) -> None:
    for number in processes(pid):
        subprocess.run(["taskset", "-a", "-c", "-p", cores, number], check=True, stdout=subprocess.DEVNULL)


def _beside(stack: Stack, relay: Child, name: str, url: str) -> dict[str, Any]:
    """Delays while doses are poured beside a load, and how the doses came out."""
    load = None
    if name != "nothing":
        load = Child("loads.py", name, url)
        load.read()
        time.sleep(SETTLE_S)
    try:
        relay.ask()
        ends, errors_g = [], []
        for _ in range(DOSES):
            before_g = stack.bench.truth()["delivered_g"][1]
            record = stack.finished(stack.pour({"channel": 1, "amount_g": DOSE_G})["id"], 120.0)
            ends.append(f"{record['state']}/{record['doses'][0]['verdict']}")
            errors_g.append(round(stack.bench.truth()["delivered_g"][1] - before_g - DOSE_G, 2))
        measured: dict[str, Any] = relay.ask()
    finally:
        if load is not None:
            load.end()
    holds = sum(event["state"] == "held" for event in _states(stack))
    return measured | {"doses": " ".join(ends), "errors_g": errors_g, "holds": holds}


def _states(stack: Stack) -> list[dict[str, Any]]:
    """The states of the last pours, from the audited record."""
    pours = stack.api.get("/pours", params={"limit": DOSES}).json()
    return [
        {"state": entry["detail"]["state"]}
        for pour in pours
        for entry in stack.api.get(f"/pours/{pour['id']}/trace", timeout=60.0).json()["entries"]
        if entry["what"] == "StateChanged"
    ]


if __name__ == "__main__":
    print(json.dumps(run(Path(tempfile.mkdtemp()), names=sys.argv[1:]), indent=1))
