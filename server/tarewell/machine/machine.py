"""The machine: one board, one scale, one platform; one pour and one round at a time.

`Machine.handle` is told all that happens, one event after the other, each with the host's monotonic time, and
answers with what is to be done. `wakeup_s` says when a `Woken` is wanted at the latest. Nothing here reads a
clock, waits, or calls anybody, so two requests cannot interleave: one that depends on a write of another
waits.
"""

from contextlib import suppress
from dataclasses import replace
from typing import Any

from tarewell.dosing import events as e
from tarewell.dosing.alarms import alarm
from tarewell.dosing.plan import PlanError, Purpose
from tarewell.dosing.pour import PourProgress
from tarewell.dosing.states import PourState, UnexpectedPourEvent
from tarewell.records.values import NewRelease
from tarewell.rounds import events as re
from tarewell.rounds.states import UnexpectedRoundEvent
from tarewell.weighing.reading import Reading
from tarewell_protocol import messages as m
from tarewell_protocol import session as s

from . import events as ev
from . import pending as p
from . import requests as r
from .blockers import beyond_board, blockers
from .effects import (
    AddCalibration,
    Answer,
    AppendEvent,
    Command,
    Effect,
    Find,
    PassOn,
    Persist,
    Publish,
    Refuse,
    Write,
    rank,
)
from .findings import alarm_of
from .guard import MachineGuard
from .known import Known, MachineConfig
from .link_status import LinkState, LinkStatus
from .pour_run import PourEffect, PourTold
from .pours import Pours
from .readout import Readout, link_news
from .round_run import Decided
from .rounds import Rounds
from .waiting import WaitingRequests
from .watch import Finding, FindingKind, Watched
from .weighbridge import NOT_CALIBRATED, Weighbridge

NOT_CLEARED = (
    "what was poured last may still be on the platform; take it off and leave the platform empty for a "
    "second, or say that the drink is meant to go on top of it (`onto_contents`, `--onto`)"
)

CLOSING_S = 1.5
"""How long a pour may take to end once the program closes."""

_LEFT_ALONE = frozenset({PourState.HELD, PourState.STOPPING, PourState.ABORTING})
"""States in which a press means something else: a held pour displays what a press does."""

Followed = tuple[str, PourProgress] | None
"""A pour at a glance, with its id."""


