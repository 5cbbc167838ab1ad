"""A chart of individuals with the moving range of two, as ISO 7870-2 describes it (cited from memory).

It tells the noise of a process from a change: the limits come from how far one value is from the next, so a
slow drift does not widen them.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

LIMIT_FACTOR = 2.66
"""3 / d2; d2 = 2 / sqrt(pi) = 1.128 is the mean range of two values whose standard deviation is 1."""

MIN_VALUES = 8
"""Fewer show no limits: a mean of seven ranges or less says little."""

RUN_LENGTH = 8
"""So many in a row on one side of the mean are a change."""


@dataclass(frozen=True, slots=True)
class ControlLimits:
    """Centre and limits in g."""

    mean_g: float
    lower_g: float
    upper_g: float

    def hold(self, value_g: float) -> bool:
        """Whether a value is no further out than its limit."""
        return self.lower_g <= value_g <= self.upper_g


@dataclass(frozen=True, slots=True)
class ValueRun:
    """The values from index `first` to `last` all lie on one side of the mean."""

    first: int
    last: int
    above: bool


@dataclass(frozen=True, slots=True)
class ControlChart:
    """Values in order of time, judged. `limits` is None for too few; `beyond` and `runs` are then empty."""

    limits: ControlLimits | None
    beyond: tuple[int, ...] = ()
    runs: tuple[ValueRun, ...] = ()


def control_limits(mean_g: float, mean_moving_range_g: float, count: int) -> ControlLimits | None:
    """The limits from the mean of `count` values and of the distances from one to the next; None: too few."""
    if count < MIN_VALUES:
        return None
    away_g = LIMIT_FACTOR * mean_moving_range_g
    return ControlLimits(mean_g, mean_g - away_g, mean_g + away_g)


def control_chart(values_g: Sequence[float]) -> ControlChart:
    """Judge values that are in order of time."""
    count = len(values_g)
    if count < MIN_VALUES:
        return ControlChart(None)
    moving_range_g = sum(abs(after - before) for before, after in pairwise(values_g)) / (count - 1)
    limits = control_limits(sum(values_g) / count, moving_range_g, count)
    if limits is None:
        return ControlChart(None)
    beyond = tuple(index for index, value_g in enumerate(values_g) if not limits.hold(value_g))
    return ControlChart(limits, beyond, _runs(values_g, limits.mean_g))


def _runs(values_g: Sequence[float], mean_g: float) -> tuple[ValueRun, ...]:
    """A value at the mean is on neither side and ends a run."""
    sides = [(value_g > mean_g) - (value_g < mean_g) for value_g in values_g]
    runs, first = [], 0
    for side, members in groupby(sides):
        after = first + len(list(members))
        if side and after - first >= RUN_LENGTH:
            runs.append(ValueRun(first, after - 1, side > 0))
        first = after
    return tuple(runs)
