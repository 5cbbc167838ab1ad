"""Mass and flow from noisy readings: a straight line through the last fraction of a second.

A least-squares line evaluated at its end has no lag on a steady flow. The readings are Hann-weighted, so a
platform that rings in step with the pump's rollers hardly disturbs it. The uncertainty is estimated from the
residuals by batch means, a textbook method for noise that is correlated in time, so vibration and pulsation
need not be known beforehand. It costs as much as the line itself, so it is worked out when it is asked for.
"""

from functools import cache
from math import hypot, sqrt
from operator import mul

from .series import Series
from .sliding import squares_about
from .taper import hann_mean

BATCHES = 5
WHITE_SHARE = 1.2
"""Compensates for the small number of batches: nine in ten errors of white noise lie within two sigmas."""


class Estimate:
    """Mass in g and flow in g/s at the board time `t_s`, by the line through readings that cover `span_s`.

    The readings are those of `series` from index `start` to before `end`. `delay_s` is how far a reading lies
    behind the load, from the ADC's averaging; the estimate is stamped that much earlier, so that `at`
    accounts for it. A line that is asked for at every reading slides, over readings since `since_s`.
    """

    __slots__ = (
        "_end",
        "_mean_g",
        "_mean_s",
        "_series",
        "_sigma_g",
        "_since_s",
        "_start",
        "_sum_tt",
        "_sums",
        "flow_g_per_s",
        "mass_g",
        "span_s",
        "t_s",
    )

    def __init__(
        self, series: Series, start: int, end: int, delay_s: float, since_s: float | None = None
    ) -> None:
        self._series, self._start, self._end, self._since_s = series, start, end, since_s
        (mean_back_s, mean_g, sum_tt, covariance), self._sums = series.moments(start, end, since_s)
        last_s = series.times_s[end - 1]
        self._mean_g, self._sum_tt = mean_g, sum_tt
        self.flow_g_per_s = flow_g_per_s = covariance / sum_tt
        self.mass_g = mean_g - flow_g_per_s * mean_back_s
        self.t_s = last_s - delay_s
        self.span_s = last_s - series.times_s[start]
        self._mean_s = last_s + mean_back_s
        self._sigma_g: float | None = None

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
        ahead_s = self._series.times_s[self._end - 1] - self._mean_s
        return hypot(self.mean_sigma_g, self.flow_sigma_g_per_s * ahead_s)

    @property
    def mean_sigma_g(self) -> float:
        """Standard uncertainty of the mean of the readings."""
        return sqrt(1.5) * self._mean_sigma_g()

    @property
    def scatter_g(self) -> float:
        """Standard deviation of single readings about the line."""
        squares = 0.0
        if self._sums is not None:
            squares = squares_about(self._sums, self._mean_s, self._mean_g, self.flow_g_per_s)
        if not squares:
            away_g = self._away_g()
            squares = sum(map(mul, away_g, away_g))
        return sqrt(squares / (self._end - self._start - 2))

    def _away_g(self) -> list[float]:
        """How far each reading lies from the line."""
        flow_g_per_s, level_g = self.flow_g_per_s, self._mean_g - self.flow_g_per_s * self._mean_s
        times_s = self._series.times_s[self._start : self._end]
        masses_g = self._series.masses_g[self._start : self._end]
        return [
            mass_g - level_g - flow_g_per_s * time_s for time_s, mass_g in zip(times_s, masses_g, strict=True)
        ]

    def _mean_sigma_g(self) -> float:
        if self._sigma_g is None:
            count = self._end - self._start
            few = count < 2 * BATCHES
            self._sigma_g = self.scatter_g / sqrt(count) if few else self._batch_sigma_g()
        return self._sigma_g

    def _batch_sigma_g(self) -> float:
        """Standard uncertainty of the mean of correlated values, from the means of overlapping batches.

        Each batch is half the readings, Hann-weighted; what still differs between them is slow noise.
        """
        count = self._end - self._start
        half, ends = count // 2, _batch_ends(count)
        if self._since_s is not None:
            level_g = self._mean_g - self.flow_g_per_s * self._mean_s
            means = self._series.means(half)
            squares = means.squares_about(level_g, self.flow_g_per_s, self._start, ends, self._since_s)
        else:
            squares, readings_g = 0.0, self._away_g()
            for end in ends:
                away_g = hann_mean(readings_g[end - half : end])
                squares += away_g * away_g
        return WHITE_SHARE * sqrt(squares / BATCHES)


@cache
def _batch_ends(count: int) -> tuple[int, ...]:
    """The end of each batch among `count` readings."""
    half = count // 2
    return tuple((count - half) * batch // (BATCHES - 1) + half for batch in range(BATCHES))