class Machine:
    """See above. `config` and `known` are all it learns from outside before the first event."""

    def __init__(self, config: MachineConfig, known: Known) -> None:
        self._config = config
        self._scale = Weighbridge(config.scale, known.calibration, known.adjusted_zero_counts)
        self._pours = Pours(config, known)
        self._rounds = Rounds(config.dosing.min_glass_g, known)
        self._guard = MachineGuard(known)
        self._readout = Readout()
        self._link = LinkStatus(LinkState.CONNECTING, 0.0, "the board has not been contacted yet")
        self._beyond_board: tuple[str, ...] = ()
        self._records_fault: str | None = None
        self._closing_s: float | None = None
        self._is_down = False
        self._waiting = WaitingRequests()

    def handle(self, event: ev.MachineEvent, now_s: float) -> list[Effect]:
        """Take one event; returns what is to be done, commands to the board first."""
        effects = self._take(event, now_s)
        if now_s >= self._guard.look_due_s:
            effects += self._guard.look(self._records_fault, now_s)
        while (asked := self._waiting.next_deferred()) is not None:
            effects += self._answer(asked, now_s)
        effects.sort(key=rank)
        return effects

    @property
    def wakeup_s(self) -> float:
        """When a `Woken` is wanted at the latest, on the host's clock."""
        times = [self._guard.look_due_s]
        if self._pours.under_way is not None:
            times += [at_s for at_s in (self._pours.wakeup_s, self._closing_s) if at_s is not None]
        return min(times)

    @property
    def is_pouring(self) -> bool:
        """Whether a pour is under way, or its intent is being written."""
        return self._pours.under_way is not None or self._waiting.commits_pour

    def state(self, now_s: float) -> r.MachineState:
        """The machine at a glance."""
        pour = self._named(self._pours.followed)
        round_ = self._rounds.followed(now_s, () if pour is None else pour[1].delivered_g)
        under_way, in_round = self._pours.under_way, self._rounds.under_way
        status = r.MachineStatus(
            machine_id=self._config.machine_id,
            link=self._link,
            indication=self._scale.indication(now_s),
            calibrated=self._scale.calibrated,
            latched=self._guard.latched,
            pour_id=None if under_way is None else under_way.pour_id,
            round_id=None if in_round is None else in_round.round_id,
            blockers=self._blockers(now_s),
            alarms=self._guard.worst_first,
        )
        return r.MachineState(
            status=status,
            tubes=dict(self._pours.tubes),
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

    def _blockers(self, now_s: float) -> tuple[str, ...]:
        return blockers(
            self._link,
            self._scale.indication(now_s),
            calibrated=self._scale.calibrated,
            latched=self._guard.latched,
            latched_by=self._guard.latched_by,
            records_fault=self._records_fault,
            closing=self._closing_s is not None,
            beyond_board=self._beyond_board,
        )

    # Events

    def _take(self, event: ev.MachineEvent, now_s: float) -> list[Effect]:
        match event:
            case s.SampleArrived(sample):
                return self._weigh(sample, now_s)
            case s.Reported(report):
                return self._take_report(report, now_s)
            case s.Answered(ticket, command, body):
                return self._take_answer(ticket, command, body, now_s)
            case s.Unanswered(ticket, command, reason) | ev.NotSent(ticket, command, reason):
                return self._take_silence(ticket, command, reason, now_s)
            case s.Opened(identity):
                return self._open(identity)
            case s.Closed(reason):
                return self._close_link(reason, now_s)
            case ev.LinkChanged(status):
                before, self._link = self._link.state, status
                return link_news(before, status)
            case ev.Requested():
                return self._answer(event, now_s)
            case ev.WriteDone(key, result):
                return self._take_written(key, result, now_s)
            case ev.WriteFailed(key, error):
                return self._take_unwritten(key, error, now_s)
            case ev.RecordsChanged(fault):
                return self._take_records(fault)
            case ev.ChannelAssigned(channel, liquid_id):
                self._pours.assigned(channel, liquid_id)
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
                self._closing_s = now_s + CLOSING_S
                return self._guard.follow(self._pours.abort(now_s), now_s)
            case s.ReportsMissed():  # the state that follows says what matters
                return []

    def _wake(self, now_s: float) -> list[Effect]:
        effects = self._guard.follow(self._pours.wake(now_s), now_s)
        if self._closing_s is not None and now_s >= self._closing_s:
            effects += self._feed(e.LinkLost("the daemon is closing"), now_s)
        return effects + self._look_at_pour(now_s)

    # The board

    def _open(self, identity: m.Identity) -> list[Effect]:
        self._scale.opened(identity)
        self._beyond_board = ()
        return [*self._guard.opened(), Command(m.AskLimits())]

    def _close_link(self, reason: str, now_s: float) -> list[Effect]:
        self._scale.lost()
        effects = self._feed(e.LinkLost(reason), now_s)
        for due in self._waiting.take_all_at_board():
            effects.append(Refuse(due.asked.number, _unreachable(reason)))
        return effects + self._look_at_pour(now_s)

    def _weigh(self, sample: m.Sample, now_s: float) -> list[Effect]:
        is_pouring = self._pours.under_way is not None
        effects = self._guard.compare(sample.latched, self._waiting.releases, is_pouring, now_s)
        reading = self._scale.take(sample, now_s)
        if reading is not None:
            effects += self._feed(reading, now_s)
            for finding in self._guard.check(self._watched(reading)):
                effects += self._react(finding, now_s)
        shown = self._scale.indication(now_s)
        rest_g = None if shown is None else shown.rest_g
        decided = self._rounds.see(self._pours.pours_into_glass, rest_g, now_s)
        effects += self._follow(decided, now_s)
        effects += self._look_at_pour(now_s)
        if shown is None or not self._readout.due(now_s):
            return effects
        line = self._scale.line
        flow_g_per_s = None if line is None else line.flow_g_per_s
        return [*effects, self._readout.reading(shown, flow_g_per_s, self._pours.followed, now_s)]

    def _watched(self, reading: Reading) -> Watched:
        pour, round_, t_s = self._pours.under_way, self._rounds.under_way, reading.t_s
        channel, usual_g_per_s = (pour and pour.commanded) or (None, None)
        by_hand = round_ is not None and round_.by_hand
        line = self._scale.line if self._guard.wants_line(t_s) else None
        return Watched(t_s, reading.sample.running, line, channel, usual_g_per_s, by_hand)

    def _react(self, finding: Finding, now_s: float) -> list[Effect]:
        """Stop and latch what nobody commanded; a pour under way aborts once the board reports that."""
        found, pour = alarm_of(finding), self._pours.under_way
        match finding.kind:
            case FindingKind.EXCESS_FLOW if pour is not None:
                raised = PourTold(pour.pour_id, e.Raised(found))
                held: list[PourEffect] = []
                with suppress(UnexpectedPourEvent):  # it stops, or is held, already
                    held = self._pours.command(pour.pour_id, e.PourCommand.HOLD, now_s)
                return self._guard.follow([raised, *held], now_s)
            case FindingKind.FALLING:  # a pour watches its own glass
                return [] if pour is not None else self._guard.raise_(found, now_s)
        return [*self._guard.trip(now_s), *self._guard.raise_(found, now_s)]

    def _take_report(self, report: m.EventBody, now_s: float) -> list[Effect]:
        match report:
            case m.Stopped(channel, cause):
                return self._feed(e.BoardStopped(channel, cause), now_s) + self._look_at_pour(now_s)
            case m.Button(press):
                lost_down = press is m.Press.UP and not self._is_down
                self._is_down = press is not m.Press.UP
                pressed = press is m.Press.DOWN or lost_down
                return [*(self._stop_by_button(now_s) if pressed else []), PassOn(report)]
            case m.Knob():
                return [PassOn(report)]
        return []

    def _stop_by_button(self, now_s: float) -> list[Effect]:
        """Stop the pour under way. One that is all of a round ends with it; a longer round is held."""
        pour, round_ = self._pours.followed, self._rounds.followed(now_s, ())
        if pour is None or pour[1].state in _LEFT_ALONE:
            return []
        try:
            if round_ is not None and len(round_[1].glasses) == 1:
                return self._command_round(round_[0], re.RoundCommand.STOP, now_s)
            return self._command_pour(pour[0], e.PourCommand.STOP, now_s)
        except (r.NotUnderWayError, r.RoundNotUnderWayError, UnexpectedPourEvent, UnexpectedRoundEvent):
            return []

    def _take_answer(self, ticket: int, command: m.Command, body: m.ReplyBody, now_s: float) -> list[Effect]:
        match command, body:
            case m.AskLimits(), m.BoardLimits() as limits:
                self._beyond_board = beyond_board(self._config.dosing, limits)
            case m.Run(channel=channel), m.Refused(reason):
                return self._feed(e.BoardRefused(channel, reason.value), now_s)
        due = self._waiting.take_at_board(ticket)
        if due is None:
            return []
        number = due.asked.number
        if isinstance(body, m.Refused):
            return [Refuse(number, r.NotReadyError(f"the board refused: {body.reason}"))]
        match due.asked.request:
            case r.ReleaseLatchedStop():
                return [*self._guard.release(now_s), Answer(number)]
            case r.ReadCounters():
                if not isinstance(body, m.BoardStats):
                    text = f"the board answered {body} instead of its counters; update its firmware"
                    return [Refuse(number, r.NotReadyError(text))]
                return [Answer(number, body)]
        return [Answer(number)]

    def _take_silence(self, ticket: int, command: m.Command, reason: str, now_s: float) -> list[Effect]:
        effects: list[Effect] = []
        if isinstance(command, m.Run) and self._link.state is LinkState.OPEN:
            effects += self._feed(e.BoardRefused(command.channel, reason), now_s)
        if (due := self._waiting.take_at_board(ticket)) is not None:
            effects.append(Refuse(due.asked.number, _unreachable(reason)))
        return effects

    def _ask_board(self, asked: ev.Requested, command: m.Command) -> list[Effect]:
        """The answer to the request follows the board's."""
        if self._link.state is not LinkState.OPEN:
            return [Refuse(asked.number, _unreachable(self._link.reason))]
        return [self._waiting.for_board(p.BoardAnswerDue(command, asked))]

    # Pour and round

    def _feed(self, event: e.PourInput, now_s: float) -> list[Effect]:
        """Feed the pour under way, if any."""
        return self._guard.follow(self._pours.feed(event, now_s), now_s)

    def _look_at_pour(self, now_s: float) -> list[Effect]:
        """The round follows whether its pour is held."""
        pour, round_ = self._pours.followed, self._rounds.under_way
        if pour is None or round_ is None or round_.pour_id != pour[0] or self._pours.under_way is None:
            return []
        return self._follow(round_.check(pour[1], now_s), now_s)

    def _follow(self, decided: Decided, now_s: float) -> list[Effect]:
        """Carry out what the round wants of pours."""
        wanted, effects = decided[0], list(decided[1])
        for want in wanted:
            match want:
                case re.BeginPour():
                    effects += self._begin_for_round(want, now_s)
                case re.GivePourCommand(pour_id, command):
                    with suppress(r.NotUnderWayError, UnexpectedPourEvent):  # it ends already
                        effects += self._guard.follow(self._pours.command(pour_id, command, now_s), now_s)
        return effects

    def _begin_for_round(self, wanted: re.BeginPour, now_s: float) -> list[Effect]:
        run = self._rounds.under_way
        if run is None:
            return []
        try:
            return self._commit_pour(run.request(wanted), None, now_s)
        except (PlanError, r.MachineBusyError, r.NotReadyError) as error:
            return self._follow(run.feed(re.PourRefused(str(error)), now_s), now_s)

    def _commit_pour(self, request: r.PourRequest, asked: ev.Requested | None, now_s: float) -> list[Effect]:
        self._require_ready(now_s, request.round_id)
        if (calibration := self._scale.calibration) is None:
            raise r.NotReadyError(NOT_CALIBRATED)
        is_plain = request.round_id is None and request.plan.purpose is Purpose.DRINK
        if is_plain and not request.onto_contents and not self._rounds.cleared:
            raise r.NotReadyError(NOT_CLEARED)
        new = self._pours.intent(request, calibration, self._link.identity)
        return self._waiting.occupy(p.PourCommit(request, new.setup, asked), new)

    def _command_pour(self, pour_id: str, command: e.PourCommand, now_s: float) -> list[Effect]:
        return self._guard.follow(self._pours.command(pour_id, command, now_s), now_s) + self._look_at_pour(
            now_s
        )

    def _command_round(self, round_id: str, command: re.RoundCommand, now_s: float) -> list[Effect]:
        return self._follow(self._rounds.get(round_id).command(command, now_s), now_s)

    def _require_free(self, round_id: str | None = None) -> None:
        if (pour := self._pours.under_way) is not None:
            raise r.MachineBusyError(pour.pour_id)
        if (round_ := self._rounds.under_way) is not None and round_.round_id != round_id:
            raise r.MachineBusyError(round_.round_id, "round")

    def _require_ready(self, now_s: float, round_id: str | None = None) -> None:
        self._require_free(round_id)
        if found := self._blockers(now_s):
            raise r.NotReadyError("; ".join(found))

    # Requests

    def _answer(self, asked: ev.Requested, now_s: float) -> list[Effect]:
        if self._waiting.defers(asked):
            return []
        try:
            return self._carry_out(asked, now_s)
        except (PlanError, r.MachineBusyError, r.NotReadyError) as error:
            return self._look_up(asked, error)
        except Exception as error:  # every refusal of the parts, and an error in the program
            return [Refuse(asked.number, error)]

    def _carry_out(self, asked: ev.Requested, now_s: float) -> list[Effect]:
        number = asked.number
        match asked.request:
            case r.PourRequest() as request:
                return self._commit_pour(request, asked, now_s)
            case r.CommandPour(pour_id, command):
                effects = self._command_pour(pour_id, command, now_s)
                return [*effects, *self._guard.acknowledge_pour(pour_id, now_s), Answer(number)]
            case r.AcknowledgeAlarm(alarm_id):
                return [*self._guard.acknowledge(alarm_id, now_s), Answer(number)]
            case r.ShelveAlarm(alarm_id, for_s):
                return [*self._guard.shelve(alarm_id, for_s, now_s), Answer(number)]
            case r.BeginRound(new) as request:
                self._require_ready(now_s)
                return self._waiting.occupy(p.RoundCommit(request, asked), new)
            case r.CommandRound(round_id, command):
                return [*self._command_round(round_id, command, now_s), Answer(number)]
            case r.ReleaseGuest(guest, released_by, reason):
                run, glass = self._rounds.waiting(guest, now_s)
                new_release = NewRelease(guest, run.round_id, glass, released_by, reason)
                return [Write(self._waiting.key_for(p.ReleaseCommit(guest, asked)), new_release)]
            case r.SetZero():
                self._require_free()
                calibration = self._scale.zeroed()
                return self._waiting.occupy(
                    p.ZeroCommit(calibration, asked), AddCalibration(calibration, "zero")
                )
            case r.SetTare():
                self._scale.set_tare()
            case r.ClearTare():
                self._scale.clear_tare()
            case r.ReadEmpty():
                self._require_free()
                return [Answer(number, self._scale.empty_counts())]
            case r.Calibrate(empty_counts, reference_g, accept_unlikely):
                self._require_free()
                calibration = self._scale.calibration_by(empty_counts, reference_g, accept_unlikely)
                commit = p.CalibrationCommit(calibration, empty_counts, asked)
                return self._waiting.occupy(commit, AddCalibration(calibration, "two_point"))
            case r.TriggerEmergencyStop():
                return [*self._ask_board(asked, m.EmergencyStop()), *self._guard.latch(now_s)]
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

    # Writes

    def _take_written(self, key: str, result: Any, now_s: float) -> list[Effect]:
        if (run := self._pours.kept(key)) is not None:
            round_ = self._rounds.under_way
            if round_ is None or round_.pour_id != run.pour_id or run.log.ended is None:
                return []
            ended = run.log.ended
            over = re.GlassPourEnded(ended.state, ended.cause, run.by_dose_g)
            return self._follow(round_.feed(over, now_s), now_s)
        self._rounds.kept(key)
        match self._waiting.settle(key):
            case p.PourCommit() as commit:
                return self._begin_pour(commit, result, now_s)
            case p.RoundCommit(request, asked):
                record, served = result
                effects: list[Effect] = [Answer(asked.number, record)]
                if not record.replayed:
                    decided = self._rounds.begin(record, request.new.plan, served, now_s)
                    effects += self._follow(decided, now_s)
                return effects
            case p.ZeroCommit(calibration, asked):
                self._scale.adopt(calibration)
                return [Answer(asked.number, self._scale.indication(now_s))]
            case p.CalibrationCommit(calibration, empty_counts, asked):
                self._scale.adopt(calibration, empty_counts)
                return [Answer(asked.number, calibration)]
            case p.ReleaseCommit(guest, asked):
                effects = [Answer(asked.number, result)]
                if (round_ := self._rounds.under_way) is not None:
                    effects += self._follow(round_.feed(re.Released(guest), now_s), now_s)
                return effects
            case p.Lookup(error, asked):
                found = result is not None
                return [Answer(asked.number, result) if found else Refuse(asked.number, error)]
        return []

    def _begin_pour(self, commit: p.PourCommit, record: Any, now_s: float) -> list[Effect]:
        asked = commit.asked
        if asked is not None and record.replayed:
            return [Answer(asked.number, record)]
        if asked is not None and asked.until_s is not None and now_s > asked.until_s:
            text = "the records took too long; the pour was not begun, ask again"
            return [self._pours.expire(record.id), Refuse(asked.number, r.NotAnsweredError(text))]
        effects = self._guard.follow(self._pours.begin(record.id, commit.setup, now_s), now_s)
        if self._link.state is not LinkState.OPEN:  # lost while the intent was being written
            effects += self._feed(e.LinkLost(self._link.reason), now_s)
        if self._closing_s is not None:
            effects += self._guard.follow(self._pours.abort(now_s), now_s)
        if asked is not None:
            return [*effects, Answer(asked.number, record)]
        round_ = self._rounds.under_way
        if round_ is not None:
            effects += self._follow(round_.feed(re.PourBegun(record.id), now_s), now_s)
        return effects

    def _take_unwritten(self, key: str, error: Exception, now_s: float) -> list[Effect]:
        match self._waiting.settle(key):
            case p.PourCommit(asked=None):
                round_ = self._rounds.under_way
                if round_ is None:
                    return []
                return self._follow(round_.feed(re.PourRefused(str(error)), now_s), now_s)
            case p.PourCommit(asked=ev.Requested() as asked) | p.RoundCommit(asked=asked):
                return [Refuse(asked.number, error)]
            case p.ZeroCommit(asked=asked) | p.CalibrationCommit(asked=asked):
                return [Refuse(asked.number, error)]
            case p.ReleaseCommit(asked=asked) | p.Lookup(asked=asked):
                return [Refuse(asked.number, error)]
        return []

    # Records

    def _take_records(self, fault: str | None) -> list[Effect]:
        """No new pour begins without records. The one under way goes on, and its own wait in memory."""
        self._records_fault = fault
        if fault is None:
            return [Persist(AppendEvent("records_working", {}))]
        return [
            Persist(AppendEvent("records_failed", {"reason": fault})),
            Publish("records_failed", {"reason": fault}),
        ]


def _unreachable(reason: str) -> r.NotReadyError:
    return r.NotReadyError(f"the board cannot be reached: {reason}")
