"""What the machine is told once, before anything happens: its settings, and what earlier runs left."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from tarewell.dosing.inflight import InFlight
from tarewell.dosing.maintenance import TubeState
from tarewell.dosing.setup import DosingSettings
from tarewell.dosing.uncertainty import SeenDrips
from tarewell.weighing.calibration import Calibration
from tarewell.weighing.scale import ScaleRating

from .alarms import ChannelLabel
from .found_later import Unweighed


@dataclass(frozen=True, slots=True)
class MachineConfig:
    """The settings that the machine process uses; each as in docs/operating.md."""

    device: str
    baud: int
    database: str
    machine_id: str
    log_level: str
    scale: ScaleRating
    dosing: DosingSettings


@dataclass(frozen=True, slots=True)
class Known:
    """What the records hold. `adjusted_zero_counts` is the zero of the last calibration by two points;
    `latched` tells that an emergency stop was never released; with `cleared` False a glass with a drink may
    still be on the platform. `unweighed` is the last pour, if it was cut short and nobody has weighed since
    what it left."""

    calibration: Calibration | None = None
    adjusted_zero_counts: float | None = None
    inflight: Mapping[tuple[int, str], InFlight] = field(default_factory=dict)
    tubes: Mapping[int, TubeState] = field(default_factory=dict)
    labels: Mapping[int, ChannelLabel] = field(default_factory=dict)
    latched: bool = False
    cleared: bool = True
    unweighed: Unweighed | None = None
    drips: Mapping[tuple[int, str], SeenDrips] = field(default_factory=dict)
