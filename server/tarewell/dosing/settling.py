"""What the readings after a stop lack of the mass at rest, which each channel teaches.

While the last liquid lands and the platform rings, the mean of the last readings is off the mass at rest: by
the jet that still presses on the glass, by what is still in the air, by what the mean leaves of the ringing.
Over the flow that is nearly the same after each stop of a channel, so that once it is known, with its spread,
the mass at rest can be told before there is rest.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import sqrt

from .means import moved

FIRST_SPREAD_S, LEAST_SPREAD_S = 0.01, 0.002
LONG_GAIN = 0.1
OUTLIER_SIGMAS = 4.0


@dataclass(frozen=True, slots=True, order=True)
class SettlingPoint:
    """So long after a stop the mean of the last readings lacks `lack_s` times the flow, with the standard
    deviation `spread_s`; from `count` stops."""

    after_s: float
    lack_s: float
    spread_s: float = FIRST_SPREAD_S
    count: int = 1

    def learn(self, seen_s: float) -> "SettlingPoint":
        """With one more stop."""
        gain = max(LONG_GAIN, 1 / (self.count + 1))
        lack_s, spread_s = moved(self.lack_s, self.spread_s, seen_s, gain, OUTLIER_SIGMAS)
        return SettlingPoint(self.after_s, lack_s, max(LEAST_SPREAD_S, spread_s), self.count + 1)

    def widened(self) -> "SettlingPoint":
        """As it is, but less sure."""
        return replace(self, spread_s=max(FIRST_SPREAD_S, self.spread_s), count=min(2, self.count))

    def sigma_g(self, flow_g_per_s: float) -> float:
        """Standard uncertainty in g of a mass at rest that is told by it, its own mean's included."""
        return flow_g_per_s * self.spread_s * sqrt(1 + 1 / self.count)


def with_lacks(
    known: Sequence[SettlingPoint], lacks: Iterable[tuple[float, float]]
) -> tuple[SettlingPoint, ...]:
    """With what one more stop showed: times after it, and what the readings then lacked, both in s."""
    points = {point.after_s: point for point in known}
    for after_s, lack_s in lacks:
        before = points.get(after_s)
        points[after_s] = SettlingPoint(after_s, lack_s) if before is None else before.learn(lack_s)
    return tuple(sorted(points.values()))
