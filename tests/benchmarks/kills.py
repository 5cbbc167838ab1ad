"""What is left after the front or the machine was killed in mid-pour, many times over.

`python tests/benchmarks/kills.py 100` prints the figures; `make kills` runs it. It takes half an hour.
"""

import os
import random
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
from contextlib import suppress
from functools import partial
from pathlib import Path
from statistics import median
from typing import Any

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "tests" / "support"), str(ROOT / "simulator" / "avr")]

import httpx  # noqa: E402

from stack import Stack  # noqa: E402

POUR_G = 240.0
FEEDING = ("coarse_feed", "fine_feed", "jog_feed")


def front_of(stack: Stack) -> int:
    """The process number of the front."""
    pid = stack.daemon.child.pid if stack.daemon else 0
    return int(subprocess.run(["pgrep", "-P", str(pid)], capture_output=True, text=True, check=True).stdout)


def answers(stack: Stack) -> bool:
    """Whether the API serves."""
    with suppress(httpx.TransportError):
        return stack.api.get("/machine").status_code == 200
    return False


def gone(pid: int) -> bool:
    """Whether a process has ended."""
    with suppress(OSError):
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] == "Z"
    return True


def fronts(folder: Path, times: int, chance: random.Random) -> dict[str, Any]:
    """Kill the front while pours go on; every pour must end as if nothing had been."""
    stack = Stack(folder, seed=9301)
    served_again_s, ends, errors_g, killed = [], [], [], 0
    try:
        stack.start()
        stack.set_up()
        while killed < times:
            before_g = stack.bench.truth()["delivered_g"][1]
            begun = stack.pour({"channel": 1, "amount_g": POUR_G})
            stack.wait(lambda: stack.bench.truth()["pump_on"])
            while killed < times and stack.bench.truth()["delivered_g"][1] - before_g < POUR_G - 30:
                time.sleep(chance.uniform(0.0, 1.0))
                os.kill(front_of(stack), signal.SIGKILL)
                started_s, killed = time.monotonic(), killed + 1
                stack.wait(lambda: answers(stack), 30.0)
                served_again_s.append(time.monotonic() - started_s)
            record = stack.finished(begun["id"], 120.0)
            ends.append(f"{record['state']}/{record['doses'][0]['verdict']}")
            errors_g.append(round(stack.bench.truth()["delivered_g"][1] - before_g - POUR_G, 2))
    finally:
        stack.close()
    return {
        "front_killed": killed,
        "pours": {end: ends.count(end) for end in sorted(set(ends))},
        "largest_error_g": max(errors_g, key=abs),
        "served_again_s_median": round(median(served_again_s), 2),
        "served_again_s_largest": round(max(served_again_s), 2),
    }


def machines(folder: Path, times: int, chance: random.Random) -> dict[str, Any]:
    """Kill the machine in mid-pour: pump off by its lease, front gone, a start, and whole records."""
    stack = Stack(folder, seed=9302)
    pump_off_s, states, fronts_left, unrecorded_g = [], [], 0, []
    try:
        stack.start()
        stack.set_up()
        for number in range(times):
            if number % 10 == 0:
                stack.bench.call("swap_bottle", channel=1)
            before_g = stack.bench.truth()["delivered_g"][1]
            begun = stack.pour({"channel": 1, "amount_g": POUR_G})
            stack.wait(lambda: stack.bench.truth()["pump_on"])
            time.sleep(chance.uniform(0.0, 3.0))
            front = front_of(stack)
            killed_s = time.monotonic()
            stack.stop(signal.SIGKILL)
            stack.wait(lambda: not stack.bench.truth()["pump_on"], 5.0)
            pump_off_s.append(time.monotonic() - killed_s)
            with suppress(TimeoutError):
                stack.wait(partial(gone, front), 5.0)
            fronts_left += not gone(front)
            stack.start()
            record = stack.read(begun["id"])
            states.append(record["state"])
            true_g = stack.bench.truth()["delivered_g"][1] - before_g
            unrecorded_g.append(true_g - (record["delivered_g"] or 0.0))
            stack.bench.call("lift_glass")
            stack.wait(lambda: stack.api.get("/ready").status_code == 200)
        stack.stop()
        with sqlite3.connect(folder / "tarewell.sqlite") as database:
            whole = database.execute("PRAGMA integrity_check").fetchone() == ("ok",)
            open_pours = database.execute(
                "SELECT count(*) FROM pour WHERE id NOT IN (SELECT pour_id FROM pour_outcome)"
            ).fetchone()[0]
        database.close()
        verified = subprocess.run(
            [sys.executable, "-m", "tarewell", "db", "verify", "--database", str(folder / "tarewell.sqlite")],
            check=False,
        ).returncode
    finally:
        stack.close()
    return {
        "machine_killed": len(states),
        "pump_off_s_median": round(median(pump_off_s), 2),
        "pump_off_s_largest": round(max(pump_off_s), 2),
        "fronts_left": fronts_left,
        "states": {state: states.count(state) for state in sorted(set(states))},
        "records_whole": whole and not open_pours and verified == 0,
        "unrecorded_g_median": round(median(unrecorded_g), 2),
        "unrecorded_g_largest": round(max(unrecorded_g), 2),
    }


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    dice = random.Random(9300)
    for part in (fronts, machines):
        for name, value in part(Path(tempfile.mkdtemp()), count, dice).items():
            print(f"{name:28} {value}", flush=True)
