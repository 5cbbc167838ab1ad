"""A driver that sticks on behind the board's back, in every state of a pour and between pours, on the second
plant.

Beside a running pump a smaller flow can't be told from the pump's own, so there the time counts from when the
pump is off: the board reports it off, and what it had pumped has landed.
"""

from dataclasses import dataclass, field
from random import Random
from typing import Any

import pytest

from rig import LockStep
from second_plant import PlantBuild, PumpBuild, SecondPlant
from tarewell.dosing import events as e
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.states import PourState
from tarewell.machine.watch import Finding, FindingKind, Watch, Watched
from tarewell.weighing.scale import Scale, ScaleRating

LANDED_S = 1.0
STUCK = 2


@dataclass
class _Guard:
    """A rig whose readings all pass through a watch, as the machine does it."""

    rig: LockStep[Any]
    watch: Watch = field(default_factory=Watch)
    found: list[tuple[float, Finding]] = field(default_factory=list)
    on_s: float = 0.0
    """When a pump was last reported on."""

    def __post_init__(self) -> None:
        self._scale = Scale(self.rig.calibration, ScaleRating())
        self._seen = len(self.rig.samples)

    def step(self) -> None:
        rig = self.rig
        rig.step()
        for sample in rig.samples[self._seen :]:
            t_s = self._scale.take(sample, rig.now_s).t_s
            line = self._scale.line if self.watch.wants_line(t_s) else None
            commanded = (rig.pour and rig.pour.commanded) or (None, None)
            seen = Watched(t_s, sample.running, line, *commanded)
            self.found += [(rig.now_s, finding) for finding in self.watch.check(seen)]
            if sample.running:
                self.on_s = rig.now_s
        self._seen = len(rig.samples)

    def run_for(self, seconds: float) -> None:
        end_s = self.rig.now_s + seconds
        while self.rig.now_s < end_s:
            self.step()

    def reach(self, state: PourState) -> None:
        for _ in range(40_000):
            if self.rig.pour is not None and self.rig.pour.state is state:
                return
            self.step()
        raise TimeoutError(f"the pour never became {state}")


def _second(seed: int, size_g_per_s: float) -> tuple[LockStep[Any], Any]:
    pumps = {1: PumpBuild(8.0, 5.0), STUCK: PumpBuild(size_g_per_s, 5.0)}
    rig = LockStep(SecondPlant(PlantBuild(pumps), seed), seed)
    return rig, lambda: rig.machine.stuck.update({STUCK: 1.0})


def _bring_to(guard: _Guard, where: str, random: Random) -> None:
    rig = guard.rig
    rig.machine.bench.place_glass(mass_g=250.0)
    guard.run_for(4.0)
    if where == "idle":
        return
    rig.known[1] = InFlight(0.2, 0.15, 8.0, 1).with_share(100, 0.3)  # stops scatter: a fine feed pays
    rig.begin([(1, 45.0)], glass_g=None)
    if where == "over":
        guard.reach(PourState.COMPLETE)
        guard.run_for(2.0)
        return
    if where == "held":
        guard.reach(PourState.COARSE_FEED)
        guard.run_for(1.0)
        rig.command(e.PourCommand.HOLD)
        guard.reach(PourState.HELD)
        guard.run_for(1.0)
        return
    guard.reach(PourState(where))
    guard.run_for(random.uniform(0.0, 0.3))


PLACES = ("idle", "taring", "jog_feed", "coarse_feed", "fine_feed", "settling", "held", "over")


@pytest.mark.parametrize("where", PLACES)
def test_a_stuck_driver_is_found_wherever_it_begins(where: str) -> None:
    for seed in (71, 72, 73):
        random = Random(f"{seed} {where}")
        size_g_per_s = random.choice((0.25, 0.5, 1.0, 2.0, 4.0, 8.0))
        rig, stick = _second(seed, size_g_per_s)
        guard = _Guard(rig)
        _bring_to(guard, where, random)
        assert guard.found == []
        truth = rig.machine.truth
        began_s, before_g = rig.now_s, truth.delivered_g[STUCK]
        stick()
        while not guard.found and rig.now_s < began_s + 60:
            guard.step()
        ((found_s, finding),) = guard.found
        assert finding.kind in (FindingKind.RISING, FindingKind.EXCESS_FLOW)
        flow_g_per_s = (truth.delivered_g[STUCK] - before_g) / (found_s - began_s)
        tellable_s = max(began_s, guard.on_s + LANDED_S if guard.on_s > began_s else began_s)
        assert found_s - tellable_s <= max(3.0, 3.0 / flow_g_per_s), (seed, size_g_per_s)
