"""Machines drawn by lot, within what hobby builds are like (docs/simulator.md), on the second plant."""

from math import pi
from random import Random

from rig import LockStep
from second_plant import PlantBuild, PumpBuild, SecondPlant
from tarewell.weighing.calibration import two_point

CLASSES = {"2 to 6 g/s": (2.0, 6.0), "6 to 10 g/s": (6.0, 10.0), "15 to 25 g/s": (15.0, 25.0)}
"""The classes of flow, in g/s of water at full drive."""

NOZZLE_M_PER_S = (0.25, 0.8)
"""Speeds in the nozzle at full flow; from tube and pump sizes of such builds, common practice."""

REFERENCE_G, REFERENCE_ERROR = 500.0, 0.0005
"""Class M3 (OIML R 111-1:2004, Table 1; from memory)."""

REFERENCE_WAIT_S = 3.0


def drawn(random: Random, flow_g_per_s: tuple[float, float]) -> PlantBuild:
    """A machine with one pump of this class.

    The bore follows from the flow and the nozzle's speed; a pump turns slower the wider its tube.
    """
    flow = random.uniform(*flow_g_per_s)
    speed = random.uniform(*NOZZLE_M_PER_S)
    bore_mm = 1000 * (4 * flow * 1e-6 / (pi * speed)) ** 0.5
    pump = PumpBuild(
        flow,
        bore_mm,
        run_up_s=random.uniform(0.03, 0.12),
        coast_s=random.uniform(0.025, 0.1),
        stall_share=random.uniform(0.05, 0.25),
        ripple=random.uniform(0.05, 0.4),
        rollers_per_s=random.uniform(4.0, 12.0),
        max_drips=random.randint(0, 8),
        drip_spacing_s=random.uniform(0.2, 0.6),
        run_spread=0.05,
        shake_g=random.uniform(0.0, 1.0),
    )
    return PlantBuild(
        {1: pump},
        rate_hz=random.choice((10, 80, 80, 80)),
        rate_error=random.uniform(-0.1, 0.1),
        noise_g=random.uniform(0.01, 0.04),
        platform_hz=random.uniform(8.0, 20.0),
        damping=random.uniform(0.03, 0.2),
        fall_m=random.uniform(0.08, 0.25),
        counts_per_g=random.choice((-1.0, 1.0)) * random.uniform(800.0, 2200.0),
    )


def machine(seed: int, flow_g_per_s: tuple[float, float]) -> LockStep[SecondPlant]:
    """The machine of this seed under control."""
    return calibrated(drawn(Random(seed), flow_g_per_s), seed)


def calibrated(build: PlantBuild, seed: int) -> LockStep[SecondPlant]:
    """A machine under control, calibrated in one's own time with a reference mass that is not quite what it
    says."""
    rig = LockStep(SecondPlant(build, seed), seed)
    empty = rig.rest_counts()
    error = Random(f"reference {seed}").uniform(-REFERENCE_ERROR, REFERENCE_ERROR)
    rig.machine.place_glass(REFERENCE_G * (1 + error))
    rig.run_for(REFERENCE_WAIT_S)
    rig.calibration = two_point(empty, rig.rest_counts(), REFERENCE_G)
    rig.machine.lift_glass()
    rig.run_for(REFERENCE_WAIT_S)
    return rig
