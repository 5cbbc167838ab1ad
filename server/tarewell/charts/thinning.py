"""Readings thinned for the width of a picture, and the mass under them.

Each column of pixels keeps its least and its largest reading, so no peak is lost. Where readings are missing
nothing is joined.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from tarewell.weighing.estimator import Estimate
from tarewell.weighing.recent import FEWEST_OF_LINE, GAP_S
from tarewell.weighing.series import Series


@dataclass(frozen=True, slots=True)
class Columns:
    """`count` columns of equal width from `from_s` to `until_s`.

    Raises:
        ValueError: no column, or an end that is not after the beginning.
    """

    count: int
    from_s: float
    until_s: float

    def __post_init__(self) -> None:
        if self.count < 1 or not self.until_s > self.from_s:
            raise ValueError(
                f"{self.count} columns from {self.from_s:g} s to {self.until_s:g} s show nothing; give at "
                "least one, and an end after the beginning"
            )

    @property
    def _width_s(self) -> float:
        return (self.until_s - self.from_s) / self.count

    def end_s(self, t_s: float) -> float:
        """Where the column of a time ends."""
        return self.from_s + (int((t_s - self.from_s) / self._width_s) + 1) * self._width_s

    def middles_s(self) -> Iterator[float]:
        """The middle of each column."""
        for number in range(self.count):
            yield self.from_s + (number + 0.5) * self._width_s


@dataclass(frozen=True, slots=True)
class Curve:
    """Times in s and masses in g; a mass is None in a gap."""

    t_s: tuple[float, ...]
    mass_g: tuple[float | None, ...]


class Readings:
    """Readings in order of time: `t_s` in s, `mass_g` in g."""

    def __init__(self, t_s: Sequence[float], mass_g: Sequence[float]) -> None:
        self._t_s, self._mass_g = t_s, mass_g
        breaks = [index for index in range(1, len(t_s)) if t_s[index] - t_s[index - 1] > GAP_S]
        self._stretches = list(zip([0, *breaks], [*breaks, len(t_s)], strict=True)) if t_s else []

    @property
    def span_s(self) -> tuple[float, float] | None:
        """The times of the first and the last; None: there are none."""
        return (self._t_s[0], self._t_s[-1]) if self._t_s else None

    @property
    def gaps_s(self) -> tuple[tuple[float, float], ...]:
        """Begin and end of each time without readings."""
        return tuple((self._t_s[start - 1], self._t_s[start]) for start, _ in self._stretches[1:])

    def thinned(self, columns: Columns) -> Curve:
        """At most two readings for each column."""
        return _joined(self._extremes(*stretch, columns) for stretch in self._stretches)

    def fitted(self, columns: Columns, window_s: float) -> Curve:
        """The mass at the middle of each column by the Hann-weighted line, as in control, through the
        readings from half a window before to half a window after."""
        return _joined(self._lines(*stretch, columns, window_s) for stretch in self._stretches)

    def _extremes(self, start: int, end: int, columns: Columns) -> Iterator[tuple[float, float]]:
        start = bisect_left(self._t_s, columns.from_s, start, end)
        end = bisect_right(self._t_s, columns.until_s, start, end)
        while start < end:
            after = bisect_left(self._t_s, columns.end_s(self._t_s[start]), start + 1, end)
            by_mass = sorted(range(start, after), key=self._mass_g.__getitem__)
            for index in sorted({by_mass[0], by_mass[-1]}):
                yield self._t_s[index], self._mass_g[index]
            start = after

    def _lines(
        self, start: int, end: int, columns: Columns, window_s: float
    ) -> Iterator[tuple[float, float]]:
        for at_s in columns.middles_s():
            if self._t_s[start] <= at_s <= self._t_s[end - 1]:
                low = bisect_left(self._t_s, at_s - window_s / 2, start, end)
                high = bisect_right(self._t_s, at_s + window_s / 2, start, end)
                if high - low < FEWEST_OF_LINE:
                    continue
                if self._t_s[low] < self._t_s[high - 1]:
                    near = Series(self._t_s[low:high], self._mass_g[low:high])
                    yield at_s, Estimate(near, 0, high - low, 0.0).at(at_s)


def _joined(stretches: Iterable[Iterator[tuple[float, float]]]) -> Curve:
    """The stretches one after the other, with an empty point between two."""
    t_s: list[float] = []
    mass_g: list[float | None] = []
    for stretch in stretches:
        points = list(stretch)
        if points and t_s:
            t_s.append((t_s[-1] + points[0][0]) / 2)
            mass_g.append(None)
        t_s += [point[0] for point in points]
        mass_g += [point[1] for point in points]
    return Curve(tuple(t_s), tuple(mass_g))
