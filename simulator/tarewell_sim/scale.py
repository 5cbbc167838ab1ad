"""The plate on its load cell: the plate's motion, and the cell's output."""

from math import cos, exp, pi, sin, sqrt, tau
from random import Random

from .specs import CellSpec, PlatformSpec
from .tube import G_M_PER_S2


class SprungPlatform:
    """A mass on a spring with a damper, in units of the spring's force: grams-force.

    m y'' = k (f - y) - c y', with f the force and y the spring's; solved exactly for a force that is
    constant over the step (damped oscillator, mechanics textbook). Mass on the plate lowers the frequency.
    """

    def __init__(self, spec: PlatformSpec) -> None:
        self._moving_g = spec.moving_g
        self._stiffness = (tau * spec.natural_hz) ** 2 * spec.moving_g
        self._drag = 2 * spec.damping * tau * spec.natural_hz * spec.moving_g
        self._dt_s = self._load_g = -1.0
        self.spring_g = 0.0
        self.rate_g_per_s = 0.0

    def step(self, dt_s: float, force_g: float, load_g: float) -> float:
        """Advance; returns the integral of the spring's force over the step, g·s."""
        if dt_s != self._dt_s or load_g != self._load_g:
            self._prepare(dt_s, load_g)
        away, rate = self.spring_g - force_g, self.rate_g_per_s
        new_away = self._a11 * away + self._a12 * rate
        new_rate = self._a21 * away + self._a22 * rate
        self.spring_g = force_g + new_away
        self.rate_g_per_s = new_rate
        return force_g * dt_s - (new_rate - rate + self._two_sigma * (new_away - away)) / self._omega2

    def _prepare(self, dt_s: float, load_g: float) -> None:
        mass = self._moving_g + load_g
        omega2 = self._stiffness / mass
        sigma = self._drag / (2 * mass)
        damped = sqrt(omega2 - sigma * sigma)
        decay = exp(-sigma * dt_s)
        c, s = decay * cos(damped * dt_s), decay * sin(damped * dt_s) / damped
        self._a11, self._a12 = c + sigma * s, s
        self._a21, self._a22 = -omega2 * s, c - sigma * s
        self._omega2, self._two_sigma = omega2, 2 * sigma
        self._dt_s, self._load_g = dt_s, load_g

    def knock(self, impulse_n_s: float, load_g: float) -> None:
        """A short blow: its impulse becomes speed at once."""
        omega2 = self._stiffness / (self._moving_g + load_g)
        self.rate_g_per_s += 1000 * impulse_n_s * omega2 / G_M_PER_S2


class Cell:
    """From the spring's force to counts: span, zero, creep, temperature, wandering zero, overload."""

    def __init__(self, spec: CellSpec, rng: Random) -> None:
        self._rng = rng
        self._creep_share, self._creep_time_s = spec.creep_share, spec.creep_time_s
        self._wander_g_per_sqrt_h = spec.wander_g_per_sqrt_h
        self._safe_load_g, self._overload_shift_share = spec.safe_load_g, spec.overload_shift_share
        self._counts_per_g, self._zero_counts = spec.counts_per_g, spec.zero_counts
        self._span_share = 1 + spec.span_error_percent / 100
        self._span_per_k, self._zero_g_per_k = spec.span_ppm_per_k * 1e-6, spec.zero_g_per_k
        self._creep_g = 0.0
        self._wander_g = 0.0
        self._shift_g = 0.0
        self.drift_g_per_s = 0.0

    def counts(self, spring_g: float, dt_s: float, temperature_c: float) -> float:
        """The converter's input in counts, unlimited, for the mean spring force over `dt_s`.

        Creep follows the load as a first-order lag (its size within the 0.03 to 0.1 % of full scale of
        distributors' sheets); the zero wanders as a random walk and moves with temperature from 20 °C;
        beyond the maximum safe load (OIML R 76-1, T.3.1.7) a share of the excess stays as a shift.
        """
        keep = exp(-dt_s / self._creep_time_s)
        self._creep_g += (self._creep_share * spring_g - self._creep_g) * (1 - keep)
        self._wander_g += self._wander_g_per_sqrt_h * sqrt(dt_s / 3600) * self._rng.gauss(0.0, 1.0)
        self._wander_g += self.drift_g_per_s * dt_s
        excess = abs(spring_g) - self._safe_load_g
        if excess > 0.0:
            self._shift_g = max(self._shift_g, self._overload_shift_share * excess)
        warmer_k = temperature_c - 20.0
        span = self._counts_per_g * (self._span_share + self._span_per_k * warmer_k)
        zero_g = self._wander_g + self._shift_g + self._zero_g_per_k * warmer_k
        return self._zero_counts + span * (spring_g + self._creep_g + zero_g)


def swing_c(base_c: float, swing_k: float, period_h: float, now_s: float) -> float:
    """Room temperature at a time: a slow sine about its base."""
    return base_c + swing_k * sin(2 * pi * now_s / (3600 * period_h))
