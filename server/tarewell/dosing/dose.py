"""One dose under way: how much is missing, which feed to use, when to cut off."""

from dataclasses import dataclass, field, replace
from enum import StrEnum

from tarewell.weighing.estimator import Estimate

from .course import LANDING_S, LINE_PERIODS, PART_S, STEADY_SHARE
from .events import DoseEnded
from .inflight import FEW_STOPS, SURE_HZ, InFlight
from .jog import MAX_FLOW_G_PER_S
from .jogs import Jogs, Shortfall
from .plan import DosePlan
from .setup import DosingSettings
from .taught import Taught
from .tolerance import Verdict, permissible_deviation_g

SHORT_FEED_S = 0.7
LINE_SAMPLES = 7
"""A feed shorter than this, or than what its first liquid takes to land and so many samples, is too short to
measure its flow; the slower feed is used instead."""

GUARD_G = 0.25
"""A mass this close to the limit of tolerance may lie beyond it: two standard deviations of a rest's scatter
and of what may still drip, as seen on the simulated machine."""

CAUTION_SHARE = 0.25

MAX_FEEDS = 4
FLOW_GAIN = 0.03
"""Weight of each new estimate in the running mean of the flow."""

ACCURACY_G = 0.7
"""Two spreads of a stop or of a timed run may be this much, or the tolerance if that is less: where they are
more, a stop comes early and a timed run follows."""

MAX_DRIPS_SHARE = 0.3
"""A dose aims short by what usually drips, at most by this share of its tolerance."""

PLAUSIBLE_SHARE = 1.5
"""No channel gives more than so many times what it has taught; the watch holds a pour where one does."""

SPANNED_S = 0.55
"""A line that leaves out the feed's start and spans this time measures it."""

MEASURED_S = 0.5
SURE_SHARE = 0.5
"""A flow counts as measured once it spans this time with an uncertainty below this share of it."""


class Feed(StrEnum):
    """The next feed of a dose."""

    COARSE = "coarse"
    FINE = "fine"
    JOG = "jog"
    NONE = "none"


@dataclass(slots=True)
class CutOff:
    """The state when the pump was commanded to stop; mass in g, flows in g/s.

    `full_flow_g_per_s` is the flow at full speed as far as this dose shows it, `fine_share` that of the fine
    feed as a share of it; 0 if it does not.
    """

    mass_g: float
    flow_g_per_s: float
    full_flow_g_per_s: float
    flow_measured: bool
    """Whether this feed has shown that flow well."""
    fine_share: float
    learnable: bool
    ran_s: float = 0.0
    """How long the pump ran for it at full speed, from rest; 0: not so."""


