"""Mass on the platform against run time x flow, from one weighing at rest to the next.

What leaves the nozzle is the pump's run time times its flow, whatever falls, coasts or drips in between. A
feed shows its flow by the median slope of its line, as surely as the slopes agree; where the channel has
taught it more surely, or the run is too short, it is expected to give that. Far more came from elsewhere.
"""

from dataclasses import dataclass, field
from math import sqrt
from statistics import median

from .inflight import FIRST_FLOW_SHARE

EDGE_S = 0.04
"""Run-up and coast make a run this much longer or shorter, as one standard deviation."""

SEEN_SPANS = 1.0
"""Something that falls in spoils the slopes for one span of their line. Seen for longer than that, they lie
apart, which tells how sure their median is."""

MEASURED_SHARE = 0.008
"""Standard uncertainty of a flow that was seen, as a share of it, at least."""

MEDIAN_SIGMA = 1.86
"""Standard uncertainty of the median of n normal values is so many times the median of their distances from
it, divided by the root of n (1.4826 x the root of pi / 2)."""

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
    span_s: float = 0.0
    """The longest of its lines."""
    seen_g_per_s: list[float] = field(default_factory=list)

    @property
    def _seen(self) -> tuple[float, float]:
        """Its flow as seen, in g/s, and the standard uncertainty as a share of it; 0 if not for long enough.
        Only lines that share no readings are independent."""
        spans = 0.0 if self.seen_from_s is None else (self.seen_to_s - self.seen_from_s) / self.span_s
        flow = median(self.seen_g_per_s) if spans >= SEEN_SPANS else 0.0
        if flow <= 0.0:
            return 0.0, 0.0
        apart = median(abs(slope / flow - 1) for slope in self.seen_g_per_s)
        return flow, max(MEASURED_SHARE, MEDIAN_SIGMA * apart / sqrt(spans))

    @property
    def flow(self) -> tuple[float, float]:
        """Its flow in g/s, as seen or as learned, whichever is surer, with that uncertainty."""
        learned, seen = (self.learned_g_per_s, self.learned_share), self._seen
        if not learned[0] or not seen[0]:
            return max(learned, seen)
        return min(learned, seen, key=lambda flow: flow[1])

    @property
    def measured_g_per_s(self) -> float:
        """Its flow as seen, 0 if nothing sure was."""
        flow, share = self._seen
        return flow if share <= FIRST_FLOW_SHARE else 0.0

    def expected(self, now_s: float) -> tuple[float, float]:
        """What it has delivered and the standard uncertainty, in g; 0 if its flow is unknown."""
        run_s = (now_s if self.to_s is None else self.to_s) - self.from_s
        flow, share = self.flow
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
        """The pump stops, or will stop by itself at this time; the earliest counts."""
        if self.runs:
            run = self.runs[-1]
            run.to_s = now_s if run.to_s is None else min(run.to_s, now_s)

    def note(self, flow_g_per_s: float, span_s: float, now_s: float) -> None:
        """The slope of a line over `span_s` that lies wholly within the present run."""
        run = self.runs[-1]
        run.span_s = max(run.span_s, span_s)
        run.seen_from_s = now_s if run.seen_from_s is None else run.seen_from_s
        run.seen_to_s = now_s
        run.seen_g_per_s.append(flow_g_per_s)

    @property
    def unseen_g(self) -> float:
        """What the last pump gives in `UNSEEN_S`: as much may be its own without being seen as flow."""
        return UNSEEN_S * self.runs[-1].flow[0] if self.runs else 0.0

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
