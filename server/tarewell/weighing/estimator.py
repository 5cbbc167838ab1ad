"""Mass and flow from noisy readings: a straight line through the last fraction of a second.

A least-squares line evaluated at its end has no lag on a steady flow. The readings are Hann-weighted, so a
platform that rings in step with the pump's rollers hardly disturbs it. The uncertainty is estimated from the
residuals by batch means, a textbook method for noise that is correlated in time, so vibration and pulsation
need not be known beforehand.
"""

from collections import deque
from dataclasses import dataclass
from math import sqrt

from .taper import hann, hann_mean

BATCHES = 5
WHITE_SHARE = 1.2
"""Compensates for the small number of batches: nine in ten errors of white noise lie within two sigmas."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """Mass on the platform and flow at the board time `t_s`, each with its standard uncertainty.

    `scatter_g` is the standard deviation of single readings about the line, `span_s` the time they cover.
    """

    t_s: float
    mass_g: float
    flow_g_per_s: float
    mass_sigma_g: float
    flow_sigma_g_per_s: float
    scatter_g: float
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
        """Forget all readings, when the measured course changes."""
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
        weights = hann(count)
        mean_t = mean_m = 0.0
        for weight, (time_s, value_g) in zip(weights, readings, strict=True):
            mean_t += weight * time_s
            mean_m += weight * value_g
        sum_tt = sum_tm = 0.0
        for weight, (time_s, value_g) in zip(weights, readings, strict=True):
            dt = time_s - mean_t
            sum_tt += weight * dt * dt
            sum_tm += weight * dt * (value_g - mean_m)
        if sum_tt <= 0.0:
            return None
        slope = sum_tm / sum_tt
        residuals = [value_g - mean_m - slope * (time_s - mean_t) for time_s, value_g in readings]
        scatter = sqrt(sum(r * r for r in residuals) / (count - 2))
        sigma_mean = _batch_sigma(residuals) if count >= 2 * BATCHES else scatter / sqrt(count)
        # Hann weights make half the readings count: both terms grow by about sqrt(1.5) and sqrt(2)
        sigma_flow = 1.4 * sigma_mean / sqrt(sum_tt)
        ahead_s = t_s - mean_t
        return Estimate(
            t_s=t_s - self.delay_s,
            mass_g=mean_m + slope * ahead_s,
            flow_g_per_s=slope,
            mass_sigma_g=sqrt(1.5 * sigma_mean**2 + (sigma_flow * ahead_s) ** 2),
            flow_sigma_g_per_s=sigma_flow,
            scatter_g=scatter,
            span_s=t_s - readings[0][0],
        )


def _batch_sigma(residuals: list[float]) -> float:
    """Standard uncertainty of the mean of correlated values, from the means of overlapping batches.

    Each batch is half the readings, Hann-weighted; what still differs between them is slow noise.
    """
    count = len(residuals)
    half = count // 2
    starts = [(count - half) * batch // (BATCHES - 1) for batch in range(BATCHES)]
    total = sum(hann_mean(residuals[start : start + half]) ** 2 for start in starts)
    return WHITE_SHARE * sqrt(total / BATCHES)
