"""A running bar over each of three boards, and tests that play a scene with all of them.

The machine process but for its sockets, in simulated time: over the simulator; over the simulator's physics
with the real firmware on an emulated chip; over the second plant, with physics and a board of its own.
"""

from collections.abc import Callable, Coroutine
from contextlib import AbstractAsyncContextManager
from inspect import Parameter, Signature, signature
from pathlib import Path
from typing import Any, cast

import pytest

from avr_desk import require_avr
from second_plant import PlantBuild, PumpBuild, SecondPlant
from stepped_bar import TAUGHT, Bar, bar
from stepped_loop import run_stepped
from tarewell.dosing.inflight import InFlight
from tarewell.weighing.calibration import Calibration
from tarewell_avr.machine import EmulatedMachine
from tarewell_sim.machine import SimulatedMachine
from tarewell_sim.scenario import load_scenario

SECOND = PlantBuild({1: PumpBuild(8.0, 5.0), 2: PumpBuild(8.0, 5.0)})
SECOND_TAUGHT = InFlight(lag_s=0.07, spread_s=0.05, flow_g_per_s=7.8, count=3)
SECOND_CALIBRATION = Calibration(-40_000.0, 1900.0)


def _second_plant(seed: int) -> SimulatedMachine:
    return cast(SimulatedMachine, SecondPlant(SECOND, seed))  # hands and truth go by the same names


def simulated(folder: Path) -> AbstractAsyncContextManager[Bar]:
    """A bar over the simulator."""
    return bar(folder, taught=TAUGHT)


def emulated(folder: Path) -> AbstractAsyncContextManager[Bar]:
    """A bar over the real firmware; skips the test where its tools are missing."""
    require_avr()
    return bar(folder, taught=TAUGHT, make=lambda seed: EmulatedMachine(load_scenario("theatre_bar"), seed))


def second(folder: Path) -> AbstractAsyncContextManager[Bar]:
    """A bar over the second plant."""
    return bar(folder, taught=SECOND_TAUGHT, make=_second_plant, calibration=SECOND_CALIBRATION)


BOARDS = {"simulated": simulated, "emulated": emulated, "second": second}
Scene = Callable[..., Coroutine[Any, Any, None]]


def played(scene: Scene) -> Callable[..., None]:
    """The test that plays a scene, whose first argument is the bar, with each of the boards."""

    def test(board: str, tmp_path: Path, **args: Any) -> None:
        async def main() -> None:
            async with BOARDS[board](tmp_path) as place:
                await place.ready()
                await scene(place, **args)

        run_stepped(main)

    own = [Parameter(name, Parameter.KEYWORD_ONLY) for name in ("board", "tmp_path")]
    scenes = list(signature(scene).parameters.values())[1:]
    wanted = [parameter.replace(kind=Parameter.KEYWORD_ONLY) for parameter in scenes]
    cast(Any, test).scene = scene
    cast(Any, test).__signature__ = Signature([*own, *wanted])
    return cast(Callable[..., None], pytest.mark.parametrize("board", BOARDS)(test))
