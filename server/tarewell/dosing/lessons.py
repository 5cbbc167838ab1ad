"""What the stops of a pour teach of its channels."""

from math import sqrt

from tarewell.weighing.stability import Rest

from . import events as e
from .balance import MEASURED_SHARE
from .course import Course
from .dose import ActiveDose, CutOff
from .inflight import FEW_STOPS, FIRST_STOP_SPREAD_S, SURE_HZ, InFlight
from .runs import FIRST_SPREAD_S
from .service import ServiceDose
from .settling_stop import SettlingStop
from .setup import PourSetup

MAX_OFFSET_RUN_S = 1.0
"""By the learned flow a longer run says more about the flow than about its offset."""


class Lessons:
    """What was known of each channel at the start, and what the pour has taught since."""

    def __init__(self, setup: PourSetup) -> None:
        self._settings = setup.settings
        self._known = dict(setup.known)
        self._first_spread_s = FIRST_STOP_SPREAD_S * min(1.0, sqrt(SURE_HZ / setup.sample_rate_hz))
        self.stop: SettlingStop | None = None
        """The last stop from full flow, until it has taught what it can."""

    def of(self, channel: int) -> InFlight:
        """What is known of a channel."""
        return self._known.get(channel, InFlight())

    def see_stop(self, dose: ActiveDose, expected: tuple[float, float] | None, course: Course) -> None:
        """The pump stopped from full flow; the mass in g that is `expected` at rest, with its standard
        uncertainty."""
        flow_g_per_s = dose.inflight.flow_g_per_s
        if flow_g_per_s and not isinstance(dose, ServiceDose):
            self.stop = SettlingStop(flow_g_per_s, expected, course.added_g)

    def drop_stop(self) -> None:
        """Learn nothing more from the last stop."""
        self.stop = None

    def end_stop(self) -> None:
        """A pump runs: the last stop teaches by what was seen until now."""
        if self.stop is not None:
            self.stop.end()

    def foresee(self, dose: ActiveDose, course: Course) -> Rest | None:
        """The mass at rest as the channel has taught to tell it, if it is sure enough."""
        stop = self.stop
        if stop is None or not stop.take(course):
            return None
        found = stop.foresee(dose.inflight.settling, dose.tolerance_g, course.added_g)
        return None if found is None else course.foreseen(*found)

    def rested(self, dose: ActiveDose, mass_g: float, added_g: float, *, all_drink: bool) -> None:
        """The glass came to rest with this mass, in g, `added_g` left out of it."""
        stop, self.stop = self.stop, None
        if stop is not None and all_drink and stop.added_g == added_g:
            dose.inflight = dose.inflight.with_lacks(stop.lacks(mass_g))

    def of_jog(self, dose: ActiveDose, mass_g: float, jog_s: float) -> list[e.PourOutput]:
        """Learn from a jog of `jog_s`, with `mass_g` at rest after it."""
        dose.after_jog(mass_g, jog_s)
        return [] if dose.inflight == self.of(dose.plan.channel) else [self.keep(dose, dose.inflight)]

    def of_feed(self, dose: ActiveDose, cut: CutOff, mass_g: float, fed_from_g: float) -> e.Learned:
        """Learn from a feed that began at `fed_from_g` and came to rest at `mass_g`, both gross in g."""
        learned = dose.inflight
        if cut.learnable:
            observed_g = mass_g - cut.mass_g
            learned = learned.learn(observed_g, cut.flow_g_per_s, self._first_spread_s)
        if cut.full_flow_g_per_s > 0:
            learned = learned.with_flow(cut.full_flow_g_per_s)
        if flow_g_per_s := self._shows_offset_at(cut, learned):
            offset_s = cut.ran_s - (mass_g - fed_from_g) / flow_g_per_s
            speed, after_gap = self._settings.coarse_speed, dose.taught.after_gap
            learned = learned.with_run(speed, offset_s, after_gap=after_gap)
        if cut.fine_share > 0 and self._settings.learn_speeds:
            learned = learned.with_share(dose.taught.fine_speed, cut.fine_share)
        return self.keep(dose, learned)

    def _shows_offset_at(self, cut: CutOff, learned: InFlight) -> float:
        """The flow in g/s by which a feed shows the offset of timed runs: its own, where it was measured, or
        for a short one what the channel has taught; 0: by neither."""
        if cut.flow_measured and cut.ran_s * MEASURED_SHARE <= FIRST_SPREAD_S:
            return cut.full_flow_g_per_s if cut.ran_s > 0 else 0.0
        short = 0 < cut.ran_s <= MAX_OFFSET_RUN_S and learned.count > FEW_STOPS
        return learned.flow_g_per_s if short else 0.0

    def keep(self, dose: ActiveDose, learned: InFlight) -> e.Learned:
        """The dose and those after it use this."""
        dose.inflight = self._known[dose.plan.channel] = learned
        return e.Learned(dose.plan.channel, dose.plan.liquid_id, learned)
