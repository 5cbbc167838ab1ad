"""In-flight mass: what still arrives after the decision to stop.

It is made up of coast, liquid in the air, drips and delays, and nearly all of it grows with the flow. So it
is kept as a time, in-flight mass over flow, which holds when a worn tube delivers less or the pump slows.
The learning rule (a share of the last error is added to the stored value) is common practice, no source.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import sqrt

from .runs import RunOffset, with_run
from .settling import SettlingPoint, with_lacks
from .speeds import SpeedFlow, with_share

SMALLEST_GAIN = 0.2
OUTLIER_SIGMAS = 5.0
WIDER = 1.5
FEW_STOPS = 3
"""With fewer stops than this little is known of a channel."""
FIRST_STOP_SPREAD_S = 0.045
SURE_HZ = 20.0
"""Spread of the in-flight time after one stop, at most. At more samples a second than this the mass and flow
of a stop are surer, as the root of their number."""

FIRST_FLOW_SHARE, LEAST_FLOW_SHARE = 0.03, 0.01
"""Standard deviation of the flow from run to run as a share of it: before anything is known, and at least."""


@dataclass(frozen=True, slots=True)
class InFlight:
    """In-flight time of one channel with one liquid: mean and spread in s, from `count` stops.

    `flow_g_per_s` is the flow at full speed, 0 if never seen, `flow_share` its standard deviation from run to
    run as a share of it, `speeds` the flow at others as shares of it, by speed, `runs` what timed runs give
    at each speed, and `settling` what readings lack while the glass comes to rest. With no stop seen, `lag_s`
    is a cautious guess on the large side: the first dose is cut short and topped up, never run over.
    """

    lag_s: float = 0.4
    spread_s: float = 0.15
    flow_g_per_s: float = 0.0
    count: int = 0
    speeds: tuple[SpeedFlow, ...] = ()
    flow_share: float = FIRST_FLOW_SHARE
    runs: tuple[RunOffset, ...] = ()
    settling: tuple[SettlingPoint, ...] = ()
    drawn_back: bool = False
    """Whether air was drawn in at the nozzle since it was filled last; not stored."""

    def mass_g(self, flow_g_per_s: float) -> float:
        """In-flight mass in g at a flow."""
        return self.lag_s * flow_g_per_s

    def spread_g(self, flow_g_per_s: float) -> float:
        """Standard deviation of the in-flight mass in g at a flow."""
        return self.spread_s * flow_g_per_s

    def learn(
        self, observed_g: float, flow_g_per_s: float, first_spread_s: float = FIRST_STOP_SPREAD_S
    ) -> "InFlight":
        """With what a stop at `flow_g_per_s` taught, after which `observed_g` more arrived.

        The first stop replaces the guess, with the spread `first_spread_s`; later ones move the mean by 1/n,
        by a fifth in the long run, so that a worn tube is followed. An outlier of more than five spreads
        moves it as if it were five away.
        """
        observed_s = observed_g / flow_g_per_s
        if self.count == 0:
            return replace(self, lag_s=observed_s, spread_s=first_spread_s, count=1)
        limit_s = OUTLIER_SIGMAS * max(self.spread_s, 0.01)
        error_s = max(-limit_s, min(limit_s, observed_s - self.lag_s))
        gain = max(SMALLEST_GAIN, 1 / (self.count + 1))
        variance = (1 - gain) * (self.spread_s**2 + gain * error_s**2)
        return replace(self, lag_s=self.lag_s + gain * error_s, spread_s=sqrt(variance), count=self.count + 1)

    def widened(self) -> "InFlight":
        """After a swap, maintenance or a long pause: as far as it is known, but less sure. The next stops are
        careful, and move the means more than usual. Once is enough, until stops have made it sure again."""
        if self.count < FEW_STOPS:
            return replace(self, drawn_back=False)
        return replace(
            self,
            drawn_back=False,
            count=FEW_STOPS - 1,
            spread_s=WIDER * self.spread_s,
            flow_share=max(FIRST_FLOW_SHARE, self.flow_share),
            runs=tuple(run.widened() for run in self.runs),
            settling=tuple(point.widened() for point in self.settling),
        )

    def with_flow(self, flow_g_per_s: float) -> "InFlight":
        """With half of the change to this flow at full speed."""
        if self.flow_g_per_s == 0:
            return replace(self, flow_g_per_s=flow_g_per_s)
        off = min(abs(flow_g_per_s / self.flow_g_per_s - 1), 3 * self.flow_share)
        share = sqrt((1 - SMALLEST_GAIN) * self.flow_share**2 + SMALLEST_GAIN * off**2)
        flow_g_per_s = (self.flow_g_per_s + flow_g_per_s) / 2
        return replace(self, flow_g_per_s=flow_g_per_s, flow_share=max(LEAST_FLOW_SHARE, share))

    def with_run(self, speed: int, offset_s: float, *, after_gap: bool = False) -> "InFlight":
        """With the offset that a run at a speed showed."""
        return replace(self, runs=with_run(self.runs, speed, offset_s, after_gap=after_gap))

    def with_lacks(self, lacks: Iterable[tuple[float, float]]) -> "InFlight":
        """With what the readings after a stop lacked of the mass at rest."""
        return replace(self, settling=with_lacks(self.settling, lacks))

    def with_share(self, speed: int, share: float) -> "InFlight":
        """With this flow at a speed, as a share of that at full speed; 0: the pump did not turn."""
        return replace(self, speeds=with_share(self.speeds, speed, share))
