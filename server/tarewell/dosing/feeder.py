"""Brings one dose to its target: coarse feed, fine feed where it pays, cut-off, settling, jogs.

The feeder acts in the states COARSE_FEED, FINE_FEED, SETTLING and JOG_FEED of the pour; the pour around it
owns the other states. Its methods return what to do and to record; an alarm, unless it
is a note, comes last.
"""

from collections.abc import Sequence
from dataclasses import replace

from tarewell.weighing.reading import Reading
from tarewell_protocol.messages import Direction, StopCause

from . import events as e
from .account import MassAccount
from .alarms import alarm
from .board_stops import alarm_of_stop
from .course import LANDING_S, Course
from .dose import ActiveDose, Feed
from .inflight import InFlight
from .jogs import FULL_RUN_S
from .lessons import Lessons
from .listening import Listening
from .plan import Purpose
from .service import DOSES, ServiceDose
from .setup import PourSetup
from .standstill import Standstill
from .states import FEEDING, PourState
from .suck_back import APART_S, reverse_s
from .taught import Taught
from .uncertainty import SeenDrips
from .watch import CONFIRM_S, EVENT_GRACE_S, FIRST_FLOW_G, PourChecks

SLOWEST_G_PER_S = 0.8
"""Flow assumed for the time limit of an unknown channel."""

SLOWING_S = 0.25
"""After going from coarse to fine feed the flow is not measured for this long, while the pump slows down."""

DRIPS_S = 1.5
"""A dose that ends near its limit is watched for drips this long, then weighed again and judged."""

NEAR_SAMPLES = 1.5
"""A cut-off closer than this many sample periods is timed instead of waiting for the next sample."""


Outputs = list[e.PourOutput]


