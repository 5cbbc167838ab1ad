"""Mass and flow from noisy readings: a straight line through the last fraction of a second.

A least-squares line evaluated at its end has no lag on a steady flow. The scatter about the line gives the
uncertainty of both, vibration and pulsation of the pump included, without being told how large they are.
Formulas: ordinary least squares for a straight line, any textbook of statistics.
"""

from collections import deque
from dataclasses import dataclass
from math import sqrt


@dataclass(frozen=True, slots=True)
class Estimate:
    """Mass on the platform and flow at the board time `t_s`, each with its standard uncertainty.

    `span_s` is the time that the readings behind it cover.
    """

    t_s: float
    mass_g: float
    flow_g_per_s: float
    mass_sigma_g: float
    flow_sigma_g_per_s: float
    span_s: float

    def at(self, t_s: float) -> float:
        """Mass in g at the board time `t_s`, if the flow stays what it is."""
        return self.mass_g + self.flow_g_per_s * (t_s - self.t_s)


class LineEstimator:
    """Fits mass = m + q t to the readings of the last `window_s`, at least `least` of them.

    `delay_s` is how far a reading lies behind the load, from the ADC's averaging; the estimate is stamped
    that much earlier, so that `Estimate.at` accounts for it.
    """

    def __init__(self, window_s: float, delay_s: float, least: int = 5) -> None:
        self._window_s = window_s
        self.delay_s = delay_s
        self._least = least
        self._readings: deque[tuple[float, float]] = deque()

    def clear(self) -> None:
        """Forget all readings, when what is measured changes its course."""
        self._readings.clear()

    def feed(self, t_s: float, mass_g: float) -> Estimate | None:
        """Take a reading stamped with board time; None while there are too few for a line."""
        readings = self._readings
        readings.append((t_s, mass_g))
        while len(readings) > self._least and readings[0][0] < t_s - self._window_s:
            readings.popleft()
        count = len(readings)
        if count < self._least:
            return None
        sum_t = sum_m = sum_tt = sum_tm = sum_mm = 0.0
        origin_g = readings[0][1]
        for time_s, value_g in readings:
            dt = time_s - t_s
            dm = value_g - origin_g
            sum_t += dt
            sum_m += dm
            sum_tt += dt * dt
            sum_tm += dt * dm
            sum_mm += dm * dm
        spread = sum_tt - sum_t * sum_t / count
        if spread <= 0.0:
            return None
        covariance = sum_tm - sum_t * sum_m / count
        slope = covariance / spread
        mean_t = sum_t / count
        end_g = origin_g + sum_m / count - slope * mean_t
        residual = max(0.0, sum_mm - sum_m * sum_m / count - slope * covariance) / (count - 2)
        return Estimate(
            t_s=t_s - self.delay_s,
            mass_g=end_g,
            flow_g_per_s=slope,
            mass_sigma_g=sqrt(residual * (1 / count + mean_t * mean_t / spread)),
            flow_sigma_g_per_s=sqrt(residual / spread),
            span_s=t_s - readings[0][0],
        )
