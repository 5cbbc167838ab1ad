"""How doses end on machines that are worse than any that is drawn by lot, one oddity at a time.

`python tests/benchmarks/odd_machines.py 6` takes so many machines of each kind and class of flow.
"""

import json
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import Any

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "tests" / "support"), str(Path(__file__).parent)]

from sweep import DOSES, LARGE_G, SMALL_G, one_dose, summary  # noqa: E402

from random_machines import CLASSES, calibrated, drawn  # noqa: E402
from second_plant import PlantBuild  # noqa: E402

SEED = 83_000


def _pump(build: PlantBuild, **changes: Any) -> PlantBuild:
    return replace(build, pumps={number: replace(pump, **changes) for number, pump in build.pumps.items()})


ODD: dict[str, Callable[[PlantBuild], PlantBuild]] = {
    "bubbles in the tube": lambda build: _pump(build, bubble_every_s=3.0),
    "a thread after the stop": lambda build: _pump(build, thread_g=0.35),
    "a slow motor": lambda build: _pump(build, run_up_s=0.25, coast_s=0.2),
    "a table that hums": lambda build: replace(build, hum_g=0.3, hum_hz=23.7),
    "a slow filter": lambda build: replace(build, filter_conversions=9),
    "a loose platform": lambda build: replace(build, platform_hz=6.5, damping=0.015),
    "a noisy cell": lambda build: replace(build, noise_g=0.12),
}


def poured(name: str, seed: int, flow_g_per_s: tuple[float, float]) -> list[dict[str, Any]]:
    """The doses of one machine, every third a small one."""
    random, rig = Random(seed + 1), calibrated(ODD[name](drawn(Random(seed), flow_g_per_s)), seed)
    sizes = [SMALL_G if number % 3 == 2 else LARGE_G for number in range(DOSES)]
    return [one_dose(rig, round(random.uniform(*size), 1)) for size in sizes]


def run(machines: int = 2) -> dict[str, Any]:
    """The figures of each oddity and class of flow."""
    return {
        f"{name}, {of_class}": summary(
            [row for number in range(machines) for row in poured(name, SEED + 7 * number, flow)]
        )
        for name in ODD
        for of_class, flow in CLASSES.items()
    }


if __name__ == "__main__":
    for title, found in run(int(sys.argv[1]) if len(sys.argv) > 1 else 2).items():
        print(f"{title:45} {json.dumps(found)}")
