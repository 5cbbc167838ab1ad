"""How long guests wait at the bar: one machine with one person at it, first come, first served.

An evening is simulated many times. Each order arrives independently at a random time of the arrival profile,
and the drinks come in random order; waits and people at the bar are counted.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import ceil
from statistics import fmean

Uniform = Callable[[], float]
"""Returns a number from 0 up to 1 with each call, such as `random.Random(seed).random`."""

SLOTS = 30
"""The number of equal slots of an evening; the worst of them is the peak."""

_MOMENTS = 120
_DRINKS = 200_000
_FEWEST_EVENINGS, _MAX_EVENINGS = 20, 500
_ENOUGH_WAITS = 50
"""Slots with fewer guests, in all evenings together, cannot be the peak."""


@dataclass(frozen=True, slots=True)
class Traffic:
    """One interval of opening time: `services_s` is how long each of its drinks takes, orders are taken for
    `open_s`, and `peak_share` of them arrive evenly in the first `peak_s`, the rest evenly after that."""

    services_s: Sequence[float]
    open_s: float
    peak_share: float = 0.0
    peak_s: float = 0.0

    @property
    def load(self) -> float:
        """Work over opening time; above 1 it cannot be done while the bar is open."""
        return sum(self.services_s) / self.open_s

    @property
    def busiest_load(self) -> float:
        """The same for the busier part; above 1 the queue grows throughout it."""
        if not self.peak_s:
            return self.load
        peak = self.peak_share * self.load * self.open_s / self.peak_s
        rest = (1 - self.peak_share) * self.load * self.open_s / (self.open_s - self.peak_s)
        return max(peak, rest)

    def arrives_s(self, share: float) -> float:
        """By when this share of the orders, 0 up to 1, has arrived on average."""
        if share < self.peak_share:
            return self.peak_s * share / self.peak_share
        return self.peak_s + (self.open_s - self.peak_s) * (share - self.peak_share) / (1 - self.peak_share)


@dataclass(frozen=True, slots=True)
class Waiting:
    """Time from joining the queue until the drink is begun: mean, median and 95th percentile."""

    mean_s: float
    median_s: float
    p95_s: float


@dataclass(frozen=True, slots=True)
class Moment:
    """People at the bar `at_s` after its opening, waiting or being served: median and 95th percentile over
    the evenings."""

    at_s: float
    median: int
    p95: int


@dataclass(frozen=True, slots=True)
class Queue:
    """What was counted over `evenings` repetitions of one interval.

    `peak` is of those who arrive from `peak_from_s` to `peak_to_s`, the slot with the longest mean wait.
    `overtime_s` is how long after closing the last drink is made, in 95 % of the evenings.
    """

    evenings: int
    waiting: Waiting
    peak: Waiting
    peak_from_s: float
    peak_to_s: float
    overtime_s: float
    moments: tuple[Moment, ...]

    @property
    def max_at_the_bar(self) -> Moment:
        """The moment with most people at the bar."""
        return max(self.moments, key=lambda moment: (moment.p95, moment.median))


def begins_s(arrivals_s: Sequence[float], services_s: Sequence[float]) -> Iterator[float]:
    """When each drink is begun, for orders in sequence of arrival (Lindley's recursion)."""
    free_s = 0.0
    for arrival_s, service_s in zip(arrivals_s, services_s, strict=True):
        begin_s = max(arrival_s, free_s)
        free_s = begin_s + service_s
        yield begin_s


def simulate(traffic: Traffic, uniform: Uniform, evenings: int | None = None) -> Queue:
    """Simulate an interval `evenings` times (None: as often as makes about 200 000 drinks).

    Raises:
        ValueError: no drinks, no opening time, a peak as long as the whole, or no evenings.
    """
    if not traffic.services_s or not traffic.open_s > traffic.peak_s >= 0 or evenings == 0:
        raise ValueError(
            f"a queue needs drinks and a peak shorter than the opening time, got "
            f"{len(traffic.services_s)} drinks and {traffic.peak_s:g} of {traffic.open_s:g} s; correct it"
        )
    count = len(traffic.services_s)
    times = evenings or max(_FEWEST_EVENINGS, min(_MAX_EVENINGS, _DRINKS // count))
    slots: list[list[float]] = [[] for _ in range(SLOTS)]
    per_s = SLOTS / traffic.open_s
    played: list[tuple[list[float], list[float]]] = []
    for _ in range(times):
        arrivals = [traffic.arrives_s(share) for share in sorted(uniform() for _ in range(count))]
        services = sorted(traffic.services_s, key=lambda _: uniform())
        begins = list(begins_s(arrivals, services))
        for arrival_s, begin_s in zip(arrivals, begins, strict=True):
            slots[min(int(arrival_s * per_s), SLOTS - 1)].append(begin_s - arrival_s)
        ends = [begin_s + service_s for begin_s, service_s in zip(begins, services, strict=True)]
        played.append((arrivals, ends))
    worst = _worst(slots)
    overtime_s = max(_quantile(sorted(ends[-1] for _, ends in played), 0.95) - traffic.open_s, 0.0)
    return Queue(
        evenings=times,
        waiting=_waiting([wait for slot in slots for wait in slot]),
        peak=_waiting(slots[worst]),
        peak_from_s=worst / per_s,
        peak_to_s=(worst + 1) / per_s,
        overtime_s=overtime_s,
        moments=tuple(_moments(played, traffic.open_s + overtime_s)),
    )


def _worst(slots: Sequence[Sequence[float]]) -> int:
    judged = [number for number, slot in enumerate(slots) if len(slot) >= _ENOUGH_WAITS]
    among = judged or [number for number, slot in enumerate(slots) if slot]
    return max(among, key=lambda number: fmean(slots[number]))


def _waiting(waits_s: list[float]) -> Waiting:
    waits_s.sort()
    return Waiting(fmean(waits_s), _quantile(waits_s, 0.5), _quantile(waits_s, 0.95))


def _quantile(ordered: Sequence[float], share: float) -> float:
    """The smallest value that `share` of the values do not exceed."""
    return ordered[max(ceil(share * len(ordered)) - 1, 0)]


def _moments(played: Sequence[tuple[list[float], list[float]]], until_s: float) -> Iterator[Moment]:
    for number in range(_MOMENTS + 1):
        at_s = until_s * number / _MOMENTS
        there = sorted(bisect_right(arrivals, at_s) - bisect_left(ends, at_s) for arrivals, ends in played)
        yield Moment(at_s, int(_quantile(there, 0.5)), int(_quantile(there, 0.95)))
