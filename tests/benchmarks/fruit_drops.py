"""What becomes of things that fall into the glass in mid-dose, with seeds that no test uses."""

from random import Random

from fruit import MACHINES, pour
from tarewell.dosing.setup import DosingSettings
from tarewell.dosing.tolerance import permissible_deviation_g

MASSES_G = (3.0, 5.0, 8.0, 14.0, 30.0)
HEIGHTS_M = (0.0, 0.0, 0.02, 0.08)
TAUGHT = 3


def run(doses: int = 200, seed: int = 9100) -> dict[str, str]:
    """Drop things into `doses` doses of 20 to 90 g, shared among the machines; then as many plain doses.

    A dose is silent if its liquid is beyond its tolerance by more than the recorded doubt.
    """
    figures = {}
    for number, (name, make) in enumerate(MACHINES.items()):
        random, machine = Random(seed + number), make(seed + number)
        for _ in range(TAUGHT):
            pour(machine, 60.0)
        told = doubted = silent = unfinished = false = 0
        for _ in range(doses // len(MACHINES)):
            target_g = random.uniform(20, 90)
            one = pour(machine, target_g, random.choice(MASSES_G), random.random(), random.choice(HEIGHTS_M))
            allowed_g = permissible_deviation_g(target_g, DosingSettings().accuracy_class)
            beyond_g = abs(one.liquid_g - target_g) - allowed_g
            told += one.added_g != 0
            doubted += one.added_g == 0 and one.doubt_g > 0
            silent += beyond_g > one.doubt_g
            unfinished += one.result.ended.state != "complete"
            false += bool(pour(machine, random.uniform(20, 90)).doubt_g)
        figures[name] = (
            f"of {doses // len(MACHINES)}: {told} told, {doubted} doubted, {silent} silent, "
            f"{unfinished} unfinished; {false} plain doses doubted"
        )
    return figures
