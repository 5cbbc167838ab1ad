"""The configuration of the machine process, as plain values."""

from dataclasses import dataclass

from tarewell.dosing.setup import DosingSettings
from tarewell.weighing.scale import ScaleRating


@dataclass(frozen=True, slots=True)
class MachineConfig:
    """The settings that the machine uses; each as in docs/operating.md."""

    device: str
    baud: int
    database: str
    machine_id: str
    log_level: str
    scale: ScaleRating
    dosing: DosingSettings
