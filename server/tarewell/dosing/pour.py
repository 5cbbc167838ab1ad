"""The pour's state machine: events and the time in, commands and reports out.

`Pour.handle` looks the event up in the table of `states`, lets the state act, and refuses any step that the
table does not allow. `wakeup_s` says when a `Tick` is wanted at the latest. Nothing here reads a clock, so a
pour fed with its recorded events decides the same again.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace

from tarewell.weighing.reading import Reading
from tarewell_protocol.messages import Refusal, StopCause

from . import events as e
from .alarm_kinds import ALARMS, Reaction
from .alarms import Alarm, alarm
from .course import Course
from .dose import ActiveDose
from .drips import DripWatch
from .feeder import Feeder
from .held import HeldGlass, may_be_same
from .listening import Listening
from .plan import Purpose
from .progress import PourProgress
from .room import too_heavy
from .setup import PourSetup
from .states import COMMANDED, FEEDING, TABLE, PourState, UnexpectedPourEvent, kind_of
from .tally import Tally
from .watch import CONFIRM_S, LIFTED_SHARE, PourChecks

STOPPING_S = 2.0

FED = COMMANDED | {PourState.SETTLING}
"""The states in which the feeder acts."""

WEIGHING = FED | {PourState.TARING, PourState.RESTARTING}
"""The states that cannot do without readings."""


class Pour:
    """One pour from start to a terminal state."""

    def __init__(self, setup: PourSetup) -> None:
        self.setup = setup
        self.state = PourState.IDLE
        self._settings = setup.settings
        self._course = Course(setup)
        self._watch = PourChecks(setup)
        self._out: list[e.PourOutput] = []
        self._feeder = Feeder(setup, self._course, self._watch)
        self._tally = Tally(setup, self._feeder, self._course)
        self.drips: DripWatch | None = None
        """Follows what still falls into the glass, once the pour is over."""
        self._glass_g: float | None = None
        self.held = HeldGlass()
        self._alarm: Alarm | None = None
        self._cause = "target"
        self._now_s = 0.0
        self._entered_s = 0.0
        self._deadline_s: float | None = None
        self._listening = Listening(setup.settings.stale_s, setup.settings.lease_ms / 1000)

    def handle(self, event: e.PourInput, now_s: float) -> list[e.PourOutput]:
        """Take one event at the host's monotonic `now_s`.

        Raises:
            UnexpectedPourEvent: the present state does not take it; nothing has changed.
            TableError: the machine tried a step outside its table.
        """
        kind = kind_of(event)
        before = self.state
        if not TABLE.takes(before, kind):
            raise UnexpectedPourEvent(before, kind)
        if before in WEIGHING:
            self._listening.note(now_s)
        self._now_s = now_s
        match event:
            case Reading():
                self._listening.hear(now_s)
                self._course.take(event)
                if event.sample.latched and before is not PourState.ABORTING:
                    self._react(alarm("emergency_stop", "the board reports it latched"))
                else:
                    _ON_READING[before](self, event)
            case e.PourCommanded(command):
                self._take_command(command)
            case e.BoardStopped(channel, cause):
                self._take_stopped(channel, cause)
            case e.BoardRefused(channel, reason):
                if before is PourState.SUCK_BACK:  # if it is for long, the next dose is told
                    self._follow(self._feeder.end_suck_back(now_s, drawn=False))
                elif before in FEEDING:
                    name = "interlock_open" if reason == Refusal.INTERLOCK else "pump_refused"
                    self._react(alarm(name, reason))
            case e.LinkLost(reason):
                self._react(alarm("link_lost", reason))
            case e.WatchRaised(found):
                if found.name == "excess_flow":
                    self._out += self._feeder.forget()
                self._react(found)
            case e.Tick():
                self._take_tick()
        if self.state is not before:
            TABLE.check(before, kind, self.state)
        out, self._out = self._out, []
        return out

    @property
    def wakeup_s(self) -> float | None:
        """When the next `Tick` is due at the latest, on the host's clock; None when only events matter."""
        times = []
        if self.state in FED:
            times.append(self._feeder.wakeup_s)
        elif self._deadline_s is not None:
            times.append(self._deadline_s)
        if self.state in WEIGHING and self._listening.due_s is not None:
            times.append(self._listening.due_s)
        return min(times) if times else None

    @property
    def finished(self) -> bool:
        """Whether the pour is in a terminal state."""
        return self.state in TABLE.terminal

    @property
    def commanded(self) -> tuple[int, float | None] | None:
        """The channel commanded on and its flow at full speed in g/s as learned, None if unknown."""
        dose = self._feeder.dose if self.state in COMMANDED else None
        if dose is None:
            return None
        forwards = self.state in FEEDING and self.setup.plan.purpose is Purpose.DRINK
        learned = forwards and dose.inflight.flow_g_per_s
        return dose.plan.channel, learned or None

    @property
    def progress(self) -> PourProgress:
        """The pour at a glance."""
        dose = self._feeder.dose
        delivered = list(self._tally.delivered_g)
        if dose is not None and dose.index == len(delivered):
            delivered.append(self._feeder.mass_g - dose.start_g)
        index = None if dose is None else dose.index
        targets_g = tuple(self._feeder.targets_g)
        return PourProgress(self.state, index, tuple(delivered), self._glass_g, self._alarm, targets_g)

    @property
    def stands_g(self) -> float | None:
        """What should stand on the platform, in g: glass, drink, and what is neither; None before the
        tare."""
        return None if self._glass_g is None else self._feeder.mass_g + self._course.added_g

    # Events other than samples

    def _take_command(self, command: e.PourCommand) -> None:
        match command:
            case e.PourCommand.START:
                self._enter(PourState.AWAITING_GLASS, self._settings.glass_wait_s)
            case e.PourCommand.HOLD:
                self._hold()
            case e.PourCommand.RESTART:
                self._alarm = None
                self._course.forget()
                self._enter(PourState.RESTARTING, self._settings.rest_wait_s)
            case e.PourCommand.STOP:
                self._stop("stop")
            case e.PourCommand.ABORT:
                self._abort("abort")

    def _take_stopped(self, channel: int, cause: StopCause) -> None:
        if cause is StopCause.ESTOP and self.state is not PourState.ABORTING:
            self._react(alarm("emergency_stop", f"channel {channel} was stopped by it"))
        elif self.state in FED:
            self._follow(self._feeder.stopped(channel, cause, self._now_s, self._listening))

    def _take_tick(self) -> None:
        if self.state in WEIGHING and (found := self._listening.stale(self._now_s)) is not None:
            self._react(found)
            return
        if self.state in FED:
            self._follow(self._feeder.tick(self._now_s))
        elif self._deadline_s is not None and self._now_s >= self._deadline_s:
            self._take_deadline(self._now_s - self._entered_s)

    def _take_deadline(self, waited_s: float) -> None:
        self._deadline_s = None
        match self.state:
            case PourState.AWAITING_GLASS:
                self._react(alarm("no_glass", f"waited {waited_s:.0f} s"))
            case PourState.TARING | PourState.RESTARTING:
                self._react(alarm("not_at_rest", f"moving for {waited_s:.1f} s"))
            case PourState.HOLDING:  # no sample confirms it, but the lease has ended every run
                self._enter(PourState.HELD)
            case PourState.STOPPING:
                self._end(PourState.STOPPED)
            case PourState.ABORTING:
                self._end(PourState.ABORTED)

    # Readings, state by state

    def _feed(self, reading: Reading) -> None:
        feeder, watch = self._feeder, self._watch
        feeder.note(reading)
        found = watch.cell(reading) or watch.glass(reading, self._course, self._now_s, feeder.glass_g)
        if found is None:
            self._follow(feeder.take(reading, self._now_s))
            return
        if found.name == "glass_lifted":
            feeder.account.lift()
        self._react(found)

    def _await_glass(self, reading: Reading) -> None:
        if self._course.jumps:
            self._course.forget()
        if reading.gross_g >= self._settings.min_glass_g:
            self._course.forget()
            self._enter(PourState.TARING, self._settings.rest_wait_s)

    def _tare(self, reading: Reading) -> None:
        if reading.gross_g < self._settings.min_glass_g:
            self._enter(PourState.AWAITING_GLASS, self._settings.glass_wait_s)
        elif self._course.jumps:
            self._course.forget()
        elif found := self._watch.cell(reading) or self._watch.quiet(reading, self._course, self._now_s):
            self._react(found)
        elif (rest := self._course.long_rest()) is not None:
            self._start_doses(rest.mean_g + self._course.added_g)

    def _start_doses(self, glass_g: float) -> None:
        if (heavy := too_heavy(self.setup, glass_g)) is not None:
            self._react(heavy)
            return
        self._course.leave_out(-self._course.added_g)  # what came before the first dose belongs to the glass
        self._glass_g = glass_g
        self._tally.tared(self._now_s)
        self._out.append(e.Tared(glass_g))
        self._follow(self._feeder.start(glass_g, self._now_s))

    def _follow(self, outputs: list[e.PourOutput]) -> None:
        """Follow the feeder: stay in its state, or go to the next dose, to the end, or out by an alarm, which
        is the last of its outputs unless it is a note."""
        feeder = self._feeder
        while True:
            for output in outputs:
                if isinstance(output, e.Raised) and output.alarm.reaction is not Reaction.NOTE:
                    self._react(output.alarm)
                    return
                self._out.append(output)
            if not feeder.done or (dose := feeder.dose) is None:
                break
            self._cause = dose.end_cause
            self._end_dose(dose, dose.end_cause, judged=True, weighed=True)
            if dose.index + 1 == len(self.setup.plan.doses):
                self._end(PourState.COMPLETE, weighed=True)
                return
            if found := self._tally.no_room():
                self._react(found)
                return
            outputs = feeder.go_on(self._now_s)
        if feeder.state is not self.state:
            self._enter(feeder.state)

    def _finish_holding(self, reading: Reading) -> None:
        if not reading.pump_on:
            self._enter(PourState.HELD)
        else:
            self._check_stuck()

    def _stay_held(self, reading: Reading) -> None:
        rest = self._course.rest()
        if reading.gross_g < LIFTED_SHARE * self._feeder.glass_g:
            self._feeder.account.lift()
            if rest is not None:
                self.held.lifted_off(rest.mean_g + self._course.added_g)
        if self._course.jumps:
            self._course.forget()
            self._watch.reset()
        elif found := self._watch.quiet(reading, self._course, self._now_s):
            self._react(found)
        elif rest is not None:
            self._weigh_held(rest.mean_g)

    def _weigh_held(self, mass_g: float) -> None:
        """Weigh what the pump delivered until it was held, once: what comes later is not its own."""
        feeder = self._feeder
        if not (self.held.weighed or feeder.account.lifted) and may_be_same(mass_g, feeder.mass_g):
            self._out += feeder.come_to_rest(mass_g, self._now_s)
            self.held.weigh(feeder.mass_g)

    def _finish_restarting(self, reading: Reading) -> None:
        if self._course.jumps:
            self._course.forget()
        elif self._glass_g is None:
            self._enter(PourState.AWAITING_GLASS, self._settings.glass_wait_s)
        elif (rest := self._course.long_rest()) is not None:
            self._restart_with(rest.mean_g)

    def _restart_with(self, mass_g: float) -> None:
        held, feeder = self.held, self._feeder
        if (changed := held.restart(mass_g, feeder.glass_g, lifted=feeder.account.lifted)) is not None:
            self._react(changed)
            return
        self._course.leave_out(held.take_puddle_g())
        self._follow(feeder.resume(self._now_s))

    def _finish_stopping(self, reading: Reading) -> None:
        if reading.pump_on:
            self._check_stuck()
        elif (rest := self._course.rest()) is not None:
            # another glass, or none, leaves the last mass as it is
            same = may_be_same(rest.mean_g, self._feeder.mass_g)
            if same:
                self._out += self._feeder.come_to_rest(rest.mean_g, self._now_s)
            self._end(PourState.STOPPED, weighed=same)

    def _finish_aborting(self, reading: Reading) -> None:
        if not reading.pump_on:
            self._end(PourState.ABORTED)

    def _check_stuck(self) -> None:
        if (stuck := self._watch.stuck(self._now_s - self._entered_s)) is not None:
            self._react(stuck)

    # Ways out

    def _react(self, found: Alarm) -> None:
        dose = self._feeder.dose
        if dose is not None and found.channel is None and ALARMS[found.name].of_channel:
            found = replace(found, channel=dose.plan.channel)
        self._alarm = found
        self._out.append(e.Raised(found))
        if found.name in ("unexpected_mass", "pump_stuck", "uncommanded_pump"):
            self._out.append(e.TripEmergencyStop())
        if found.name == "link_lost":
            self._cause = found.name
            self._end(PourState.ABORTED)
        elif found.reaction is Reaction.HOLD:
            self._hold()
        elif found.reaction is Reaction.STOP:
            self._stop(found.name)
        elif found.reaction is Reaction.ABORT:
            self._abort(found.name)

    def _hold(self) -> None:
        if self.state not in (PourState.RESTARTING, PourState.HOLDING, PourState.HELD):
            puddle_g = self.held.puddle_g
            self.held = HeldGlass(self._feeder.mass_g, self._feeder.flow_g_per_s, puddle_g=puddle_g)
        self._halt()
        self._course.forget()
        self._enter(PourState.HOLDING, CONFIRM_S + self._settings.lease_ms / 1000)

    def _stop(self, cause: str) -> None:
        self._cause = cause
        self._halt()
        self._enter(PourState.STOPPING, self._settings.settling_delay_s + STOPPING_S)

    def _halt(self) -> None:
        self._feeder.halt(self._now_s)
        self._out.append(e.StopPumps())
        self._course.begin(self._now_s)

    def _abort(self, cause: str) -> None:
        self._cause = cause
        self._out.append(e.StopPumps())
        self._enter(PourState.ABORTING, CONFIRM_S)

    def _end(self, state: PourState, *, weighed: bool = False) -> None:
        dose = self._feeder.dose
        if dose is not None and dose.index == len(self._tally.delivered_g):
            self._end_dose(dose, self._cause, judged=False, weighed=weighed)
        delivered_g = 0.0 if self._glass_g is None else self._feeder.mass_g - self._glass_g
        uncertainty_g = self._tally.whole_uncertainty_g if weighed else None
        if weighed and dose is not None:
            self.drips = self._tally.watch_drips(dose, self._now_s)
        self._enter(state)
        self._out.append(e.PourEnded(state.value, self._cause, delivered_g, uncertainty_g))

    def _end_dose(self, dose: ActiveDose, cause: str, *, judged: bool, weighed: bool) -> None:
        for output in self._tally.end_dose(dose, cause, self._now_s, judged=judged, weighed=weighed):
            if isinstance(output, e.Raised):
                self._react(output.alarm)
            else:
                self._out.append(output)

    def _enter(self, state: PourState, limit_s: float | None = None) -> None:
        if state is not self.state:
            self._out.append(e.PourStateChanged(state.value))
        self.state = state
        self._entered_s = self._now_s
        self._deadline_s = None if limit_s is None else self._now_s + limit_s
        self._watch.reset()


_ON_READING: Mapping[PourState, Callable[[Pour, Reading], None]] = dict.fromkeys(FED, Pour._feed) | {
    PourState.AWAITING_GLASS: Pour._await_glass,
    PourState.TARING: Pour._tare,
    PourState.HOLDING: Pour._finish_holding,
    PourState.HELD: Pour._stay_held,
    PourState.RESTARTING: Pour._finish_restarting,
    PourState.STOPPING: Pour._finish_stopping,
    PourState.ABORTING: Pour._finish_aborting,
}
