"""The machine: one board, one scale, one platform; one pour and one round at a time.

`Machine.handle` is told all that happens, one event after the other, each with the host's monotonic time, and
answers with what is to be done. `wakeup_s` says when a `Woken` is wanted at the latest. Nothing here reads a
clock, waits, or calls anybody, so two requests cannot interleave: one that depends on a write of another
waits.
"""

from dataclasses import replace

from tarewell.dosing import events as e
from tarewell.dosing.alarms import alarm
from tarewell.dosing.maintenance import NEW_TUBE
from tarewell.dosing.plan import PlanError, Purpose
from tarewell.dosing.progress import PourProgress
from tarewell.rounds import events as re
from tarewell.weighing.calibration import Calibration
from tarewell.weighing.reading import Reading
from tarewell_protocol import messages as m
from tarewell_protocol import session as s

from . import events as ev
from . import pending as p
from . import requests as r
from .board_news import BoardNews
from .effects import AddCalibration, Answer, AppendEvent, Effect, Find, Persist, Publish, Refuse, Write, rank
from .findings import alarm_of
from .guard import BY_WATCH, MachineGuard
from .known import Known, MachineConfig
from .needs import TUBE_CHANGED
from .pouring import Pouring, commanded
from .pours import intent
from .readiness import Readiness
from .readout import Readout, link_news
from .round_record import NewRelease
from .waiting import WaitingRequests
from .watch import Finding, FindingKind, Watched
from .weighbridge import NOT_CALIBRATED, Weighbridge
from .write_results import WriteResults

NOT_CLEARED = (
    "what was poured last may still be on the platform; take it off and leave the platform empty for a "
    "second, or say that the drink is meant to go on top of it (`onto_contents`, `--onto`)"
)

CLOSING_S = 1.5
"""How long a pour may take to end once the program closes."""

Followed = tuple[str, PourProgress] | None
"""A pour at a glance, with its id."""


