"""The readings of the last seconds: one store, asked over any window."""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from math import inf
from operator import sub

from .estimator import Estimate
from .ringing import FEWEST_OF_FIT, MOST_OF_FIT, STEP, RingingLevel, level_of
from .series import Series
from .stability import FEWEST, PARTS, Rest, rest_of
from .taper import hann_mean

GAP_S = 0.25
"""Where no reading came for longer, no rest is found across the gap."""

KEPT_S = 15.0
"""Longer than any window."""

WHOLE_SHARE = 0.85
"""Readings must cover this share of the window that a rest is asked for."""

FEWEST_OF_LINE = 5

LOST_PERIODS = 1.5
"""A reading is missing where two lie further apart than this."""


class RecentReadings:
    """Board times in s and masses in g, oldest first.

    A window ends at the reading stamped `until_s` and never reaches back before `since_s`. Where readings
    were lost it is longer, until it holds `least` of them.
    """

    def __init__(self) -> None:
        self._unbroken_s: list[float] = []
        """For each reading, since when there is no gap before it."""
        self._full = 1000
        self._keep(Series())

    def _keep(self, series: Series) -> None:
        """Go on with other readings; lines through the former ones keep those."""
        self._series = series
        self._rest_means_g: dict[tuple[int, int], float] = {}

    def __getstate__(self) -> tuple[Series, list[float], int]:
        """Without the means, which can be worked out again."""
        return self._series, self._unbroken_s, self._full

    def __setstate__(self, state: tuple[Series, list[float], int]) -> None:
        series, self._unbroken_s, self._full = state
        self._keep(series)

    def add(self, t_s: float, mass_g: float) -> None:
        """Add the next reading. A time before the last one's is a clock that started over; so does this."""
        times_s = self._series.times_s
        if times_s and t_s < times_s[-1]:
            self._forget(len(times_s))
            times_s = self._series.times_s
        unbroken_s = self._unbroken_s
        unbroken_s.append(unbroken_s[-1] if times_s and t_s - times_s[-1] <= GAP_S else t_s)
        times_s.append(t_s)
        self._series.masses_g.append(mass_g)
        if len(times_s) > self._full:
            self._forget(bisect_left(times_s, t_s - KEPT_S))
            self._full = len(self) + 1000

    def __len__(self) -> int:
        return len(self._series.times_s)

    def reweigh(self, anew: Callable[[float], float]) -> None:
        """Give every reading the mass that `anew` makes of it."""
        self._keep(Series(self._series.times_s, map(anew, self._series.masses_g)))

    def _forget(self, count: int) -> None:
        del self._unbroken_s[:count]
        self._keep(Series(self._series.times_s[count:], self._series.masses_g[count:]))

    def line(
        self,
        window_s: float,
        until_s: float,
        since_s: float = -inf,
        *,
        least: int = FEWEST_OF_LINE,
        delay_s: float = 0.0,
        without_s: Sequence[float] = (),
        slides: bool = False,
    ) -> Estimate | None:
        """The line through the window's readings; None while there are too few, or where their times do not
        differ.

        `delay_s` is as in `Estimate`. `without_s` are the times of readings to leave out, oldest first.
        `slides`: it is asked for at every reading, which makes it cheaper.
        """
        series = self._series
        times_s = series.times_s
        end = len(times_s)
        if not end or times_s[-1] > until_s:
            end = bisect_right(times_s, until_s)
        start = _start(times_s, end, window_s, since_s, least)
        if without_s and start < end and times_s[start] <= without_s[-1]:
            kept = [index for index in range(end) if times_s[index] not in without_s]
            start = _start([times_s[index] for index in kept], len(kept), window_s, since_s, least)
            kept = kept[start:]
            series = Series((times_s[i] for i in kept), (series.masses_g[i] for i in kept))
            times_s, start, end, slides = series.times_s, 0, len(kept), False
        if end - start < least or times_s[start] == times_s[end - 1]:
            return None
        slides = slides and start > 0 and times_s[start - 1] >= since_s  # or else it grows
        return Estimate(series, start, end, delay_s, since_s if slides else None)

    def rest(
        self, window_s: float, band_g: float, until_s: float, since_s: float = -inf, *, least: int = FEWEST
    ) -> Rest | None:
        """The rest that the window's readings show within `band_g`, see `rest_of`; None if they show none or
        do not fill the window."""
        times_s, end = self._series.times_s, self._end(until_s)
        if not end:
            return None
        start = _start(times_s, end, window_s, max(since_s, self._unbroken_s[end - 1]), least)
        if end - start < least or until_s - times_s[start] < WHOLE_SHARE * window_s:
            return None
        part = (end - start) // PARTS
        count = end - start - part
        return rest_of(self._mean_g(end - part, count), self._mean_g(end, count), band_g)

    def level(self, until_s: float, since_s: float) -> RingingLevel | None:
        """The level about which the last readings ring; None while there are too few, or one is missing."""
        times_s, end = self._series.times_s, self._end(until_s)
        count = end - bisect_left(times_s, since_s, 0, end)
        if count < FEWEST_OF_FIT:
            return None
        count = min(count // STEP * STEP, MOST_OF_FIT)
        period_s = self._period_s(end, count)
        return None if period_s is None else level_of(self._series.masses_g[end - count : end], period_s)

    def mean_g(self, count: int, until_s: float, since_s: float) -> float | None:
        """The Hann-weighted mean of the last `count` readings; None while there are too few, or one is
        missing."""
        times_s, end = self._series.times_s, self._end(until_s)
        if end < count or times_s[end - count] < since_s or self._period_s(end, count) is None:
            return None
        return self._mean_g(end, count)

    def _period_s(self, end: int, count: int) -> float | None:
        """The mean time between so many readings; None if one is missing."""
        last_s = self._series.times_s[end - count : end]
        period_s = (last_s[-1] - last_s[0]) / (count - 1)
        return None if max(map(sub, last_s[1:], last_s)) > LOST_PERIODS * period_s else period_s

    def _mean_g(self, end: int, count: int) -> float:
        """The mean of so many readings. That of a rest's later part is soon that of an earlier part."""
        found = self._rest_means_g.get((end, count))
        if found is None:
            masses_g = self._series.masses_g[end - count : end]
            found = self._rest_means_g[end, count] = hann_mean(masses_g)
        return found

    def _end(self, until_s: float) -> int:
        """How many readings there were by then."""
        times_s = self._series.times_s
        return len(times_s) if times_s and times_s[-1] <= until_s else bisect_right(times_s, until_s)


def _start(times_s: Sequence[float], end: int, window_s: float, since_s: float, least: int) -> int:
    """The index of the first reading of the window that ends before index `end`."""
    if not end:
        return 0
    from_s = times_s[end - 1] - window_s
    start = bisect_left(times_s, since_s if since_s > from_s else from_s, 0, end)
    if end - start < least:
        start = max(bisect_left(times_s, since_s, 0, end), end - least)
    return start
