"""The jogs of one dose: which speed, how long, and what they teach.

Where the channel has taught what a run of some length gives, a jog is timed by that and may make up for all
that is missing. Elsewhere it goes by the jogs before it in this dose (`dosing/jog.py`).
"""

from dataclasses import dataclass, field

from .inflight import InFlight
from .jog import MAX_FLOW_G_PER_S, MIN_JOG_S, RUN_UP_FACTOR, JogModel
from .runs import OUTLIER_SIGMAS, RunOffset
from .taught import Taught

FAST_G_PER_S = 8.0
"""A pump with a larger flow is jogged at the fine speed."""

PROBE_S = 0.3
PROBE_SHARE = 0.5
"""A channel of unknown flow is first tried for this long, or for half of what is missing at most."""

STOOD_S = 0.25
STOOD_G = 0.05
"""Slow jogs that ran for so long and delivered less than this each did not turn the pump."""

SMALL_SHARE = 0.4
MAX_SMALL_JOGS = 3
"""So many jogs at a speed that nobody has measured may give less than this share of what is missing without
counting: they have to be short, since it may be nearly as fast as full speed."""

LONG_JOG_S = 0.25
"""What a fast pump gives in this time is worth a jog at full speed."""

SHORT_JOG_S = 0.12
"""The same, where a jog before it shows how long it has to be."""

SHOWING_S = 0.4
"""The pump has run up in most of a jog of this length, so that it shows the flow at its speed."""

FULL_RUN_S = 0.25
"""In a run of this length the pump comes to its full flow. One that can run slowly is not timed at full speed
for less."""

MAX_RUN_S = 1.5
"""The longest timed run."""

MAX_SHORT_SHARE = 0.5
"""A timed run that scatters much aims short of the target, by at most this share of what is missing."""

UNEXPLAINED_G = 0.2
"""A timed run that is off by less than this beyond its scatter is no surprise."""


@dataclass(frozen=True, slots=True)
class Shortfall:
    """What a dose lacks in g, and what there is to make up for it.

    Two spreads of a timed run may be `accuracy_g`, so that no further one is needed. `fed_g_per_s` is the
    flow at full speed as feeds have shown it, 0 if none has.
    """

    missing_g: float
    tolerance_g: float
    accuracy_g: float
    fed_g_per_s: float
    taught: Taught
    variable_speed: bool


