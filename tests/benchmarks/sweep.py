"""How well doses meet their targets on machines drawn by lot, beside three simpler ways to pour.

`python tests/benchmarks/sweep.py 2000` pours so many doses with the controller, and a quarter of that in each
of the simpler ways on the same machines; `make bench` takes 240. Half of the machine's doses are small.
"""

import json
import sys
from multiprocessing import Pool
from pathlib import Path
from random import Random
from statistics import mean, median, quantiles, stdev
from typing import Any

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "tests" / "support"), str(Path(__file__).parent)]

from simple_ways import SimplePourer  # noqa: E402

from random_machines import CLASSES, machine  # noqa: E402
from rig import LockStep  # noqa: E402
from second_plant import SecondPlant  # noqa: E402
from tarewell.dosing import events as e  # noqa: E402
from tarewell.dosing.setup import DosingSettings  # noqa: E402
from tarewell.dosing.states import PourState  # noqa: E402
from tarewell.dosing.tolerance import Verdict, permissible_deviation_g  # noqa: E402

SEED = 52_000
SMALL_G, LARGE_G = (5.0, 15.0), (15.0, 90.0)
DOSES = 10
"""A machine's doses; every third is small."""

DRIPS_S = 6.0
MAX_RESTARTS = 3


def one_dose(rig: LockStep[SecondPlant], target_g: float) -> dict[str, Any]:
    """One dose into a fresh glass, the drops of the next `DRIPS_S` included."""
    before_g = rig.machine.delivered_g[1]
    rig.begin([(1, target_g)])
    pour, restarts = rig.pour, 0
    if pour is None:
        raise RuntimeError("the pour did not begin")
    while not pour.finished:
        rig.step()
        if pour.state is PourState.HELD:
            restarts += 1
            rig.command(e.PourCommand.RESTART if restarts <= MAX_RESTARTS else e.PourCommand.STOP)
    result = rig.finish()
    (dose,) = result.doses
    at_verdict_g = rig.machine.delivered_g[1] - before_g
    rig.run_for(DRIPS_S)
    delivered_g = rig.machine.delivered_g[1] - before_g
    dripped = result.dripped
    allowed_g = permissible_deviation_g(target_g, DosingSettings().accuracy_class)
    outside = abs(delivered_g - target_g) > allowed_g
    return {
        "way": "tarewell",
        "target_g": target_g,
        "error_g": delivered_g - target_g,
        "recorded_less_true_g": dose.delivered_g - at_verdict_g,
        "over_s": dose.ended_s - dose.began_s - target_g / rig.machine.flow_g_per_s(1),
        "holds": restarts,
        "silent": outside and dose.verdict is Verdict.WITHIN,
        "doubted": "mass_in_doubt" in result.alarms,
        "judged": (dose.delivered_g - delivered_g, dose.uncertainty_g),
        "final": dripped and (dose.delivered_g + dripped.dripped_g - delivered_g, dripped.dose_uncertainty_g),
    }


def one_machine(job: tuple[str, int, bool]) -> list[dict[str, Any]]:
    """The doses of the machine of this class and seed; `compared`: also in the simpler ways."""
    name, seed, compared = job
    random = Random(seed + 1)
    targets = [
        round(random.uniform(*(SMALL_G if number % 3 == 2 else LARGE_G)), 1) for number in range(DOSES)
    ]
    rig = machine(seed, CLASSES[name])
    rows = [one_dose(rig, target_g) for target_g in targets]
    if compared:
        rig = machine(seed, CLASSES[name])
        pourer = SimplePourer(rig)
        for way in (pourer.by_time, pourer.to_target, pourer.coarse_and_fine):
            for target_g in targets:
                before_g = rig.machine.delivered_g[1]
                way(target_g)
                rig.run_for(DRIPS_S)
                error_g = rig.machine.delivered_g[1] - before_g - target_g
                rows.append({"way": way.__name__, "target_g": target_g, "error_g": error_g})
    return [{"class": name, "seed": seed, **row} for row in rows]


def pour_all(doses: int, processes: int = 2) -> list[dict[str, Any]]:
    """All doses of all machines."""
    machines = max(1, doses // DOSES // len(CLASSES))
    jobs = [
        (name, SEED + 1000 * index + number, number % 4 == 0)
        for index, name in enumerate(CLASSES)
        for number in range(machines)
    ]
    with Pool(processes) as pool:
        return [row for found in pool.imap_unordered(one_machine, jobs) for row in found]


def figures_of(rows: list[dict[str, Any]]) -> dict[str, Any]:
    """Figures of each class, way and size of doses."""
    figures: dict[str, Any] = {}
    ours = [row for row in rows if row["way"] == "tarewell"]
    figures["all, tarewell, uncertainty"] = uncertainty(ours, "judged") | uncertainty(ours, "final")
    for name in CLASSES:
        for way in ("tarewell", "by_time", "to_target", "coarse_and_fine"):
            for size, (low_g, high_g) in (("small", SMALL_G), ("", LARGE_G)):
                chosen = [
                    row
                    for row in rows
                    if row["class"] == name and row["way"] == way and low_g <= row["target_g"] < high_g
                ]
                if len(chosen) > 1:
                    figures[f"{name}, {way}{', 5 to 15 g' if size else ''}"] = summary(chosen)
    return figures


def run(doses: int = 240) -> dict[str, Any]:
    """The figures of so many doses."""
    return figures_of(pour_all(doses))


def summary(rows: list[dict[str, Any]]) -> dict[str, Any]:
    """Bias, spread and size of the errors, and, where the controller poured, of the record and the time."""
    errors = [row["error_g"] for row in rows]
    size = sorted(map(abs, errors))
    figures = {
        "doses": len(rows),
        "bias_g": round(mean(errors), 3),
        "sd_g": round(stdev(errors), 3),
        "p95_g": round(quantiles(size, n=20)[-1], 3),
        "largest_g": round(size[-1], 3),
    }
    if rows[0]["way"] == "tarewell":
        recorded = [row["recorded_less_true_g"] for row in rows]
        over = [row["over_s"] for row in rows]
        figures |= {
            "recorded_less_true_mean_g": round(mean(recorded), 3),
            "recorded_less_true_p95_g": round(quantiles(map(abs, recorded), n=20)[-1], 3),
            "over_mean_s": round(mean(over), 2),
            "over_p95_s": round(quantiles(over, n=20)[-1], 2),
            "holds": sum(row["holds"] for row in rows),
            "silently_outside": sum(row["silent"] for row in rows),
        }
        figures |= uncertainty(rows, "judged") | uncertainty(rows, "final")
    return figures


def uncertainty(rows: list[dict[str, Any]], which: str) -> dict[str, Any]:
    """How many masses lie within twice the stated uncertainty, or once, and how wide that is where the record
    doubts nothing."""
    known = [row[which] for row in rows if row[which] and row[which][1] is not None]
    sigmas = [abs(error_g) / sigma_g for error_g, sigma_g in known]
    plain = [2 * row[which][1] for row in rows if row[which] and row[which][1] and not row["doubted"]]
    return {
        f"{which}_masses": len(known),
        f"{which}_within_2u": round(mean(sigma <= 2 for sigma in sigmas), 3),
        f"{which}_within_u": round(mean(sigma <= 1 for sigma in sigmas), 3),
        f"{which}_2u_mean_g": round(mean(plain), 3),
        f"{which}_2u_median_g": round(median(plain), 3),
    }


if __name__ == "__main__":
    for title, found in run(int(sys.argv[1]) if len(sys.argv) > 1 else 240).items():
        print(f"{title:45} {json.dumps(found)}")
