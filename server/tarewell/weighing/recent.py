"""The readings of the last seconds: one store, asked over any window."""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from math import inf

from .estimator import BatchMeans, Estimate, fit
from .stability import FEWEST, Rest, rest_of

GAP_S = 0.25
"""Where no reading came for longer, no rest is found across the gap."""

KEPT_S = 15.0
"""Longer than any window."""

WHOLE_SHARE = 0.85
"""Readings must cover this share of the window that a rest is asked for."""

FEWEST_OF_LINE = 5


class RecentReadings:
    """Board times in s and masses in g, oldest first.

    A window ends at the reading stamped `until_s` and never reaches back before `since_s`. Where readings
    were lost it is longer, until it holds `least` of them.
    """

    def __init__(self) -> None:
        self._times_s: list[float] = []
        self._masses_g: list[float] = []
        self._unbroken_s: list[float] = []
        """For each reading, since when there is no gap before it."""
        self._means: BatchMeans = {}
        self._full = 1000

    def __getstate__(self) -> tuple[list[float], list[float], list[float], int]:
        """Without the means, which can be worked out again."""
        return self._times_s, self._masses_g, self._unbroken_s, self._full

    def __setstate__(self, state: tuple[list[float], list[float], list[float], int]) -> None:
        self._times_s, self._masses_g, self._unbroken_s, self._full = state
        self._means = {}

    def add(self, t_s: float, mass_g: float) -> None:
        """Add the next reading. A time before the last one's is a clock that started over; so does this."""
        times_s = self._times_s
        if times_s and t_s < times_s[-1]:
            self._forget(len(times_s))
        unbroken = bool(times_s) and t_s - times_s[-1] <= GAP_S
        self._unbroken_s.append(self._unbroken_s[-1] if unbroken else t_s)
        times_s.append(t_s)
        self._masses_g.append(mass_g)
        if len(times_s) > self._full:
            self._forget(bisect_left(times_s, t_s - KEPT_S))
            self._full = len(times_s) + 1000

    def __len__(self) -> int:
        return len(self._times_s)

    def reweigh(self, anew: Callable[[float], float]) -> None:
        """Give every reading the mass that `anew` makes of it."""
        self._masses_g = [anew(mass_g) for mass_g in self._masses_g]
        self._means.clear()

    def _forget(self, count: int) -> None:
        del self._times_s[:count], self._masses_g[:count], self._unbroken_s[:count]
        self._means.clear()

    def line(
        self,
        window_s: float,
        until_s: float,
        since_s: float = -inf,
        *,
        least: int = FEWEST_OF_LINE,
        delay_s: float = 0.0,
        without_s: Sequence[float] = (),
    ) -> Estimate | None:
        """The line through the window's readings, see `fit`; None while there are too few.

        `without_s` are the times of readings to leave out, oldest first.
        """
        times_s, masses_g = self._times_s, self._masses_g
        end = self._end(until_s)
        means: BatchMeans | None = self._means
        start = _start(times_s, end, window_s, since_s, least)
        if without_s and start < end and times_s[start] <= without_s[-1]:
            kept = [index for index in range(end) if times_s[index] not in without_s]
            times_s, masses_g = [times_s[index] for index in kept], [masses_g[index] for index in kept]
            end, means = len(kept), None
            start = _start(times_s, end, window_s, since_s, least)
        return fit(times_s[start:end], masses_g[start:end], delay_s, means) if end - start >= least else None

    def rest(
        self, window_s: float, band_g: float, until_s: float, since_s: float = -inf, *, least: int = FEWEST
    ) -> Rest | None:
        """The rest that the window's readings show within `band_g`, see `rest_of`; None if they show none or
        do not fill the window."""
        end = self._end(until_s)
        if not end:
            return None
        start = _start(self._times_s, end, window_s, max(since_s, self._unbroken_s[end - 1]), least)
        if end - start < least or until_s - self._times_s[start] < WHOLE_SHARE * window_s:
            return None
        return rest_of(self._masses_g[start:end], band_g)

    def _end(self, until_s: float) -> int:
        """How many readings there were by then."""
        return bisect_right(self._times_s, until_s)


def _start(times_s: list[float], end: int, window_s: float, since_s: float, least: int) -> int:
    """The index of the first reading of the window that ends before index `end`."""
    if not end:
        return 0
    start = bisect_left(times_s, max(since_s, times_s[end - 1] - window_s), 0, end)
    if end - start < least:
        start = max(bisect_left(times_s, since_s, 0, end), end - least)
    return start
