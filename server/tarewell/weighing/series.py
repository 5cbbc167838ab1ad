"""Readings in their order, and what is averaged over stretches of them."""

from collections.abc import Iterable

from .sliding import Moments, PlainSums, SlidingMeans, SlidingMoments, moments


class Series:
    """Board times in s and masses in g, oldest first. Readings are added at the end, and never change.

    A stretch is the readings from one index to before another. One that `slides` is asked for at every
    reading, and then costs the same whatever its length.
    """

    def __init__(self, times_s: Iterable[float] = (), masses_g: Iterable[float] = ()) -> None:
        self.times_s = list(times_s)
        self.masses_g = list(masses_g)
        self._begin_sums()

    def _begin_sums(self) -> None:
        self._moments: dict[int, SlidingMoments] = {}
        self._means: dict[int, SlidingMeans] = {}

    def __getstate__(self) -> tuple[list[float], list[float]]:
        """Without the sums, which come out the same when they are worked out again."""
        return self.times_s, self.masses_g

    def __setstate__(self, state: tuple[list[float], list[float]]) -> None:
        self.times_s, self.masses_g = state
        self._begin_sums()

    def moments(self, start: int, end: int, since_s: float | None) -> tuple[Moments, PlainSums | None]:
        """The moments of a stretch, and its plain sums if it slides, over readings since `since_s`."""
        if since_s is None:
            return moments(self.times_s[start:end], self.masses_g[start:end]), None
        sliding = self._moments.get(end - start)
        if sliding is None:
            sliding = self._moments[end - start] = SlidingMoments(self.times_s, self.masses_g, end - start)
        return sliding.until(end, since_s)

    def means(self, count: int) -> SlidingMeans:
        """The means of sliding stretches of `count` readings."""
        sliding = self._means.get(count)
        if sliding is None:
            sliding = self._means[count] = SlidingMeans(self.times_s, self.masses_g, count)
        return sliding
