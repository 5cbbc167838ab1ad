"""Mass on the platform against run time x flow, from one weighing at rest to the next.

What leaves the nozzle is the pump's run time times its flow, whatever falls, coasts or drips in between. A
feed shows its flow by the median slope of its line, which nothing that falls in can spoil; a run too short
for that is expected to give what the channel has taught so far. Far more than that came from elsewhere.
"""

from dataclasses import dataclass, field
from math import sqrt
from statistics import median

EDGE_S = 0.04
"""Run-up and coast make a run this much longer or shorter, as one standard deviation."""

MEASURED_S = 1.6
"""A flow seen for this long is known: something that falls in spoils the slope for half of it."""

MEASURED_SHARE = 0.008
"""Standard uncertainty of a flow that was seen, as a share of it."""

REST_G = 0.15
"""Scatter of two weighings, and what drips."""

UNSEEN_S = 0.5
"""After a stop liquid lands for so long that a driver which stuck for a moment is not seen."""

DOUBT_SIGMAS = 2.0
SURE_SIGMAS = 5.0


@dataclass(slots=True)
class FeedRun:
    """One run of a pump: from and to in s, and its flow in g/s, as learned (0: unknown) and as seen."""

    from_s: float
    learned_g_per_s: float
    learned_share: float
    """Standard uncertainty of the learned flow as a share of it."""
    full_speed: bool
    to_s: float | None = None
    seen_from_s: float | None = None
    seen_to_s: float = 0.0
    seen_g_per_s: list[float] = field(default_factory=list)

    @property
    def measured_g_per_s(self) -> float:
        """Its flow, 0 if it was not seen for long enough."""
        seen_s = 0.0 if self.seen_from_s is None else self.seen_to_s - self.seen_from_s
        return median(self.seen_g_per_s) if seen_s >= MEASURED_S else 0.0

    def expected(self, now_s: float) -> tuple[float, float]:
        """What it has delivered and the standard uncertainty, in g; 0 if its flow is unknown."""
        run_s = (now_s if self.to_s is None else self.to_s) - self.from_s
        seen = self.measured_g_per_s
        flow, share = (seen, MEASURED_SHARE) if seen else (self.learned_g_per_s, self.learned_share)
        return flow * run_s, flow * sqrt((share * run_s) ** 2 + EDGE_S**2)


@dataclass(slots=True)
class Balance:
    """The runs since the last weighing, of `from_g` on the platform."""

    from_g: float = 0.0
    runs: list[FeedRun] = field(default_factory=list)

    def start(self, now_s: float, learned_g_per_s: float, learned_share: float, *, full_speed: bool) -> None:
        """A pump starts, or changes its speed."""
        self.stop(now_s)
        self.runs.append(FeedRun(now_s, learned_g_per_s, learned_share, full_speed))

    def stop(self, now_s: float) -> None:
        """The pump stops."""
        if self.runs and self.runs[-1].to_s is None:
            self.runs[-1].to_s = now_s

    def note(self, flow_g_per_s: float, now_s: float) -> None:
        """The slope of a line that lies wholly within the present run."""
        run = self.runs[-1]
        run.seen_from_s = now_s if run.seen_from_s is None else run.seen_from_s
        run.seen_to_s = now_s
        run.seen_g_per_s.append(flow_g_per_s)

    @property
    def unseen_g(self) -> float:
        """What the last pump gives in `UNSEEN_S`: as much may be its own without being seen as flow."""
        flow = 0.0 if not self.runs else self.runs[-1].measured_g_per_s or self.runs[-1].learned_g_per_s
        return UNSEEN_S * flow

    @property
    def full_flow_g_per_s(self) -> float:
        """The flow at full speed, if it was measured since the last weighing, else 0."""
        return max((run.measured_g_per_s for run in self.runs if run.full_speed), default=0.0)

    def excess(self, mass_g: float, now_s: float) -> tuple[float, float]:
        """What lies on the platform beyond what the runs delivered, and the standard uncertainty, in g; 0
        where a flow is unknown."""
        expected_g, variance = 0.0, REST_G**2
        for run in self.runs:
            run_g, sigma_g = run.expected(now_s)
            if run_g <= 0.0:
                return 0.0, 0.0
            expected_g += run_g
            variance += sigma_g**2
        return mass_g - self.from_g - expected_g, sqrt(variance)

    def weighed(self, mass_g: float) -> None:
        """Begin anew with this mass."""
        self.from_g = mass_g
        self.runs.clear()