class Machine:
    """See above. `config` and `known` are all it learns from outside before the first event."""

    def __init__(self, config: MachineConfig, known: Known) -> None:
        self._config = config
        self._scale = Weighbridge(config.scale, known.calibration, known.adjusted_zero_counts)
        self._guard = MachineGuard(known)
        self._readiness = Readiness(config.dosing)
        self._waiting = WaitingRequests()
        self._pouring = Pouring(config, known, self._scale, self._guard, self._readiness, self._waiting)
        self._board = BoardNews(self._scale, self._guard, self._readiness, self._waiting, self._pouring)
        self._results = WriteResults(self._scale, self._waiting, self._pouring)
        self._readout = Readout()

    def handle(self, event: ev.MachineEvent, now_s: float) -> list[Effect]:
        """Take one event; returns what is to be done, commands to the board first."""
        effects = self._take(event, now_s)
        if now_s >= self._guard.look_due_s:
            effects += self._guard.look(self._readiness.records_fault, now_s)
        while (turn := self._waiting.next_turn()) is not None:
            if isinstance(turn, r.PourRequest):
                effects += self._pour_for_round(turn, now_s)
            else:
                effects += self._answer(turn, now_s)
        if len(effects) > 1:
            effects.sort(key=rank)
        return effects

    @property
    def wakeup_s(self) -> float:
        """When a `Woken` is wanted at the latest, on the host's clock."""
        times = [self._guard.look_due_s]
        if self._pouring.pours.under_way is not None:
            times += [
                at_s for at_s in (self._pouring.pours.wakeup_s, self._readiness.closing_s) if at_s is not None
            ]
        return min(times)

    @property
    def is_pouring(self) -> bool:
        """Whether a pour is under way, or its intent is being written."""
        return self._pouring.pours.under_way is not None or self._waiting.commits_pour

    @property
    def calibration(self) -> Calibration | None:
        """The calibration in use; None: the scale was never calibrated."""
        return self._scale.in_use

    def state(self, now_s: float) -> r.MachineState:
        """The machine at a glance."""
        pour = self._named(self._pouring.pours.followed)
        round_ = self._pouring.rounds.followed(now_s, () if pour is None else pour[1].delivered_g)
        under_way, in_round = self._pouring.pours.under_way, self._pouring.rounds.under_way
        status = r.MachineStatus(
            machine_id=self._config.machine_id,
            link=self._readiness.link,
            indication=self._scale.indication(now_s),
            calibrated=self._scale.is_calibrated,
            latched=self._guard.latched,
            pour_id=None if under_way is None else under_way.pour_id,
            round_id=None if in_round is None else in_round.round_id,
            blockers=self._pouring.blockers(now_s),
            alarms=self._guard.worst_first,
            self_test=self._readiness.self_test,
        )
        return r.MachineState(
            status=status,
            tubes=dict(self._pouring.pours.tubes),
            followed_pour=None if pour is None else pour[0],
            pour=None if pour is None else pour[1],
            followed_round=None if round_ is None else round_[0],
            round=None if round_ is None else round_[1],
        )

    def _named(self, followed: Followed) -> Followed:
        """The same with the liquid and bottle of the alarm's channel."""
        if followed is None or followed[1].alarm is None:
            return followed
        return followed[0], replace(followed[1], alarm=self._guard.named(followed[1].alarm))

    # Events

    def _take(self, event: ev.MachineEvent, now_s: float) -> list[Effect]:
        if isinstance(event, s.SampleArrived):  # by far the most frequent
            return self._weigh(event.sample, now_s)
        match event:
            case s.Reported(report):
                return self._board.reported(report, now_s)
            case s.Answered(ticket, command, body):
                return self._board.answered(ticket, command, body, now_s)
            case s.Unanswered(ticket, command, reason) | ev.NotSent(ticket, command, reason):
                return self._board.silent(ticket, command, reason, now_s)
            case s.Opened(identity):
                return self._board.opened(identity)
            case s.Closed(reason):
                return self._board.lost(reason, now_s)
            case ev.LinkChanged(status):
                return link_news(self._readiness.link_changed(status), status)
            case ev.Requested():
                return self._answer(event, now_s)
            case ev.WriteDone(key, result):
                return self._results.written(key, result, now_s)
            case ev.WriteFailed(key, error):
                return self._results.unwritten(key, error, now_s)
            case ev.RecordsChanged(fault):
                return self._take_records(fault)
            case ev.ChannelAssigned(channel, liquid_id):
                self._pouring.pours.assigned(channel, liquid_id)
                return []
            case ev.BottleMounted(channel):
                self._pouring.pours.changed(channel)
                return []
            case ev.ChannelsLabelled(labels):
                self._guard.relabel(labels)
                return []
            case ev.RecordSetAside(what, reason, file):
                return self._guard.raise_(
                    alarm("record_set_aside", f"{what}: {reason}; its data is in {file}"), now_s
                )
            case ev.HostLate(late_s):
                return self._guard.raise_(
                    alarm("host_busy", f"the program had to wait for {late_s * 1000:.0f} ms"), now_s
                )
            case ev.Woken():
                return self._wake(now_s)
            case ev.Closing():
                self._readiness.close_by(now_s + CLOSING_S)
                return self._pouring.abort(now_s)
            case s.ReportsMissed():  # the state that follows says what matters
                return []

    def _wake(self, now_s: float) -> list[Effect]:
        effects = self._pouring.wake(now_s)
        if self._readiness.closing_s is not None and now_s >= self._readiness.closing_s:
            effects += self._pouring.feed(e.LinkLost("the daemon is closing"), now_s)
        return effects + self._pouring.look(now_s)

    # Samples

    def _weigh(self, sample: m.Sample, now_s: float) -> list[Effect]:
        pouring, guard = self._pouring, self._guard
        self._readiness.sensed(supply_off=sample.supply_off, interlock_open=sample.interlock_open)
        effects: list[Effect] = []
        if sample.latched or guard.latched:
            is_pouring = pouring.pours.under_way is not None
            effects = guard.compare(sample, self._waiting.releases, is_pouring, now_s)
        reading = self._scale.take(sample, now_s)
        effects += pouring.feed(reading, now_s)
        watched = self._watched(reading)
        for finding in guard.watch.check(watched):
            effects += self._react(finding, now_s)
        effects += pouring.see_platform(now_s)
        if not self._readout.due(now_s) or (shown := self._scale.indication(now_s)) is None:
            return effects
        line = watched.line or self._scale.line
        flow_g_per_s = None if line is None else line.flow_g_per_s
        return [*effects, self._readout.reading(shown, flow_g_per_s, pouring.pours.followed, now_s)]

    def _watched(self, reading: Reading) -> Watched:
        pour, round_, t_s = self._pouring.pours.under_way, self._pouring.rounds.under_way, reading.t_s
        channel, usual_g_per_s = (pour and pour.commanded) or (None, None)
        by_hand = round_ is not None and round_.by_hand
        line = self._scale.line if self._guard.watch.wants_line(t_s) else None
        return Watched(t_s, reading.sample.running, line, channel, usual_g_per_s, by_hand)

    def _react(self, finding: Finding, now_s: float) -> list[Effect]:
        """Stop and latch what nobody commanded; a pour under way answers first."""
        found = alarm_of(finding)
        if finding.kind is FindingKind.FALLING:  # a pour watches its own glass
            is_pouring = self._pouring.pours.under_way is not None
            return [] if is_pouring else self._guard.raise_(found, now_s)
        answered = self._pouring.feed(e.WatchRaised(found), now_s)
        if finding.kind is FindingKind.EXCESS_FLOW:
            return answered
        if answered:
            return answered + self._guard.latch(BY_WATCH, now_s)
        return [*self._guard.trip(now_s), *self._guard.raise_(found, now_s)]

    # Requests

    def _answer(self, asked: ev.Requested, now_s: float) -> list[Effect]:
        """Carry out a request, or let it wait for its turn."""
        if self._waiting.defers(asked):
            return []
        try:
            return self._carry_out(asked, now_s)
        except (PlanError, r.MachineBusyError, r.NotReadyError) as error:
            return self._look_up(asked, error)
        except Exception as error:  # every refusal of the parts, and an error in the program
            return [Refuse(asked.number, error)]

    def _pour_for_round(self, request: r.PourRequest, now_s: float) -> list[Effect]:
        try:
            return self._commit(request, None, now_s)
        except (PlanError, r.MachineBusyError, r.NotReadyError) as error:
            return self._pouring.tell_round(re.PourRefused(str(error)), now_s)

    def _commit(self, request: r.PourRequest, asked: ev.Requested | None, now_s: float) -> list[Effect]:
        """Write the intent of a pour; `asked` is None for one of the round under way.

        Raises:
            MachineBusyError, NotReadyError: as `Pouring.require_ready`, or a drink may still be on the
                platform.
            PlanError: its plan cannot be poured.
        """
        self._pouring.require_ready(now_s, request.round_id)
        if (calibration := self._scale.in_use) is None:
            raise r.NotReadyError(NOT_CALIBRATED)
        is_plain = request.round_id is None and request.plan.purpose is Purpose.DRINK
        if is_plain and not request.onto_contents and not self._pouring.rounds.cleared:
            raise r.NotReadyError(NOT_CLEARED)
        identity, pours = self._readiness.link.identity, self._pouring.pours
        new = intent(request, calibration, identity, self._config, pours.inflight, pours.drips, pours.tubes)
        return [Write(self._waiting.occupy(p.PourCommit(request, new.setup, asked)), new)]

    def _carry_out(self, asked: ev.Requested, now_s: float) -> list[Effect]:
        number = asked.number
        match asked.request:
            case r.PourRequest() as request:
                return self._commit(request, asked, now_s)
            case r.CommandPour(pour_id, command, origin):
                effects = self._pouring.command_pour(pour_id, command, now_s)
                noted = commanded(command, origin, pour_id)
                return [noted, *effects, *self._guard.acknowledge_pour(pour_id, now_s), Answer(number)]
            case r.AcknowledgeAlarm(alarm_id):
                return [*self._guard.acknowledge(alarm_id, now_s), Answer(number)]
            case r.ShelveAlarm(alarm_id, for_s):
                return [*self._guard.shelve(alarm_id, for_s, now_s), Answer(number)]
            case r.BeginRound(new) as request:
                self._pouring.require_ready(now_s)
                return [Write(self._waiting.occupy(p.RoundCommit(request, asked)), new)]
            case r.CommandRound(round_id, command, origin):
                pour = self._pouring.pours.under_way
                effects = self._pouring.command_round(round_id, command, now_s)
                noted = commanded(command, origin, None if pour is None else pour.pour_id, round_id)
                return [noted, *effects, Answer(number)]
            case r.ReleaseGuest(guest, released_by, reason):
                run, glass = self._pouring.rounds.waiting(guest, now_s)
                new_release = NewRelease(guest, run.round_id, glass, released_by, reason)
                return [Write(self._waiting.key_for(p.ReleaseCommit(guest, asked)), new_release)]
            case r.SetZero():
                self._pouring.require_free()
                calibration = self._scale.zeroed()
                key = self._waiting.occupy(p.ZeroCommit(calibration, asked))
                return [Write(key, AddCalibration(calibration, "zero"))]
            case r.SetTare():
                self._scale.set_tare()
            case r.ClearTare():
                self._scale.clear_tare()
            case r.ReadEmpty():
                self._pouring.require_free()
                return [Answer(number, self._scale.rest_counts())]
            case r.Calibrate(empty_counts, reference_g, accept_unlikely):
                self._pouring.require_free()
                calibration = self._scale.calibrated(
                    empty_counts, reference_g, accept_unlikely=accept_unlikely
                )
                commit = p.CalibrationCommit(calibration, empty_counts, asked)
                return [Write(self._waiting.occupy(commit), AddCalibration(calibration, "two_point"))]
            case r.ChangeTube(channel):
                self._pouring.require_free()
                if self._pouring.pours.tubes.get(channel) != NEW_TUBE:
                    change = AppendEvent(TUBE_CHANGED, {"channel": channel})
                    return [Write(self._waiting.occupy(p.TubeCommit(channel, asked)), change)]
            case r.TriggerEmergencyStop(origin):
                effects = [*self._ask_board(asked, m.EmergencyStop()), *self._guard.latch(origin, now_s)]
                found = alarm("emergency_stop", "somebody triggered it")
                answered = self._pouring.feed(e.WatchRaised(found), now_s)
                return effects + (answered or self._guard.raise_(found, now_s))
            case r.ReleaseLatchedStop():
                return self._ask_board(asked, m.ReleaseEmergencyStop())
            case r.ReadCounters():
                return self._ask_board(asked, m.AskStats())
            case r.ShowLine(line, text):
                return self._ask_board(asked, m.Show(line, text))
            case other:
                raise TypeError(f"nobody carries out a {type(other).__name__}")
        return [Answer(number)]

    def _look_up(self, asked: ev.Requested, error: Exception) -> list[Effect]:
        """A repeated request whose key began something earlier gets that; any other is refused."""
        match asked.request:
            case r.PourRequest(key=str(key), fingerprint=fingerprint):
                return [Find(self._waiting.key_for(p.Lookup(error, asked)), key, fingerprint, "pour")]
            case r.BeginRound(new) if new.idempotency_key is not None:
                key = self._waiting.key_for(p.Lookup(error, asked))
                return [Find(key, new.idempotency_key, new.fingerprint, "round")]
        return [Refuse(asked.number, error)]

    def _ask_board(self, asked: ev.Requested, command: m.Command) -> list[Effect]:
        """The answer to the request follows the board's."""
        if not self._readiness.linked:
            return [Refuse(asked.number, self._readiness.unreachable())]
        return [self._waiting.for_board(p.BoardAnswerDue(command, asked))]

    # Records

    def _take_records(self, fault: str | None) -> list[Effect]:
        """No new pour begins without records. The one under way goes on, and its own wait in memory."""
        self._readiness.records_changed(fault)
        if fault is None:
            return [Persist(AppendEvent("records_working", {}))]
        return [
            Persist(AppendEvent("records_failed", {"reason": fault})),
            Publish("records_failed", {"reason": fault}),
        ]
