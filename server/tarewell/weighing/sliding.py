"""The Hann-weighted moments of a window of readings, from those of the window one reading earlier.

Hann weights are a constant less one turn of a cosine, so each moment is a plain sum less a sum turned by
phases. As the window slides by a reading, a plain sum loses the oldest and gains the newest; the other one
does too, and all of it turns by a step (the sliding Fourier transform: E. Jacobsen, R. Lyons, IEEE Signal
Process. Mag. 20 (2003) 74; from memory).

So that rounding cannot add up, the sums begin anew with every second of the board's clock, with times and
masses counted from the last reading before. No sum holds a reading from before `since_s`. So what they give
depends on the readings since then alone, whoever asked for what before.
"""

from bisect import bisect_left
from cmath import exp
from collections.abc import Iterable, Sequence
from functools import cache
from math import nan, pi
from operator import mul

from .taper import hann

ANEW_S = 1.0

SHOWS = 1e-6
"""Below this share of the sums that it is a difference of, a difference shows their rounding."""

Moments = tuple[float, float, float, float]
"""Mean time in s, less that of the last reading, and mean mass in g; variance of the times in s², and their
covariance with the masses in g s. All are weighted."""

PlainSums = tuple[int, float, float, float, float, float, float, float, float]
"""Without weights: the number of readings; the time in s and mass in g that are taken off each; the sums of
times, of masses, of the times' squares, of the products of both, of the masses' squares; the most that the
last was since the sums began."""


def moments(times_s: Sequence[float], masses_g: Sequence[float]) -> Moments:
    """The moments of these readings."""
    last_s = times_s[-1]
    weights = hann(len(times_s))
    back_s = [time_s - last_s for time_s in times_s]
    weighted_s = list(map(mul, weights, back_s))
    mean_s: float = sum(weighted_s)
    mean_g: float = sum(map(mul, weights, masses_g))
    variance: float = sum(map(mul, weighted_s, back_s)) - mean_s**2
    covariance: float = sum(map(mul, weighted_s, masses_g)) - mean_s * mean_g
    return mean_s, mean_g, variance, covariance


def squares_about(sums: PlainSums, at_s: float, at_g: float, flow_g_per_s: float) -> float:
    """The sum of the squared distances in g from the line through a point; 0 where rounding would show."""
    count, from_s, from_g, s, g, ss, sg, gg, most = sums
    s_at, g_at = at_s - from_s, at_g - from_g
    across = sg - s_at * g - g_at * s + count * s_at * g_at
    along = ss - 2 * s_at * s + count * s_at * s_at
    squares = gg - 2 * g_at * g + count * g_at * g_at - flow_g_per_s * (2 * across - flow_g_per_s * along)
    return squares if squares > SHOWS * most else 0.0