@dataclass(slots=True)
class ActiveDose:
    """The dose that is being poured. Masses are gross, in g."""

    index: int
    plan: DosePlan
    start_g: float
    began_s: float
    taught: Taught
    variable_speed: bool
    sample_rate_hz: float
    usual_drips_g: float = 0.0
    """What usually drips after the verdict."""
    feeds: int = 0
    to_feed_g: float = 0.0
    """What was missing at the start of its last feed."""
    jogs: Jogs = field(default_factory=Jogs)
    peak_g_per_s: float = 0.0
    flow_g_per_s: float = 0.0
    steady: bool = False
    """Whether its flow was seen without the start."""
    guess_g_per_s: float = 0.0
    fine_share: float = 0.0
    inflight_used_g: float = 0.0
    cut_off_s: float | None = None
    cut_off: CutOff | None = None
    watched: bool = False
    """Whether it was watched for drips."""
    sucked_back: bool = False
    tolerance_g: float = field(init=False)
    """Permissible deviation of this dose."""
    short_feed_s: float = field(init=False)
    """The shortest feed whose flow can be measured, in s."""
    whole_line_s: float = field(init=False)
    """The shortest whose last line is a whole one, without its start."""

    def __post_init__(self) -> None:
        self.short_feed_s = max(SHORT_FEED_S, LANDING_S + LINE_SAMPLES / self.sample_rate_hz)
        window_s = max(self.settings.flow_window_s, LINE_PERIODS / self.sample_rate_hz)
        self.whole_line_s = LANDING_S + window_s
        self.tolerance_g = permissible_deviation_g(self.plan.target_g, self.settings.accuracy_class)

    @property
    def settings(self) -> DosingSettings:
        """How carefully to pour."""
        return self.taught.settings

    @property
    def inflight(self) -> InFlight:
        """What the channel has taught, this dose included."""
        return self.taught.inflight

    @inflight.setter
    def inflight(self, inflight: InFlight) -> None:
        self.taught = replace(self.taught, inflight=inflight)

    def resume(self, inflight: InFlight) -> None:
        """Continue after a hold with as many feeds and jogs as a new dose has. What seemed too slow may have
        had nothing to draw."""
        self.feeds, self.jogs.count, self.jogs.vain, self.cut_off = 0, 0, 0, None
        self.taught = Taught(inflight, self.settings, inflight.drawn_back)

    @property
    def end_g(self) -> float:
        """The gross mass at which the dose is complete."""
        return self.start_g + self.plan.target_g

    @property
    def stop_g(self) -> float:
        """The gross mass to aim for at the verdict: what will drip is still missing."""
        return self.end_g - min(max(self.usual_drips_g, 0.0), MAX_DRIPS_SHARE * self.tolerance_g)

    @property
    def end_cause(self) -> str:
        """The cause of a dose that ran to its end."""
        return "target"

    @property
    def aim_g(self) -> float:
        """A shortfall up to this is accepted."""
        return min(self.tolerance_g, max(self.settings.min_aim_g, self.settings.aim_share * self.tolerance_g))

    @property
    def full_flow_g_per_s(self) -> float:
        """Flow at full speed: learned, seen in this dose, or an upper bound."""
        return self._fed_flow_g_per_s or self._jogged_g_per_s or MAX_FLOW_G_PER_S

    @property
    def _jogged_g_per_s(self) -> float:
        """Flow at full speed as jogs have shown it, 0 if none has."""
        return self.jogs.shown_g_per_s(self.settings.coarse_speed)

    @property
    def _fed_flow_g_per_s(self) -> float:
        """Flow at full speed as feeds have shown it, 0 if none has. From a fine feed alone it is a guess, and
        jogs may have shown more."""
        guess = self.guess_g_per_s and max(self.guess_g_per_s, self._jogged_g_per_s)
        return self.inflight.flow_g_per_s or self.flow_g_per_s or guess

    def expected_flow(self, speed: int) -> tuple[float, float]:
        """Flow at a speed in g/s, 0 if nothing is known of it, and its standard uncertainty as a share."""
        share, sigma_share = self.taught.expected(speed)
        return self._fed_flow_g_per_s * share, sigma_share

    @property
    def _accuracy_g(self) -> float:
        return min(self.tolerance_g, ACCURACY_G)

    @property
    def _can_time(self) -> bool:
        """Whether a run at full speed can be timed."""
        return not self.jogs.surprised and self.taught.offset(self.settings.coarse_speed) is not None

    def _time_is_surer(self, missing_g: float) -> bool:
        """Whether a timed run reaches the target well enough, and the line of a coarse feed would hold its
        start, whose first liquid weighs by its impact."""
        offset = self.taught.offset(self.settings.coarse_speed)
        if offset is None or self.jogs.surprised or not self.jogs.left(self.settings.max_jogs):
            return False
        inflight = self.inflight
        whole_line_s = self.whole_line_s + inflight.lag_s
        sigma_g = offset.sigma_g(missing_g, inflight.flow_g_per_s, inflight.flow_share)
        return missing_g < inflight.flow_g_per_s * whole_line_s and 2 * sigma_g < self._accuracy_g

    def _short(self, missing_g: float) -> Shortfall:
        fed = self._fed_flow_g_per_s
        return Shortfall(missing_g, self.tolerance_g, self._accuracy_g, fed, self.taught, self.variable_speed)

    def next_feed(self, mass_g: float) -> Feed:
        """What to do with `mass_g` at rest on the platform."""
        missing_g = self.stop_g - mass_g
        if missing_g <= self.aim_g:
            return Feed.NONE
        lag_s = self.inflight.lag_s + self._caution_s
        slow = self.taught.most(self.taught.fine_speed) if self.variable_speed else 1.0
        flow = self.full_flow_g_per_s
        least_s = max(self.short_feed_s, LANDING_S + PART_S) if self._can_time else self.short_feed_s
        if self._time_is_surer(missing_g):
            return Feed.JOG
        for feed, least_g in (
            (Feed.COARSE, flow * (lag_s + least_s)),
            (Feed.FINE, flow * slow * (lag_s + self.short_feed_s)),
        ):
            if feed is Feed.FINE and self._can_time:
                break
            if missing_g > least_g and self.feeds < MAX_FEEDS:
                self.to_feed_g = missing_g
                return feed if self.variable_speed else Feed.COARSE
        if not self._flow_known and not self.jogs.probed:
            return Feed.JOG
        return Feed.JOG if self.jogs.can_help(self._short(missing_g)) else Feed.NONE

    def in_doubt(self, mass_g: float) -> bool:
        """Whether `mass_g`, with what usually drips, is too near the limit of tolerance to judge at once."""
        final_g = mass_g + max(self.usual_drips_g, 0.0)
        return not self.watched and abs(self.end_g - final_g) > self.tolerance_g - GUARD_G

    @property
    def _flow_known(self) -> bool:
        return self.full_flow_g_per_s != MAX_FLOW_G_PER_S

    @property
    def _caution_s(self) -> float:
        """Stop earlier by part of the spread, by all of it while little is known. Where a timed run can
        follow, so early that two spreads end within tolerance."""
        spread_s = self.inflight.spread_s
        if self.inflight.count < FEW_STOPS:
            return spread_s
        caution_s = CAUTION_SHARE * spread_s
        if not self._can_time:
            return caution_s
        return max(caution_s, 2 * spread_s - self._accuracy_g / self.inflight.flow_g_per_s)

    def plausible_g_per_s(self, flow_g_per_s: float) -> float:
        """The flow as seen, as far as a taught channel can give it: a hand that leans makes it steeper."""
        limit = PLAUSIBLE_SHARE * self.inflight.flow_g_per_s
        return min(flow_g_per_s, limit) if limit else flow_g_per_s

    def fine_pays(self, flow_g_per_s: float) -> bool:
        """Whether a stop at this flow would scatter too much for the tolerance, and a slower flow is known. A
        slow feed of unknown flow may take seconds; a stop that comes early, and jogs, take less."""
        scatters = self.variable_speed and 2 * self.inflight.spread_g(flow_g_per_s) > self.tolerance_g
        return scatters and not self._can_time and self.taught.knows(self.taught.fine_speed)

    def switch_due(self, mass_g: float, flow_g_per_s: float) -> bool:
        """Whether to go from coarse to fine feed now."""
        coarse_lag_g = self.inflight.mass_g(flow_g_per_s)
        return mass_g + coarse_lag_g + self._fine_reserve_g(flow_g_per_s) >= self.stop_g

    def _fine_reserve_g(self, flow_g_per_s: float) -> float:
        """What is left for the fine feed, at most, where the full flow is this."""
        lasts_s = self.settings.fine_s + self.inflight.lag_s + self._caution_s
        return flow_g_per_s * self.taught.most(self.taught.fine_speed) * lasts_s

    def time_to_cut_s(self, mass_g: float, flow_g_per_s: float) -> float:
        """Seconds until the stop must be sent; negative if it is overdue. A first one, where nothing is known
        of the channel, leaves enough for another feed, which then stops by what it taught."""
        if flow_g_per_s <= 0:
            return float("inf")
        left_s = self.inflight.lag_s + self._caution_s
        sure = self.inflight.count == 0 and self.sample_rate_hz >= SURE_HZ
        if sure and (half_s := (self.to_feed_g / flow_g_per_s - left_s) / 2) >= LANDING_S + SPANNED_S:
            left_s += min(half_s, self.whole_line_s)
        return (self.stop_g - mass_g) / flow_g_per_s - left_s

    def note_flow(self, estimate: Estimate, coarse: bool, steady: bool) -> None:
        """Keep the largest well-measured flow; a fine feed only allows a guess at the full flow.

        The first liquid weighs by its impact: a line that is not `steady` shows too much.
        """
        if not self._well_measured(estimate):
            return
        if coarse:
            flow = estimate.flow_g_per_s
            if estimate.flow_sigma_g_per_s < STEADY_SHARE * flow:  # not while a hand leans on the platform
                self.peak_g_per_s = max(self.peak_g_per_s, flow)
            if steady and not self.steady:
                self.steady, self.flow_g_per_s = True, flow
            self.flow_g_per_s += FLOW_GAIN * (flow - self.flow_g_per_s) if self.flow_g_per_s else flow
        else:
            full = self.flow_g_per_s or self.inflight.flow_g_per_s
            if full and steady and estimate.flow_sigma_g_per_s < STEADY_SHARE * estimate.flow_g_per_s:
                self.fine_share = min(1.0, estimate.flow_g_per_s / full)
            guess = estimate.flow_g_per_s / self.taught.most(self.taught.fine_speed)
            self.guess_g_per_s += FLOW_GAIN * (guess - self.guess_g_per_s) if self.guess_g_per_s else guess

    def _well_measured(self, estimate: Estimate) -> bool:
        whole = estimate.span_s >= MEASURED_S
        return whole and estimate.flow_sigma_g_per_s < SURE_SHARE * estimate.flow_g_per_s

    def stop_at(
        self, mass_g: float, estimate: Estimate, now_s: float, measured_g_per_s: float, ran_s: float
    ) -> None:
        """The pump is commanded to stop with `mass_g` on the platform.

        `measured_g_per_s` is its flow at full speed as this feed has shown it, 0 if it was too short; `ran_s`
        how long it ran at full speed, from rest, 0 if it did not.
        """
        flow = estimate.flow_g_per_s
        self.inflight_used_g = (self.inflight.lag_s + self._caution_s) * max(flow, 0.0)
        self.cut_off_s = now_s
        guess = self.guess_g_per_s if self.taught.knows(self.taught.fine_speed) else 0.0
        seen = guess and max(guess, self._jogged_g_per_s)
        short = 0.0 if self.inflight.flow_g_per_s else self.flow_g_per_s or seen
        if self.steady and self.inflight.count < FEW_STOPS:  # the first flows that were seen are not sure
            short = self.flow_g_per_s
        full_flow = measured_g_per_s or short
        learnable = self._well_measured(estimate) and flow > 0.3
        measured = measured_g_per_s > 0
        self.cut_off = CutOff(mass_g, flow, full_flow, measured, self.fine_share, learnable, ran_s)
        self.fine_share = 0.0

    @property
    def expected_of_stop(self) -> tuple[float, float] | None:
        """The mass at rest in g after the last stop from full speed, and its standard uncertainty; None where
        the channel has not taught them."""
        cut, inflight = self.cut_off, self.inflight
        if cut is None or not cut.learnable or inflight.count < FEW_STOPS:
            return None
        return cut.mass_g + inflight.mass_g(cut.flow_g_per_s), inflight.spread_g(cut.flow_g_per_s)

    def expected_of_jog(self, ran_s: float) -> tuple[float, float] | None:
        """The same after the last jog, which ran for `ran_s` at full speed."""
        offset, flow = self.taught.offset(self.settings.coarse_speed), self.inflight.flow_g_per_s
        if offset is None or self.jogs.surprised:
            return None
        gave_g = flow * (ran_s - offset.offset_s)
        return self.jogs.from_g + gave_g, offset.sigma_g(gave_g, flow, self.inflight.flow_share)

    def stands(self, speed: int) -> None:
        """The pump does not turn at a speed, so that the next slow run uses a faster one."""
        self.inflight = self.inflight.with_share(speed, 0.0)

    def jog_s(self, mass_g: float) -> float:
        """How long a jog should run to reach the target from `mass_g`, or to show the flow."""
        missing_g = self.stop_g - mass_g
        if not self._flow_known and not self.jogs.probed:
            return self.jogs.probe_s(missing_g, mass_g, self.settings.coarse_speed)
        return self.jogs.next_s(self._short(missing_g), mass_g)

    def after_jog(self, mass_g: float, jog_s: float) -> None:
        """Learn from what a jog delivered."""
        self.inflight = self.jogs.learn(self._short(self.stop_g - self.jogs.from_g), mass_g, jog_s)

    def ended(
        self, delivered_g: float, planned_g: float, verdict: Verdict | None, cause: str, now_s: float
    ) -> DoseEnded:
        """The report of its end. `planned_g` is what the pour's plan asked for."""
        target_g = self.plan.target_g
        return DoseEnded(
            index=self.index,
            delivered_g=delivered_g,
            inflight_g=self.inflight_used_g,
            peak_flow_g_per_s=self.peak_g_per_s,
            jogs=self.jogs.count,
            began_s=self.began_s,
            cut_off_s=self.cut_off_s,
            ended_s=now_s,
            verdict=verdict,
            cause=cause,
            target_g=None if target_g == planned_g else target_g,
        )