class Feeder:
    """One dose after another: the first from `start`, the others from `go_on`, each until `done`."""

    def __init__(self, setup: PourSetup, course: Course, watch: PourChecks) -> None:
        self._setup = setup
        self._settings = setup.settings
        self._course = course
        self._watch = watch
        self.lessons = Lessons(setup)
        drink = setup.plan.purpose is Purpose.DRINK
        self._arrival_s = self._settings.no_flow_s if drink else self._settings.prime_wait_s
        self._gross_g = 0.0
        self._beyond: tuple[StopCause, float] | None = None
        """The board reported the pump stopped at a limit, after the reading of this mass in g."""
        self._entered_s = 0.0
        self._deadline_s = 0.0
        self._cut_s: float | None = None
        self._renewed_s = 0.0
        self._fed_from_g = 0.0
        self._jog_s = 0.0
        self._judge_s = 0.0
        self._slowing_until_s = 0.0
        self._off_s: float | None = None
        """When the pump that turned back was seen to stand."""
        self._standstill = Standstill()
        self.account = MassAccount()
        self.state = PourState.SETTLING
        self.dose: ActiveDose | None = None
        self.done = False
        self.glass_g = 0.0
        self.mass_g = 0.0
        """Last mass known on the platform."""
        self.targets_g = tuple(dose.target_g for dose in setup.plan.doses)
        """The present target of each dose."""

    @property
    def flow_g_per_s(self) -> float:
        """The flow of the pump that runs, 0 if none does."""
        return self._current.full_flow_g_per_s if self.state in FEEDING else 0.0

    @property
    def wakeup_s(self) -> float:
        """When `tick` is wanted at the latest."""
        return self._deadline_s if self._cut_s is None else min(self._cut_s, self._deadline_s)

    def start(self, glass_g: float, now_s: float) -> Outputs:
        """Start the first dose: the glass, which weighs `glass_g` empty, is at rest."""
        self.glass_g = self.mass_g = glass_g
        return self._begin(0, now_s)

    def go_on(self, now_s: float) -> Outputs:
        """Start the next dose from where the last one ended."""
        return self._begin(self._current.index + 1, now_s)

    def _begin(self, index: int, now_s: float) -> Outputs:
        plan = replace(self._setup.plan.doses[index], target_g=self.targets_g[index])
        self.account.open(self.mass_g, self._course)
        inflight = self.lessons.of(plan.channel)
        self.done = False
        self._standstill.stood = 0
        self.dose = DOSES[self._setup.plan.purpose](
            index,
            plan,
            self.mass_g,
            now_s,
            Taught(inflight, self._settings, inflight.drawn_back),
            self._setup.variable_speed,
            self._setup.sample_rate_hz,
            self._setup.drips.get(plan.channel, SeenDrips()).mean_g,
        )
        began = e.DoseBegan(index, inflight.mass_g(self.dose.full_flow_g_per_s))
        return [began, *self._feed_next(self.dose, self.mass_g, now_s)]

    def resume(self, now_s: float) -> Outputs:
        """Continue the dose after a hold: weigh the glass, then feed what is missing."""
        dose = self._current
        dose.resume(self.lessons.of(dose.plan.channel))
        self.lessons.drop_stop()
        self._standstill.stood = 0
        self._jog_s = 0.0  # learn nothing from a jog that a hold cut short
        self._enter(PourState.SETTLING, now_s, self._settings.rest_wait_s)
        return []

    def retarget(self, index: int, targets_g: Sequence[float]) -> None:
        """Give the doses from `index` on other targets."""
        self.targets_g = (*self.targets_g[:index], *targets_g)

    def forget(self) -> Outputs:
        """The pump is not the one that has taught the channel's flow: learn it anew."""
        return [self.lessons.keep(self._current, InFlight())] if self.state in FEEDING else []

    def halt(self, now_s: float) -> None:
        """The pump is stopped from outside."""
        self.lessons.drop_stop()
        self.account.balance.stop(now_s)

    def come_to_rest(self, mass_g: float, now_s: float) -> Outputs:
        """The pour is held or ends with this mass at rest, in g, on the platform."""
        self.mass_g = mass_g
        return [] if self.dose is None else self._check_balance(mass_g, now_s)

    def note(self, reading: Reading) -> None:
        """A reading, which the course follows already."""
        self._gross_g = reading.gross_g
        if (level_g := self._course.level_g) is not None and self.state is not PourState.SUCK_BACK:
            self.mass_g = level_g

    def take(self, reading: Reading, now_s: float) -> Outputs:
        """Act on a reading that was noted, and with which nothing is wrong."""
        if self._beyond is not None:
            return self._tell_limit(*self._beyond)
        match self.state:
            case PourState.SETTLING:
                return self._settle(reading, now_s)
            case PourState.JOG_FEED:
                return self._jog(reading, now_s)
            case PourState.SUCK_BACK:
                return self._suck_back(reading, now_s)
            case _:
                return self._feed(reading, now_s)

    def tick(self, now_s: float) -> Outputs:
        """Cut off, or raise an alarm if the state has lasted too long."""
        if self._cut_s is not None and now_s >= self._cut_s:
            return self._cut_off(now_s)
        if now_s < self._deadline_s:
            return []
        lasted_s = now_s - self._entered_s
        if self.state is PourState.SUCK_BACK:
            stuck = self._watch.seen_on and self._off_s is None
            detail = f"still reported on {CONFIRM_S:g} s after it should have stopped"
            return _raise("pump_stuck", detail) if stuck else self.end_suck_back(now_s, drawn=False)
        if self.state is PourState.SETTLING:
            return _raise("not_at_rest", f"moving for {lasted_s:.1f} s")
        return _raise("took_too_long", f"{lasted_s:.1f} s, {self.mass_g:.1f} g on the platform")

    def stopped(self, channel: int, cause: StopCause, now_s: float, listening: Listening) -> Outputs:
        """The board reported the channel stopped; where this computer was late, it is to blame."""
        if self.state is PourState.SUCK_BACK:
            return self.end_suck_back(now_s, drawn=cause is StopCause.TIME)
        if self.state not in FEEDING or channel != self._current.plan.channel:
            return []
        self.halt(now_s)
        match cause:
            case StopCause.TIME if self.state is PourState.JOG_FEED:
                self._end_jog(now_s)
                return []
            case StopCause.CEILING | StopCause.LIMIT:  # its reading may come before this report or after it
                self._beyond, self._cut_s = (cause, self._gross_g), None
                return []
            case _:
                return [e.Raised(listening.blame(alarm_of_stop(cause, channel, self._settings), now_s))]

    def _tell_limit(self, cause: StopCause, before_g: float) -> Outputs:
        """A platform from which the glass is yanked springs back, below the board's low limit."""
        low_g, high_g = sorted((before_g, self._gross_g))
        if (found := self._watch.lifted(low_g, self.glass_g)) is not None:
            self.account.lift()
            return [e.Raised(found)]
        channel = self._current.plan.channel
        if cause is StopCause.LIMIT:
            return [e.Raised(alarm_of_stop(cause, channel, self._settings))]
        return _raise("ceiling_reached", f"{high_g:.0f} g on the platform", channel)

    # Feeding

    def _feed_next(self, dose: ActiveDose, mass_g: float, now_s: float) -> Outputs:
        match dose.next_feed(mass_g):
            case Feed.COARSE:
                dose.feeds += 1
                return self._start(PourState.COARSE_FEED, self._settings.coarse_speed, mass_g, now_s)
            case Feed.FINE:
                dose.feeds += 1
                return self._start(PourState.FINE_FEED, dose.taught.fine_speed, mass_g, now_s)
            case Feed.JOG:
                self._jog_s = dose.jog_s(mass_g)
                self._enter(PourState.JOG_FEED, now_s, self._jog_s + CONFIRM_S)
                out = self._run(dose, dose.jogs.speed, mass_g, now_s, max_s=self._jog_s)
                self.account.balance.stop(now_s + self._jog_s)
                return out
            case Feed.NONE if dose.in_doubt(mass_g):
                dose.watched = True
                self.lessons.drop_stop()
                self._judge_s = now_s + DRIPS_S
                self._deadline_s = self._judge_s + self._settings.rest_wait_s
            case Feed.NONE:
                return self._start_suck_back(dose, mass_g, now_s)
        return []

    def _start_suck_back(self, dose: ActiveDose, mass_g: float, now_s: float) -> Outputs:
        """The dose is judged: draw the last drop back, where that can be done, before it is `done`."""
        run_s = reverse_s(dose.taught, self._settings) if self._setup.reversible else None
        if run_s is None or dose.sucked_back or isinstance(dose, ServiceDose):
            self.done = True
            return []
        self.lessons.end_stop()
        dose.sucked_back = True
        self._off_s = None
        self._enter(PourState.SUCK_BACK, now_s, run_s + CONFIRM_S)
        ceiling_g = max(mass_g, dose.end_g) + self._settings.ceiling_margin_g + self._course.added_g
        run = self._setup.run(dose.plan.channel, self._settings.coarse_speed, ceiling_g, run_s)
        return [e.RunPump(replace(run, direction=Direction.REVERSE))]

    def _suck_back(self, reading: Reading, now_s: float) -> Outputs:
        self._watch.seen_on = reading.pump_on
        if reading.pump_on:
            return self._renew(now_s)
        return [] if self._off_s is None else self.end_suck_back(now_s, drawn=False)

    def end_suck_back(self, now_s: float, *, drawn: bool) -> Outputs:
        """The pump no longer turns back: the dose is over once another may turn forwards. Only if all is
        `drawn` back, there is a gap to count on: one that is not there would end in too much."""
        dose = self._current
        if self._off_s is None:
            self._off_s = now_s
        last = dose.index + 1 == len(self._setup.plan.doses)
        self.done = last or now_s - self._off_s >= APART_S
        return [self.lessons.keep(dose, replace(dose.inflight, drawn_back=True))] if drawn else []

    def _start(self, state: PourState, speed: int, mass_g: float, now_s: float) -> Outputs:
        dose = self._current
        missing_g = dose.end_g - mass_g
        share = dose.taught.share(speed)
        slowest = 0.5 * dose.inflight.flow_g_per_s or SLOWEST_G_PER_S
        wanted_s = self._arrival_s + 2 * missing_g / (slowest * share)
        allowed_s = min(wanted_s, self._settings.max_feed_s - CONFIRM_S)
        self._fed_from_g = mass_g
        self._enter(state, now_s, allowed_s)
        return self._run(dose, speed, mass_g, now_s, max_s=allowed_s + CONFIRM_S)

    def _run(self, dose: ActiveDose, speed: int, mass_g: float, now_s: float, max_s: float) -> Outputs:
        self.lessons.drop_stop()
        full_speed = speed == self._settings.coarse_speed
        flow_g_per_s, share = dose.expected_flow(speed)
        filled_s = now_s + (dose.taught.usual_gap_s(speed) if dose.taught.after_gap else 0.0)
        self.account.balance.start(filled_s, flow_g_per_s, share, full_speed=full_speed)
        ceiling_g = max(mass_g, dose.end_g) + self._settings.ceiling_margin_g + self._course.added_g
        out: Outputs = [e.RunPump(self._setup.run(dose.plan.channel, speed, ceiling_g, max_s))]
        if dose.inflight.drawn_back:
            out.append(self.lessons.keep(dose, replace(dose.inflight, drawn_back=False)))
        return out

    def _feed(self, reading: Reading, now_s: float) -> Outputs:
        dose, estimate = self._current, self._course.estimate
        on_s, coarse = now_s - self._entered_s, self.state is PourState.COARSE_FEED
        if found := self._watch.pump(reading, dose.plan.channel, on_s, now_s):
            return [e.Raised(found)]
        out = self._renew(now_s)
        level_g = self._fed_from_g if estimate is None else self.mass_g
        risen_g = level_g - self._fed_from_g
        if isinstance(dose, ServiceDose):
            if found := dose.check(on_s, level_g):
                return [*out, e.Raised(found)]
            if dose.dry:
                return out + self._cut_off(now_s)
        elif coarse and (found := self._watch.flow(self._course, now_s, on_s, risen_g, dose.flow_g_per_s)):
            return [*out, e.Raised(found)]
        if now_s < self._slowing_until_s:
            self._course.begin(now_s)
            return out
        if estimate is None:
            return out
        flow = dose.plausible_g_per_s(estimate.flow_g_per_s)
        mass_g = self._course.mass_g(now_s)
        after_s = SLOWING_S if self._slowing_until_s > self._entered_s else LANDING_S
        steady = on_s - estimate.span_s >= after_s
        if steady:
            self.account.balance.note(estimate.flow_g_per_s, estimate.span_s, now_s)
        dose.note_flow(estimate, coarse, steady)
        if not coarse and self._settings.learn_speeds:
            full_g_per_s, _ = dose.expected_flow(self._settings.coarse_speed)
            came = self.mass_g - dose.start_g > FIRST_FLOW_G  # a dose's first liquid may take its time
            patience_s = 0.0 if came else self._settings.no_flow_s
            if self._standstill.lasts(flow, full_g_per_s, now_s, patience_s):
                return out + self._stand(dose, on_s, now_s)
        if coarse and flow > 0 and dose.fine_pays(flow):
            if dose.switch_due(mass_g, flow):
                out += self._start(PourState.FINE_FEED, dose.taught.fine_speed, mass_g, now_s)
                self._slowing_until_s = now_s + SLOWING_S
            return out
        wait_s = dose.time_to_cut_s(mass_g, flow)
        if wait_s <= 0:
            return out + self._cut_off(now_s)
        near = wait_s < NEAR_SAMPLES / self._setup.sample_rate_hz
        self._cut_s = now_s + wait_s if near else None
        return out

    def _stand(self, dose: ActiveDose, on_s: float, now_s: float) -> Outputs:
        """Go on with a faster feed; if none moves anything, it is not the speed."""
        if self._standstill.is_hopeless:
            return _raise("no_flow", f"nothing for {on_s:.1f} s, nor at lower speeds before")
        self._standstill.stood += 1
        dose.stands(dose.taught.fine_speed)
        self.account.balance.stop(now_s)
        self._enter(PourState.SETTLING, now_s, self._settings.rest_wait_s)
        return [e.StopPumps()]

    def _renew(self, now_s: float) -> Outputs:
        if now_s - self._renewed_s < self._settings.renew_s:
            return []
        self._renewed_s = now_s
        return [e.RenewLease(self._settings.lease_ms)]

    def _cut_off(self, now_s: float) -> Outputs:
        if (estimate := self._course.estimate) is not None:
            measured_g_per_s = self.account.balance.full_flow_g_per_s
            ran_s = now_s - self._entered_s if self.state is PourState.COARSE_FEED else 0.0
            self._current.stop_at(self._course.mass_g(now_s), estimate, now_s, measured_g_per_s, ran_s)
        self.account.balance.stop(now_s)
        coarse = self.state is PourState.COARSE_FEED
        self._enter(PourState.SETTLING, now_s, self._settings.rest_wait_s)
        if coarse:
            self.lessons.see_stop(self._current, self._current.expected_of_stop, self._course)
        return [e.StopPumps()]

    def _jog(self, reading: Reading, now_s: float) -> Outputs:
        on_s = now_s - self._entered_s
        if reading.pump_on:
            self._watch.seen_on = True
            return self._renew(now_s)
        if self._watch.seen_on or on_s > self._jog_s + EVENT_GRACE_S:  # it can fit between two samples
            self._end_jog(now_s)
        return []

    def _end_jog(self, now_s: float) -> None:
        dose = self._current
        self._enter(PourState.SETTLING, now_s, self._settings.rest_wait_s)
        if dose.jogs.speed == self._settings.coarse_speed and self._jog_s >= FULL_RUN_S:
            self.lessons.see_stop(dose, dose.expected_of_jog(self._jog_s), self._course)

    # Settling

    def _settle(self, reading: Reading, now_s: float) -> Outputs:
        if reading.pump_on:
            stuck = self._watch.stuck(now_s - self._entered_s)
            return [] if stuck is None else [e.Raised(stuck)]
        if found := self._watch.quiet(reading, self._course, now_s):
            return [e.Raised(found)]
        line = self._course.estimate
        if line is not None and now_s - self._entered_s - line.span_s > LANDING_S:
            self.account.see_flow(line)
        if now_s < self._judge_s:
            return []
        rest = self._course.long_rest() if self._current.watched else self._course.rest()
        if rest is not None:
            return self._weigh(rest.mean_g, now_s)
        foreseen = self.lessons.foresee(self._current, self._course)
        return [] if foreseen is None else self._weigh(foreseen.mean_g, now_s, foreseen=True)

    def _weigh(self, mass_g: float, now_s: float, *, foreseen: bool = False) -> Outputs:
        dose, added_g = self._current, self._course.added_g
        out = self._check_balance(mass_g, now_s)
        all_drink = not out
        if not foreseen:
            self.lessons.rested(dose, mass_g, added_g, all_drink=all_drink)
        if self._jog_s:
            out += self.lessons.of_jog(dose, self.mass_g, self._jog_s)
            self._jog_s = 0.0
        elif dose.cut_off is not None and all_drink:
            out.append(self.lessons.of_feed(dose, dose.cut_off, self.mass_g, self._fed_from_g))
        dose.cut_off = None
        dose.taught = replace(dose.taught, after_gap=False)
        return out + self._feed_next(dose, self.mass_g, now_s)

    def _check_balance(self, mass_g: float, now_s: float) -> Outputs:
        """What is drink of a mass at rest, in g, is `mass_g` from now on. Returns nothing if all is."""
        dose = self._current
        is_drink = not isinstance(dose, ServiceDose)
        weighed = self.account.weigh(mass_g, now_s, self._course, is_drink=is_drink)
        self.mass_g = weighed.drink_g
        return weighed.told(dose.index, dose.plan.channel)

    def _enter(self, state: PourState, now_s: float, limit_s: float) -> None:
        self.state = state
        self._entered_s = now_s
        self._deadline_s = now_s + limit_s
        self._cut_s = self._beyond = None
        self._slowing_until_s = self._standstill.moved_s = now_s
        rise_s = self._jog_s + LANDING_S if self._jog_s else 0.0  # what lands presses on the glass
        rise_g = rise_s * self._current.full_flow_g_per_s
        self._course.begin(now_s, rise_g)
        self._watch.reset()

    @property
    def _current(self) -> ActiveDose:
        if self.dose is None:
            raise RuntimeError("no dose has begun")
        return self.dose


def _raise(name: str, detail: str, channel: int | None = None) -> Outputs:
    return [e.Raised(alarm(name, detail, channel))]
