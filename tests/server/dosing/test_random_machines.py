"""Doses on machines that nobody chose: each kind of oddity broke the controller once."""

from dataclasses import replace
from random import Random

import pytest

from random_machines import CLASSES, drawn
from rig import LockStep
from second_plant import PlantBuild, SecondPlant
from tarewell.dosing.setup import DosingSettings
from tarewell.dosing.tolerance import permissible_deviation_g

TARGETS_G = (31.0, 8.5, 62.0, 7.0)


def _fast(build: PlantBuild) -> PlantBuild:
    """A motor that hardly slows down under long pulses: the fine feed is nearly as fast as the coarse."""
    return replace(build, pumps={1: replace(build.pumps[1], stall_share=0.06)})


def _slow_converter(build: PlantBuild) -> PlantBuild:
    """Nominally ten samples a second, in truth nine."""
    return replace(build, rate_hz=10, rate_error=-0.1)


@pytest.mark.parametrize(
    ("name", "change"),
    [("15 to 25 g/s", _fast), ("6 to 10 g/s", _fast), ("2 to 6 g/s", _slow_converter)],
)
@pytest.mark.parametrize("seed", [81, 82])
def test_doses_meet_their_targets(name: str, change: object, seed: int) -> None:
    """Within 1.5 times the tolerance: what drips after the verdict comes on top."""
    assert callable(change)
    build = change(drawn(Random(seed), CLASSES[name]))
    rig = LockStep(SecondPlant(build, seed), seed)
    for target_g in TARGETS_G:
        before_g = rig.machine.delivered_g[1]
        rig.begin([(1, target_g)])
        result = rig.finish()
        assert result.ended.state == "complete"
        rig.run_for(3.0)
        error_g = rig.machine.delivered_g[1] - before_g - target_g
        assert abs(error_g) <= 1.5 * permissible_deviation_g(target_g, DosingSettings().accuracy_class)
