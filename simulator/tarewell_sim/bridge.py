"""The mean current of a direct-current motor behind a full bridge whose enable is pulsed.

In each pulse the supply less the bridge's drop drives the current up against the motor's own voltage, its
emf. In the pause the current falls through diodes, into the supply (fast decay) or round the motor (slow
decay), until it is zero or the next pulse begins: discontinuous or continuous conduction. Both are
exponentials of L / R (resistance and inductance, textbook); the emf is taken as steady within a period.
Torque goes with the mean current, so the motor settles at the emf where that carries the load.
"""

from dataclasses import dataclass
from math import exp, log
from typing import Self

from .specs import RoomSpec


@dataclass(frozen=True, slots=True)
class Bridge:
    """Drives the current by `on_v` in the pulses, opposes it by `off_v` in the pauses."""

    on_v: float
    off_v: float
    pwm_hz: float

    @classmethod
    def of(cls, room: RoomSpec) -> Self:
        """The bridge of a machine. In fast decay two diodes lead into the supply; in slow decay one of them
        and one of the two switches, which have equal shares of the drop, lead round the motor."""
        on_v = max(0.0, room.supply_v - room.bridge_drop_v)
        fast_v = room.supply_v + 2 * room.diode_v
        slow_v = room.bridge_drop_v / 2 + room.diode_v
        return cls(on_v, fast_v if room.decay == "fast" else slow_v, room.pwm_hz)


@dataclass(frozen=True, slots=True)
class Winding:
    """A motor's winding behind a bridge."""

    resistance_ohm: float
    inductance_h: float
    bridge: Bridge

    def mean_a(self, duty: float, emf_v: float) -> tuple[float, float]:
        """Mean current in A, and the share of the time in which any flows; duty 0 to 1, emf 0 or more."""
        bridge, tau_s = self.bridge, self.inductance_h / self.resistance_ohm
        rise_a = (bridge.on_v - emf_v) / self.resistance_ohm  # where it tends in a pulse,
        fall_a = (bridge.off_v + emf_v) / self.resistance_ohm  # and how far below zero in a pause
        if duty <= 0.0 or rise_a <= 0.0:
            return 0.0, 0.0
        peak_a = rise_a * (1 - exp(-duty / bridge.pwm_hz / tau_s))
        flows = min(1 - duty, bridge.pwm_hz * tau_s * log(1 + peak_a / fall_a) if fall_a else 1.0)
        return duty * rise_a - flows * fall_a, duty + flows

    def emf_v(self, duty: float, load_a: float) -> float:
        """The emf in V at which the mean current is `load_a`; 0 if there is none."""
        low_v, high_v = 0.0, self.bridge.on_v
        for _ in range(40):
            middle_v = (low_v + high_v) / 2
            if self.mean_a(duty, middle_v)[0] >= load_a:
                low_v = middle_v
            else:
                high_v = middle_v
        return low_v
