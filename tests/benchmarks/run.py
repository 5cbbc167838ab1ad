"""Measures control, cost, menu, evening, latency, page and board; prints a table, writes build/bench.json.

Nothing here is a test: figures depend on the computer, so they are recorded and not judged.
"""

import json
import platform
import sys
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.table import Table

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "tests" / "support"), str(ROOT / "simulator" / "avr"), str(Path(__file__).parent)]

import board  # noqa: E402
import control  # noqa: E402
import cost  # noqa: E402
import emulated  # noqa: E402
import error_budget  # noqa: E402
import evening  # noqa: E402
import fruit_drops  # noqa: E402
import latency  # noqa: E402
import menu  # noqa: E402
import odd_machines  # noqa: E402
import page_speed  # noqa: E402
import sweep  # noqa: E402
import uncommanded_flow  # noqa: E402


def main() -> None:
    """Run everything; about a quarter of an hour."""
    console = Console()
    with console.status("control: 200 doses on the simulated machine"):
        started = time.perf_counter()
        doses = control.run()
        control_s = time.perf_counter() - started
    with console.status("240 doses on machines drawn by lot, and simpler ways to pour"):
        swept = sweep.run()
    with console.status("420 doses on odd machines"):
        odd = odd_machines.run()
    with console.status("error budget: 40 doses with and without each source of error"):
        budget = error_budget.run()
    with console.status("fruit: 200 doses into which something falls, 200 plain ones"):
        fruit = fruit_drops.run()
    with console.status("200 flows that nobody commanded, begun in every state"):
        uncommanded = uncommanded_flow.run()
    with console.status("cost of core and simulator"):
        costs = cost.run()
    with console.status("menu of 500 recipes"):
        menus = menu.measure()
    with console.status("evening of 500 guests"):
        evenings = evening.measure()
    with console.status("latency of the real daemon beside one load after another"):
        delays = latency.run(Path(tempfile.mkdtemp()))
    with console.status("the same with the daemon on one core"):
        on_one_core = latency.run(Path(tempfile.mkdtemp()), cores="0")
    with console.status("the page in a browser"):
        pages = page_speed.run(Path(tempfile.mkdtemp()))
    with console.status("the firmware in emulation"):
        firmware = emulated.run()
    with console.status("the board's promises under faults, 200 phases on each build, and mutants"):
        boards = board.run()
    result: dict[str, Any] = {
        "measured_at": datetime.now(UTC).isoformat(timespec="seconds"),
        "python": platform.python_version(),
        "machine": platform.machine(),
        "control": doses,
        "sweep": swept,
        "odd": odd,
        "budget": budget,
        "control_wall_s": round(control_s, 1),
        "fruit": fruit,
        "uncommanded": uncommanded,
        "cost": costs,
        "menu": menus,
        "evening": evenings,
        "daemon": delays,
        "one core": on_one_core,
        "page": pages,
        "firmware": firmware,
        "board": boards,
    }
    path = ROOT / "build" / "bench.json"
    path.parent.mkdir(exist_ok=True)
    path.write_text(json.dumps(result, indent=2) + "\n")
    _print(console, result)
    console.print(f"written to {path.relative_to(ROOT)}")


def _print(console: Console, result: dict[str, Any]) -> None:
    table = Table(title="control: true mass in the glass less target, drips included")
    rows = result["control"]
    table.add_column("each channel unknown at first")
    for channel in rows:
        table.add_column(channel, justify="right")
    for name in next(iter(rows.values())):
        table.add_row(name, *(str(figures[name]) for figures in rows.values()))
    console.print(table)
    for part in (
        "sweep",
        "odd",
        "budget",
        "fruit",
        "uncommanded",
        "cost",
        "menu",
        "evening",
        "daemon",
        "one core",
        "page",
        "firmware",
        "board",
    ):
        for name, value in result[part].items():
            console.print(f"{part:11} {name:45} {value}", highlight=False)


if __name__ == "__main__":
    main()
