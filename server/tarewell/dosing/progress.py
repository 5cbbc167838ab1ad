"""A pour at a glance."""

from dataclasses import dataclass

from .alarms import Alarm
from .states import PourState


@dataclass(frozen=True, slots=True)
class PourProgress:
    """Masses in g. `delivered_g` has one entry for each dose begun, `targets_g` one for
    each dose, as it stands now."""

    state: PourState
    dose: int | None
    delivered_g: tuple[float, ...]
    glass_g: float | None
    alarm: Alarm | None
    targets_g: tuple[float, ...] = ()
