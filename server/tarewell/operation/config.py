"""What the machine process is told at its start, as plain values."""

from dataclasses import dataclass

from tarewell.dosing.setup import DosingSettings
from tarewell.weighing.scale import ScaleRating


@dataclass(frozen=True, slots=True)
class MachineConfig:
    """Of all settings those that the machine works by; each as in docs/operating.md."""

    device: str
    baud: int
    database: str
    machine_id: str
    log_level: str
    scale: ScaleRating
    dosing: DosingSettings