class SlidingMoments:
    """The moments of a window of `count` readings, which slides over one series."""

    def __init__(self, times_s: Sequence[float], masses_g: Sequence[float], count: int) -> None:
        self._times_s, self._masses_g, self._count = times_s, masses_g, count
        self._step, self._half_back = _turns(count)
        self._end = -1
        self._second = self._since_s = nan
        self._sums: PlainSums = (count, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
        self._turned = 4 * (0j,)

    def until(self, end: int, since_s: float) -> tuple[Moments, PlainSums]:
        """The moments and sums of the readings before index `end`, of which `count` came since `since_s`."""
        times_s, masses_g, count = self._times_s, self._masses_g, self._count
        last_s = times_s[end - 1]
        second = last_s // ANEW_S
        if second != self._second or since_s != self._since_s or end < self._end:
            self._second, self._since_s = second, since_s
            self._begin(_begin_at(times_s, end, count, since_s))
        step, half_back = self._step, self._half_back
        _, from_s, from_g, s, g, ss, sg, gg, most = self._sums
        turned_s, turned_g, turned_ss, turned_sg = self._turned
        for new in range(self._end, end):
            old = new - count
            new_s, new_g = times_s[new] - from_s, masses_g[new] - from_g
            old_s, old_g = times_s[old] - from_s, masses_g[old] - from_g
            by_s, by_g = new_s - old_s, new_g - old_g
            by_ss, by_sg = new_s * new_s - old_s * old_s, new_s * new_g - old_s * old_g
            s, turned_s = s + by_s, (turned_s + by_s) * step
            g, turned_g = g + by_g, (turned_g + by_g) * step
            ss, turned_ss = ss + by_ss, (turned_ss + by_ss) * step
            sg, turned_sg = sg + by_sg, (turned_sg + by_sg) * step
            gg += new_g * new_g - old_g * old_g
            if gg > most:
                most = gg
        self._end, self._turned = end, (turned_s, turned_g, turned_ss, turned_sg)
        sums = self._sums = (count, from_s, from_g, s, g, ss, sg, gg, most)
        mean_s = (s - (turned_s * half_back).real) / count
        mean_g = (g - (turned_g * half_back).real) / count
        variance = (ss - (turned_ss * half_back).real) / count - mean_s * mean_s
        covariance = (sg - (turned_sg * half_back).real) / count - mean_s * mean_g
        return (from_s + mean_s - last_s, from_g + mean_g, variance, covariance), sums

    def _begin(self, end: int) -> None:
        from_s, from_g = self._times_s[end - 1], self._masses_g[end - 1]
        s = [time_s - from_s for time_s in self._times_s[end - self._count : end]]
        g = [mass_g - from_g for mass_g in self._masses_g[end - self._count : end]]
        ss, sg, gg = list(map(mul, s, s)), list(map(mul, s, g)), sum(map(mul, g, g))
        phases = _phases(self._count)
        self._sums = (self._count, from_s, from_g, sum(s), sum(g), sum(ss), sum(sg), gg, gg)
        self._turned = _sum(phases, s), _sum(phases, g), _sum(phases, ss), _sum(phases, sg)
        self._end = end


class SlidingMeans:
    """The mean time in s and mass in g of every `count` readings of one series."""

    def __init__(self, times_s: Sequence[float], masses_g: Sequence[float], count: int) -> None:
        self._times_s, self._masses_g, self._count = times_s, masses_g, count
        self._step, self._half_back = _turns(count)
        self._end = -1
        self._second = self._since_s = nan
        self._from_s = self._from_g = 0.0
        self._s = self._g = 0.0
        self._turned_s = self._turned_g = 0j
        self._kept: dict[int, tuple[float, float]] = {}

    def squares_about(
        self, level_g: float, flow_g_per_s: float, start: int, ends: Iterable[int], since_s: float
    ) -> float:
        """The sum of the squared distances in g of some means from the line with this level in g at the time
        0: those of the readings before each index that lies so far from `start`, since `since_s`."""
        kept, squares = self._kept, 0.0
        if since_s != self._since_s:
            kept.clear()
            self._second, self._since_s = nan, since_s
        for end in ends:
            mean = kept.get(start + end)
            if mean is None:
                mean = kept[start + end] = self._slide(start + end)
            away_g = mean[1] - level_g - flow_g_per_s * mean[0]
            squares += away_g * away_g
        return squares

    def _slide(self, end: int) -> tuple[float, float]:
        times_s, masses_g, count = self._times_s, self._masses_g, self._count
        second = times_s[end - 1] // ANEW_S
        if second != self._second or end < self._end:
            self._second = second
            self._begin(_begin_at(times_s, end, count, self._since_s))
        step, half_back = self._step, self._half_back
        s, g, turned_s, turned_g = self._s, self._g, self._turned_s, self._turned_g
        for new in range(self._end, end):
            by_s, by_g = times_s[new] - times_s[new - count], masses_g[new] - masses_g[new - count]
            s, turned_s = s + by_s, (turned_s + by_s) * step
            g, turned_g = g + by_g, (turned_g + by_g) * step
        self._s, self._g, self._turned_s, self._turned_g, self._end = s, g, turned_s, turned_g, end
        mean_s = self._from_s + (s - (turned_s * half_back).real) / count
        return mean_s, self._from_g + (g - (turned_g * half_back).real) / count

    def _begin(self, end: int) -> None:
        from_s, from_g = self._from_s, self._from_g = self._times_s[end - 1], self._masses_g[end - 1]
        s = [time_s - from_s for time_s in self._times_s[end - self._count : end]]
        g = [mass_g - from_g for mass_g in self._masses_g[end - self._count : end]]
        phases = _phases(self._count)
        self._s, self._g, self._turned_s, self._turned_g = sum(s), sum(g), _sum(phases, s), _sum(phases, g)
        self._end = end


def _begin_at(times_s: Sequence[float], end: int, count: int, since_s: float) -> int:
    """The index before which lie the readings that the sums begin with, on the way to `end`."""
    begin = bisect_left(times_s, times_s[end - 1] // ANEW_S * ANEW_S, 0, end)
    if begin < count or times_s[begin - count] < since_s:
        return bisect_left(times_s, since_s, 0, end) + count
    return begin


def _turns(count: int) -> tuple[complex, complex]:
    """The turn by one reading, and that by half a reading back."""
    return exp(2j * pi / count), exp(-1j * pi / count)


@cache
def _phases(count: int) -> tuple[complex, ...]:
    return tuple(exp(-2j * pi * index / count) for index in range(count))


def _sum(phases: Sequence[complex], values: Sequence[float]) -> complex:
    return sum(map(mul, phases, values), 0j)
