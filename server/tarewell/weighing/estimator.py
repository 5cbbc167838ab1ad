"""Mass and flow from noisy readings: a straight line through the last fraction of a second.

A least-squares line evaluated at its end has no lag on a steady flow. The readings are Hann-weighted, so a
platform that rings in step with the pump's rollers hardly disturbs it. The uncertainty is estimated from the
residuals by batch means, a textbook method for noise that is correlated in time, so vibration and pulsation
need not be known beforehand. It costs as much as the line itself, so it is worked out when it is asked for.
"""

from collections.abc import Sequence
from functools import cache
from math import sqrt
from operator import mul
from typing import Any

from .taper import hann, hann_mean

BATCHES = 5
WHITE_SHARE = 1.2
"""Compensates for the small number of batches: nine in ten errors of white noise lie within two sigmas."""


BatchMeans = dict[tuple[float, int], tuple[float, float]]
"""Mean time in s and mean mass in g of a batch, by the time of its last reading and its length. Windows that
overlap share most of their batches, so each mean is worked out once."""


class Estimate:
    """Mass in g and flow in g/s at the board time `t_s`, from readings that cover `span_s`."""

    __slots__ = (
        "_masses_g",
        "_mean_g",
        "_mean_s",
        "_means",
        "_sigma_g",
        "_sum_tt",
        "_times_s",
        "flow_g_per_s",
        "mass_g",
        "span_s",
        "t_s",
    )

    def __init__(
        self, times_s: Sequence[float], masses_g: Sequence[float], delay_s: float, means: BatchMeans
    ) -> None:
        last_s = times_s[-1]
        weights = hann(len(times_s))
        back_s = [time_s - last_s for time_s in times_s]
        weighted_s = list(map(mul, weights, back_s))
        mean_back_s = sum(weighted_s)
        mean_g: float = sum(map(mul, weights, masses_g))
        self._sum_tt: float = sum(map(mul, weighted_s, back_s)) - mean_back_s**2
        sum_tm: float = sum(map(mul, weighted_s, masses_g)) - mean_back_s * mean_g
        self.flow_g_per_s: float = sum_tm / self._sum_tt
        self.mass_g: float = mean_g - self.flow_g_per_s * mean_back_s
        self.t_s = last_s - delay_s
        self.span_s = -back_s[0]
        self._times_s, self._masses_g = times_s, masses_g
        self._mean_s, self._mean_g = last_s + mean_back_s, mean_g
        self._means: BatchMeans = means
        self._sigma_g: float | None = None

    def __getstate__(self) -> dict[str, Any]:
        """Without the means, which can be worked out again."""
        return {name: getattr(self, name) for name in self.__slots__ if name != "_means"}

    def __setstate__(self, state: dict[str, Any]) -> None:
        for name, value in state.items():
            setattr(self, name, value)
        self._means = {}

    def at(self, t_s: float) -> float:
        """Mass in g at the board time `t_s`, if the flow stays what it is."""
        return self.mass_g + self.flow_g_per_s * (t_s - self.t_s)

    @property
    def flow_sigma_g_per_s(self) -> float:
        """Standard uncertainty of the flow."""
        # Hann weights make half the readings count: it grows by about sqrt(2), that of the mean by sqrt(1.5)
        return 1.4 * self._mean_sigma_g() / sqrt(self._sum_tt)

    @property
    def mass_sigma_g(self) -> float:
        """Standard uncertainty of the mass."""
        ahead_s = self._times_s[-1] - self._mean_s
        return sqrt(1.5 * self._mean_sigma_g() ** 2 + (self.flow_sigma_g_per_s * ahead_s) ** 2)

    @property
    def scatter_g(self) -> float:
        """Standard deviation of single readings about the line."""
        readings = zip(self._times_s, self._masses_g, strict=True)
        residuals = [
            mass_g - self._mean_g - self.flow_g_per_s * (time_s - self._mean_s) for time_s, mass_g in readings
        ]
        return sqrt(sum(r * r for r in residuals) / (len(residuals) - 2))

    def _mean_sigma_g(self) -> float:
        if self._sigma_g is None:
            count = len(self._times_s)
            few = count < 2 * BATCHES
            self._sigma_g = self.scatter_g / sqrt(count) if few else self._batch_sigma_g()
        return self._sigma_g

    def _batch_sigma_g(self) -> float:
        """Standard uncertainty of the mean of correlated values, from the means of overlapping batches.

        Each batch is half the readings, Hann-weighted; what still differs between them is slow noise.
        """
        times_s, means, flow_g_per_s = self._times_s, self._means, self.flow_g_per_s
        level_g = self._mean_g - flow_g_per_s * self._mean_s
        total = 0.0
        for start, end in _batches(len(times_s)):
            key = times_s[end - 1], end - start
            if key in means:
                mean_s, mean_g = means[key]
            else:
                mean_s, mean_g = hann_mean(times_s[start:end]), hann_mean(self._masses_g[start:end])
                means[key] = mean_s, mean_g
            total += (mean_g - level_g - flow_g_per_s * mean_s) ** 2
        return WHITE_SHARE * sqrt(total / BATCHES)


@cache
def _batches(count: int) -> list[tuple[int, int]]:
    """Begin and end of each batch among `count` readings."""
    half = count // 2
    starts = [(count - half) * batch // (BATCHES - 1) for batch in range(BATCHES)]
    return [(start, start + half) for start in starts]


def fit(
    times_s: Sequence[float], masses_g: Sequence[float], delay_s: float = 0.0, means: BatchMeans | None = None
) -> Estimate | None:
    """The line through at least three readings; None where their times do not differ.

    `delay_s` is how far a reading lies behind the load, from the ADC's averaging; the estimate is stamped
    that much earlier, so that `Estimate.at` accounts for it. `means` are kept from one line through a
    series of readings to the next.
    """
    if times_s[0] == times_s[-1]:
        return None
    return Estimate(times_s, masses_g, delay_s, {} if means is None else means)
