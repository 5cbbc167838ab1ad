"""Five machines, and a person who lets something fall into the glass while a dose runs."""

from dataclasses import dataclass
from math import sqrt
from typing import Any

from rig import LockStep, Result, Rig
from second_plant import G_M_PER_S2, PlantBuild, PumpBuild, SecondPlant
from tarewell.dosing import events as e
from tarewell.dosing.states import PourState
from tarewell_sim.scenario import load_scenario

MAX_RESTARTS = 6


@dataclass(frozen=True)
class DropRig:
    """A rig and the channel to pour from."""

    rig: LockStep[Any]
    channel: int


def theatre(channel: int, seed: int) -> DropRig:
    """The simulated theatre bar."""
    return DropRig(Rig(seed=seed), channel)


def soft(seed: int) -> DropRig:
    """The theatre bar on a soft platform that rings for long."""
    scenario = load_scenario("theatre_bar")
    platform = scenario.scale.platform.model_copy(update={"natural_hz": 11.0, "damping": 0.03})
    scale = scenario.scale.model_copy(update={"platform": platform})
    return DropRig(Rig(scenario.model_copy(update={"scale": scale}), seed=seed), 2)


def second(seed: int) -> DropRig:
    """The second plant with a slow pump."""
    return DropRig(LockStep(SecondPlant(PlantBuild({1: PumpBuild(5.0, 5.0)}), seed), seed), 1)


def slow_converter(seed: int) -> DropRig:
    """The second plant with ten samples a second."""
    build = PlantBuild({1: PumpBuild(8.0, 5.0)}, rate_hz=10)
    return DropRig(LockStep(SecondPlant(build, seed), seed), 1)


MACHINES = {
    "theatre bar": lambda seed: theatre(1, seed),
    "theatre bar, fast pump": lambda seed: theatre(5, seed),
    "soft platform": soft,
    "second plant, slow pump": second,
    "second plant, ten samples a second": slow_converter,
}


def drop(plant: Any, mass_g: float, height_m: float) -> None:
    """Let something fall into the glass: its mass stays, its momentum rings the platform."""
    impulse_n_s = mass_g / 1000 * sqrt(2 * G_M_PER_S2 * height_m)
    if isinstance(plant, SecondPlant):
        if plant.glass_g is not None:
            plant.glass_g += mass_g
        plant.knock(impulse_n_s)
        return
    glass = plant.plant.glass
    if glass is not None:
        glass.mass_g += mass_g
    plant.bench.bump(impulse_n_s)


@dataclass(frozen=True)
class Dropped:
    """One dose with something dropped into it; masses in g. `liquid_g` lay in the glass at the verdict."""

    result: Result
    liquid_g: float
    restarts: int

    @property
    def added_g(self) -> float:
        """What was recorded as added."""
        return sum(found.added_g for found in self.result.of(e.Balanced))

    @property
    def doubt_g(self) -> float:
        """What was recorded as doubt."""
        return sum(found.doubt_g for found in self.result.of(e.Balanced))


def pour(
    machine: DropRig, target_g: float, mass_g: float = 0.0, at_share: float = 0.0, height_m: float = 0.0
) -> Dropped:
    """Pour one dose; at a share of its usual time something of `mass_g` falls in; restart whenever held."""
    rig, channel = machine.rig, machine.channel
    truth = rig.machine.truth
    if hasattr(rig.machine.bench, "swap_bottle"):
        rig.machine.bench.swap_bottle(channel)
    before_g = truth.delivered_g[channel]
    result = rig.begin([(channel, target_g)])
    pour = rig.pour
    if pour is None:
        raise RuntimeError("the pour did not begin")
    rig.until(lambda: bool(result.of(e.DoseBegan)), 20)
    flow_g_per_s = (rig.known[channel].flow_g_per_s if channel in rig.known else 0.0) or 8.0
    drop_s = rig.now_s + at_share * (target_g / flow_g_per_s + 2.0)
    restarts, held_s, dropped = 0, 0.0, mass_g == 0
    while not pour.finished:
        rig.step()
        if not dropped and rig.now_s >= drop_s:
            dropped = True
            drop(rig.machine, mass_g, height_m)
        if pour.state is not PourState.HELD:
            held_s = rig.now_s
        elif rig.now_s - held_s > 3.0:
            restarts += 1
            rig.command(e.PourCommand.RESTART if restarts <= MAX_RESTARTS else e.PourCommand.STOP)
    liquid_g = truth.delivered_g[channel] - before_g
    rig.run_for(2.0)
    return Dropped(result, liquid_g, restarts)
