"""How near the board comes to breaking each of its promises, and whether every mutant of its source dies."""

import json
import sys
import tempfile
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "tests" / "support"), str(ROOT / "simulator" / "avr")]

from tarewell_avr.building import missing  # noqa: E402

PHASES = 200
BUILDS = {"make": False, "sketch": True}
SKETCH_CORE = Path("/usr/share/arduino/hardware/arduino/avr/cores/arduino/main.cpp")


def run(phases: int = PHASES, tell: Callable[[str], None] = lambda _: None) -> dict[str, Any]:
    """The worst figure of each promise and build, and the mutants that live; what is missing to find out."""
    if lacking := missing():
        return {"left_out": lacking}
    from last_defence import PROMISES
    from mutants import MUTANTS

    builds = BUILDS if SKETCH_CORE.exists() else {"make": False}
    result: dict[str, Any] = {"phases": phases}
    for promise in PROMISES:
        for build, sketch in builds.items():
            worst = max(promise.figures(promise.elf(sketch), phases))
            result[f"{promise.name}, {build}"] = f"{worst:.2f} of {promise.worst:g}"
            tell(f"{promise.name}, {build}: {worst:.2f} of {promise.worst:g}")
    result["mutants"] = len(MUTANTS)
    with tempfile.TemporaryDirectory() as folder:
        lives = [
            f"{mutant.file}: {mutant.promise}"
            for n, mutant in enumerate(MUTANTS)
            if mutant.lives(Path(folder) / str(n))
        ]
    result["mutants that live"] = lives
    return result


if __name__ == "__main__":
    path = ROOT / "build" / "bench.json"
    before = json.loads(path.read_text("utf-8")) if path.exists() else {}
    found = run(tell=partial(print, flush=True))
    path.write_text(json.dumps(before | {"board": found}, indent=2) + "\n", "utf-8")
    print("mutants that live:", found.get("mutants that live"))
