"""How soon liquid is told that nobody commanded, with seeds that no test uses."""

import tempfile
from collections import defaultdict
from functools import partial
from pathlib import Path
from random import Random

import uncommanded
from stepped_loop import run_stepped

SMALLEST_G_PER_S, LARGEST_G_PER_S = 0.2, 20.0


def run(begins: int = 200, seed: int = 9200) -> dict[str, str]:
    """Begin a flow `begins` times, in every state in turn: a reported pump, or a flow of random size behind
    the board's back.

    A flow is safe if it is told within 3 s or 3 g, whichever is later, latched, and keeps the next pour away.
    Beside a commanded pump the time counts from when that pump's liquid has landed.
    """
    random, found = Random(seed), defaultdict[str, list[uncommanded.Found]](list)
    kinds = [*((where, True) for where in uncommanded.REPORTED), *((w, False) for w in uncommanded.STUCK_ON)]
    with tempfile.TemporaryDirectory() as folder:
        for number in range(begins):
            where, is_reported = kinds[number % len(kinds)]
            share = LARGEST_G_PER_S / SMALLEST_G_PER_S
            flow_g_per_s = None if is_reported else SMALLEST_G_PER_S * share ** random.random()
            path = Path(folder) / str(number)
            path.mkdir()
            one = partial(uncommanded.begin, path, where, flow_g_per_s, random.randrange(1 << 30))
            found[f"{where}, {'reported' if is_reported else 'stuck'}"].append(run_stepped(one))
    every = [one for ones in found.values() for one in ones]
    return {"all": _figures(every)} | {where: _figures(ones) for where, ones in found.items()}


def _figures(ones: list[uncommanded.Found]) -> str:
    shares = [(one.told_s - one.pump_off_s) / one.allowed_s for one in ones if one.told_s is not None]
    at_once = sum(one.told_s is not None and one.told_s <= one.allowed_s for one in ones)
    return (
        f"of {len(ones)}: {sum(one.is_safe for one in ones)} safe, {at_once} of them in time from the very "
        f"beginning; slowest {max(shares, default=0.0):.2f} of the time allowed"
    )