@dataclass(slots=True)
class Jogs:
    """The jogs of one dose. The last ran at `speed` from `from_g` on."""

    count: int = 0
    probed: bool = False
    speed: int = 0
    from_g: float = 0.0
    vain: int = 0
    """So many gave little, as they had to, and don't count."""
    stood_s: float = 0.0
    """For how long the last ran without delivering anything."""
    surprised: bool = False
    """Whether a timed run gave something else than the channel has taught."""
    before_g_per_s: float = 0.0
    """Flow at full speed as they showed it before they went to another speed, 0 if they did not."""
    model: JogModel = field(default_factory=JogModel)

    def shown_g_per_s(self, full_speed: int) -> float:
        """Flow at full speed as jogs at that speed have shown it, 0 if none has."""
        return max(self.before_g_per_s, self.model.flow_g_per_s if self.speed == full_speed else 0.0)

    def left(self, most: int) -> bool:
        """Whether another one is allowed, of so many that count."""
        return self.count < most + self.vain

    def can_help(self, short: Shortfall) -> bool:
        """Whether one more is allowed and even the shortest would end nearer the target, within tolerance."""
        speed = self._next_speed(short)
        if (offset := self._offset(short.taught, speed)) is not None:
            shortest_s = max(offset.spread_s, MIN_JOG_S - offset.offset_s)
            shortest_g = shortest_s * short.taught.timed_g_per_s(speed)
        else:
            model = self.model if speed == self.speed else JogModel()
            shortest_g = model.shortest_g(self._flow_g_per_s(short, speed))
        left = self.left(short.taught.settings.max_jogs)
        return left and shortest_g - short.missing_g < min(short.missing_g, short.tolerance_g)

    def probe_s(self, missing_g: float, mass_g: float, full_speed: int) -> float:
        """How long to run at full speed to show a flow of which nothing is known, with `mass_g` at rest."""
        self.probed, self.speed, self.from_g = True, full_speed, mass_g
        return min(PROBE_S, PROBE_SHARE * missing_g / MAX_FLOW_G_PER_S)

    def next_s(self, short: Shortfall, mass_g: float) -> float:
        """How long the next should run, at `speed`, with `mass_g` at rest."""
        self.count += 1
        self.from_g = mass_g
        taught = short.taught
        if (speed := self._next_speed(short)) != self.speed:
            self.before_g_per_s = max(self.before_g_per_s, self.model.flow_g_per_s)
            self.speed, self.model = speed, JogModel()
        if (offset := self._offset(taught, speed)) is None:
            return self.model.next_s(short.missing_g, self._flow_g_per_s(short, speed))
        flow = taught.timed_g_per_s(speed)
        sigma_g = offset.sigma_g(short.missing_g, flow, taught.inflight.flow_share)
        risk_g = max(2 * sigma_g - short.accuracy_g, 0.0)
        aim_g = short.missing_g - min(risk_g, MAX_SHORT_SHARE * short.missing_g)
        return min(max(offset.run_s(aim_g, flow), MIN_JOG_S), MAX_RUN_S)

    def learn(self, short: Shortfall, mass_g: float, ran_s: float) -> InFlight:
        """What the channel has taught with the last one, which ran for `ran_s`, with `mass_g` at rest after
        it. `short` is as before it."""
        taught, settings = short.taught, short.taught.settings
        gave_g = mass_g - self.from_g
        self.model.learn(ran_s, gave_g)
        inflight = self._learn_offset(taught, gave_g, ran_s)
        slow = self.speed < settings.coarse_speed
        small = gave_g < SMALL_SHARE * short.missing_g
        if slow and small and not taught.knows(self.speed) and self.vain < MAX_SMALL_JOGS:
            self.vain += 1
        slope = self.model.slope_g_per_s
        full = short.fed_g_per_s or self.shown_g_per_s(settings.coarse_speed)
        shown = slow and ran_s >= SHOWING_S and slope and full
        if shown and settings.learn_speeds and not taught.knows(self.speed):
            inflight = inflight.with_share(self.speed, min(1.0, RUN_UP_FACTOR * slope / full))
            self.vain = self.count
        if gave_g >= STOOD_G or not (slow and settings.learn_speeds):
            self.stood_s = 0.0
            return inflight
        self.stood_s += ran_s
        if self.stood_s >= STOOD_S:
            inflight = inflight.with_share(self.speed, 0.0)
            self.stood_s, self.vain, self.model = 0.0, self.count, JogModel()
        return inflight

    def _learn_offset(self, taught: Taught, gave_g: float, ran_s: float) -> InFlight:
        flow = taught.timed_g_per_s(self.speed)
        if flow <= 0 or gave_g < STOOD_G or not taught.sure_of_flow:
            return taught.inflight
        if (offset := self._offset(taught, self.speed)) is not None:
            away_g = gave_g - flow * (ran_s - offset.offset_s)
            sigma_g = offset.sigma_g(gave_g, flow, taught.inflight.flow_share)
            self.surprised = self.surprised or abs(away_g) > OUTLIER_SIGMAS * sigma_g + UNEXPLAINED_G
        return taught.inflight.with_run(self.speed, ran_s - gave_g / flow, after_gap=taught.after_gap)

    def _offset(self, taught: Taught, speed: int) -> RunOffset | None:
        return None if self.surprised else taught.offset(speed)

    def _flow_g_per_s(self, short: Shortfall, speed: int) -> float:
        """Flow at this speed, 0 if unknown; the most that it may be where no jog has shown more."""
        taught = short.taught
        if speed == taught.settings.coarse_speed:
            return short.fed_g_per_s
        if self.model.slope_g_per_s and self.speed == speed and not taught.knows(speed):
            return 0.0
        shown = RUN_UP_FACTOR * self.shown_g_per_s(taught.settings.coarse_speed)
        return (short.fed_g_per_s or shown) * taught.most(speed)

    def _next_speed(self, short: Shortfall) -> int:
        """The fine speed for pumps that are known to be fast; full speed, too, for much that is missing,
        while the flow at the fine speed is unknown or where a timed run is accurate enough."""
        taught, coarse_speed = short.taught, short.taught.settings.coarse_speed
        full = short.fed_g_per_s or self.shown_g_per_s(coarse_speed)
        if not short.variable_speed or full <= FAST_G_PER_S:
            return coarse_speed
        offset = self._offset(taught, coarse_speed)
        shown = offset is None and self.speed == coarse_speed and self.model.ran_s > 0
        much = short.missing_g > full * (SHORT_JOG_S if shown else LONG_JOG_S)
        if offset is None:
            much = much and not taught.knows(taught.fine_speed)
        elif not much:
            sigma_g = offset.sigma_g(short.missing_g, full, taught.inflight.flow_share)
            runs_up = offset.run_s(short.missing_g, full) >= FULL_RUN_S
            much = runs_up and 2 * sigma_g < short.accuracy_g
        return coarse_speed if much else taught.fine_speed
