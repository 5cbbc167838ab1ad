"""Which source of error costs a dose how much, on a machine in the middle of each class.

Each machine pours the same targets with all sources of error, without one of them at a time, with one alone,
and with none. What a source `explains_g` is the root of the variance that goes with it, and `alone_g` of that
which comes with it. Sources interact, so neither adds up to all. Two variances of so many doses differ by
chance, too: what explains less than `chance_g` may explain nothing.

`floor_g` is the standard deviation of what fell after the verdict. No controller that judges as early can do
better, whatever it knows. `python tests/benchmarks/error_budget.py 200` pours so many doses of each kind;
`make bench` takes 40.
"""

import json
import sys
from collections.abc import Iterable, Sequence
from dataclasses import replace
from multiprocessing import Pool
from pathlib import Path
from random import Random
from statistics import stdev
from typing import Any, TypeVar

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "tests" / "support"), str(Path(__file__).parent)]

from sweep import LARGE_G, one_dose  # noqa: E402

from random_machines import CLASSES, calibrated, drawn  # noqa: E402
from second_plant import PlantBuild  # noqa: E402

T = TypeVar("T")

SEED = 61_000
TAUGHT = 5
"""Doses that teach the channel first, and count nowhere."""

WITHOUT: dict[str, tuple[dict[str, float], dict[str, float]]] = {
    "late drips": ({}, {"max_drips": 0}),
    "pulsation": ({}, {"ripple": 0.0}),
    "shake of the pump": ({}, {"shake_g": 0.0}),
    "ringing": ({"damping": 0.7}, {}),
    "noise": ({"noise_g": 0.001}, {}),
    "flow from run to run": ({}, {"run_spread": 0.0}),
    "run-up and coast": ({}, {"run_up_s": 0.005, "coast_s": 0.005}),
}
"""For each source what the machine has instead: fields of the plant, and of its pump."""


class Midway(Random):
    """Draws the middle of everything."""

    def uniform(self, a: float, b: float) -> float:
        return (a + b) / 2

    def randint(self, a: int, b: int) -> int:
        return (a + b) // 2

    def choice(self, seq: Sequence[T]) -> T:  # type: ignore[override]
        return seq[len(seq) // 2]


def machine_without(name: str, sources: Iterable[str]) -> PlantBuild:
    """The machine in the middle of a class, with all sources of error but these."""
    build = drawn(Midway(), CLASSES[name])
    for source in sources:
        plant, pump = WITHOUT[source]
        pumps = {1: replace(build.pumps[1], **pump)}  # type: ignore[arg-type]
        build = replace(build, pumps=pumps, **plant)  # type: ignore[arg-type]
    return build


def pour(job: tuple[str, frozenset[str], int]) -> list[dict[str, Any]]:
    """So many doses on the machine of this class without these sources."""
    name, sources, doses = job
    random = Random(SEED)
    rig = calibrated(machine_without(name, sources), SEED)
    return [one_dose(rig, round(random.uniform(*LARGE_G), 1)) for _ in range(TAUGHT + doses)][TAUGHT:]


def run(doses: int = 40, processes: int = 2) -> dict[str, dict[str, float]]:
    """The budget of each class, as standard deviations in g."""
    every = frozenset(WITHOUT)
    less = [frozenset(), every, *(every & {s} for s in WITHOUT), *(every - {s} for s in WITHOUT)]
    jobs = [(name, sources, doses) for name in CLASSES for sources in less]
    with Pool(processes) as pool:
        poured = dict(zip(jobs, pool.imap(pour, jobs), strict=True))
    budgets: dict[str, dict[str, float]] = {}
    for name in CLASSES:
        sd_g = {sources: stdev(row["error_g"] for row in poured[name, sources, doses]) for sources in less}
        all_g, none_g, rows = sd_g[less[0]], sd_g[every], poured[name, less[0], doses]
        budgets[f"{name}, all"] = {
            "sd_g": all_g,
            "floor_g": stdev(row["recorded_less_true_g"] - row["judged"][0] for row in rows),
            # two standard errors of the difference of two equal variances, each sqrt(2 / (n - 1)) of itself
            "chance_g": 2 * all_g / (doses - 1) ** 0.25,
        }
        for source in WITHOUT:
            budgets[f"{name}, {source}"] = {
                "explains_g": max(0.0, all_g**2 - sd_g[every & {source}] ** 2) ** 0.5,
                "alone_g": max(0.0, sd_g[every - {source}] ** 2 - none_g**2) ** 0.5,
            }
        budgets[f"{name}, none"] = {"sd_g": none_g}
    return {title: {part: round(g, 3) for part, g in budget.items()} for title, budget in budgets.items()}


if __name__ == "__main__":
    for title, found in run(int(sys.argv[1]) if len(sys.argv) > 1 else 40).items():
        print(f"{title:45} {json.dumps(found)}")
