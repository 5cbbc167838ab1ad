"""A peristaltic pump: the motor's speed and the volume its rollers move."""

from math import exp, sin, tau

from .bridge import Bridge, Winding
from .specs import PumpSpec

_AT_REST = 0.002
"""Share of rated speed below which friction stops a motor that is not driven."""


class Pump:
    """Speed follows the drive as a first-order lag; volume follows the angle of the rollers.

    Positive speeds push the liquid towards the nozzle. What is driven too weakly to start stays at rest.
    """

    def __init__(self, spec: PumpSpec, bridge: Bridge) -> None:
        self._spec = spec
        self._ml_per_rev = spec.ml_per_rev
        self._roller_shake_g, self._motor_shake_g = spec.shake_g, spec.motor_shake_g
        self._motor_angle = tau * spec.gear_ratio
        self._winding = Winding(spec.resistance_ohm, spec.inductance_mh / 1000, bridge)
        self._rated = spec.rated_rpm / 60
        self._rest = _AT_REST * self._rated
        self._roller_angle = tau * spec.rollers
        self._bend = spec.ripple / self._roller_angle
        self._target = 0.0
        self._lag_s = spec.coast_s
        self._dt_s = 0.0
        self._keep = 1.0
        self._moved_rev = 0.0
        self._roller_sine = 0.0
        self.rev_per_s = 0.0
        self.turns = 0.0
        self.active = False
        """Whether it turns or is about to."""

    def drive(self, signed_share: float) -> None:
        """Set the drive, -1 (full reverse) to 1 (full forward): the duty of the bridge's pulses.

        A motor's speed goes with its emf (textbook); its load is taken as a constant torque (assumption).
        What passes no current part of the time gains speed more slowly in proportion.
        """
        spec, winding, duty = self._spec, self._winding, abs(signed_share)
        emf_v = 0.0
        if self.rev_per_s != 0.0 or winding.mean_a(duty, 0.0)[0] >= spec.breakaway_a:
            emf_v = winding.emf_v(duty, spec.running_a)
        speed = emf_v / spec.rated_emf_v * self._rated
        self._target = speed if signed_share > 0 else -speed
        self._lag_s = spec.run_up_s / winding.mean_a(duty, emf_v)[1] if speed else spec.coast_s
        self._dt_s = 0.0
        self.active = speed > 0.0 or self.rev_per_s != 0.0

    @property
    def mean_ml_per_s(self) -> float:
        """Volume rate without ripple, before the losses of tube and liquid."""
        return self.rev_per_s * self._ml_per_rev

    def step(self, dt_s: float) -> float:
        """Advance and return the volume moved, in ml, negative towards the bottle.

        Speed n' = (n_target - n) / T, solved exactly over the step.

        Flow dips as a roller leaves the tube, `rollers` times a turn; with a = ripple and N = rollers,
        dV/dangle = ml_per_rev (1 - a (0.7 cos(N angle) + 0.3 cos(2 N angle))), integrated exactly. The
        frequency, N rpm / 60, is the usual one for peristaltic pumps; the shape of the dip is an assumption.
        """
        if dt_s != self._dt_s:
            self._dt_s = dt_s
            self._keep = exp(-dt_s / self._lag_s)
        target, keep, before = self._target, self._keep, self._moved_rev
        behind = self.rev_per_s - target
        turns = self.turns = self.turns + (target * dt_s + behind * self._lag_s * (1 - keep))
        self.rev_per_s = target + behind * keep
        if target == 0.0 and abs(self.rev_per_s) < self._rest:
            self.rev_per_s, self.active = 0.0, False
        phase = self._roller_angle * turns
        sine = self._roller_sine = sin(phase)
        moved = self._moved_rev = turns - self._bend * (0.7 * sine + 0.15 * sin(2 * phase))
        return self._ml_per_rev * (moved - before)

    def shake_g(self) -> float:
        """Force on the platform in grams-force: rollers leaving the tube and the motor's imbalance.

        The imbalance of a rotor goes with its speed squared (m e omega², mechanics textbook).
        """
        share = self.rev_per_s / self._rated
        rollers = self._roller_shake_g * abs(share) * self._roller_sine
        return rollers + self._motor_shake_g * share * share * sin(self._motor_angle * self.turns)
