"""What a run from rest to rest delivers: its flow, from an offset on.

While the pump runs up it delivers less, and while it coasts more than nothing; both are the same each time,
so that run time less mass over flow is an offset of some hundredths of a second, which each channel teaches
at each speed. With it a feed that is too short to show its flow can be timed.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import sqrt

from .means import moved

FIRST_SPREAD_S = 0.03
LEAST_SPREAD_S = 0.01
LONG_GAIN = 0.2
OUTLIER_SIGMAS = 4.0


@dataclass(frozen=True, slots=True, order=True)
class RunOffset:
    """At a speed, 1 to 255, a run of t seconds delivers flow x (t - `offset_s`), with the standard deviation
    `spread_s`; from `count` runs. `after_gap`: of runs that begin with air at the nozzle."""

    speed: int
    offset_s: float
    spread_s: float = FIRST_SPREAD_S
    count: int = 1
    after_gap: bool = False

    def learn(self, seen_s: float) -> "RunOffset":
        """With one more run; one that is far off widens the spread more than it moves the mean."""
        gain = max(LONG_GAIN, 1 / (self.count + 1))
        offset_s, spread_s = moved(self.offset_s, self.spread_s, seen_s, gain, OUTLIER_SIGMAS)
        spread_s = max(LEAST_SPREAD_S, spread_s)
        return replace(self, offset_s=offset_s, spread_s=spread_s, count=self.count + 1)

    def widened(self) -> "RunOffset":
        """As it is, but less sure."""
        return replace(self, spread_s=max(FIRST_SPREAD_S, self.spread_s), count=min(2, self.count))

    def run_s(self, mass_g: float, flow_g_per_s: float) -> float:
        """How long to run for a mass in g at a flow in g/s."""
        return self.offset_s + mass_g / flow_g_per_s

    def sigma_g(self, mass_g: float, flow_g_per_s: float, flow_share: float) -> float:
        """Standard deviation in g of what a run for `mass_g` delivers; `flow_share` is that of the flow, as a
        share of it."""
        return sqrt((flow_share * mass_g) ** 2 + (flow_g_per_s * self.spread_s) ** 2)


def offset_at(known: Sequence[RunOffset], speed: int, *, after_gap: bool = False) -> RunOffset | None:
    """What is known at a speed."""
    return next((run for run in known if (run.speed, run.after_gap) == (speed, after_gap)), None)


def with_run(
    known: Sequence[RunOffset], speed: int, seen_s: float, *, after_gap: bool = False
) -> tuple[RunOffset, ...]:
    """With the offset that a run at this speed showed, in s."""
    before = offset_at(known, speed, after_gap=after_gap)
    after = RunOffset(speed, seen_s, after_gap=after_gap) if before is None else before.learn(seen_s)
    return tuple(sorted([*(run for run in known if run is not before), after]))
