"""Requests: each is answered, refused, or waits for a write or for the board's answer."""

from typing import Any

from tarewell.dosing.alarms import alarm
from tarewell.dosing.events import WatchRaised
from tarewell.dosing.plan import PlanError
from tarewell.records.values import NewRelease
from tarewell.rounds import events as re
from tarewell_protocol import messages as m

from . import events as ev
from . import pending as p
from . import requests as r
from .effects import AddCalibration, Answer, AppendEvent, Effect, Find, Persist, Refuse, Write
from .guard import MachineGuard
from .pouring import Pouring
from .readiness import Readiness
from .waiting import WaitingRequests
from .weighbridge import Weighbridge

POUR_COMMANDED = "pour_commanded"
ROUND_COMMANDED = "round_commanded"


def commanded(command: str, origin: str, pour_id: str | None, round_id: str | None = None) -> Effect:
    """Who gave a command to a pour, or to a round with this pour under way, for the journal."""
    body = {"command": str(command), "origin": origin}
    if round_id is None:
        return Persist(AppendEvent(POUR_COMMANDED, body, pour_id))
    return Persist(AppendEvent(ROUND_COMMANDED, {"round_id": round_id, **body}, pour_id))


class Answering:
    """See above. Times in s of the host's clock."""

    def __init__(
        self,
        scale: Weighbridge,
        guard: MachineGuard,
        readiness: Readiness,
        waiting: WaitingRequests,
        pouring: Pouring,
    ) -> None:
        self._scale = scale
        self._guard = guard
        self._readiness = readiness
        self._waiting = waiting
        self._pouring = pouring

    def answer(self, asked: ev.Requested, now_s: float) -> list[Effect]:
        """Carry out a request whose turn has come, or let it wait for its turn."""
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
                return self._pouring.commit(request, asked, now_s)
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
            case r.TriggerEmergencyStop(origin):
                effects = [*self._ask_board(asked, m.EmergencyStop()), *self._guard.latch(origin, now_s)]
                found = alarm("emergency_stop", "somebody triggered it")
                answered = self._pouring.feed(WatchRaised(found), now_s)
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

    # The board

    def board_answered(self, ticket: int, body: m.ReplyBody, now_s: float) -> list[Effect]:
        """The board answered the command of this ticket."""
        due = self._waiting.take_at_board(ticket)
        if due is None:
            return []
        number = due.asked.number
        if isinstance(body, m.Refused):
            return [Refuse(number, r.NotReadyError(f"the board refused: {body.reason}"))]
        match due.asked.request:
            case r.ReleaseLatchedStop(origin):
                return [*self._guard.release(origin, now_s), Answer(number)]
            case r.ReadCounters():
                if not isinstance(body, m.BoardStats):
                    text = f"the board answered {body} instead of its counters; update its firmware"
                    return [Refuse(number, r.NotReadyError(text))]
                return [Answer(number, body)]
        return [Answer(number)]

    def board_silent(self, ticket: int, reason: str) -> list[Effect]:
        """The board never answers the command of this ticket."""
        due = self._waiting.take_at_board(ticket)
        return [] if due is None else [Refuse(due.asked.number, self._readiness.unreachable(reason))]

    def board_lost(self, reason: str) -> list[Effect]:
        """The link is gone, and with it every answer that was due."""
        error = self._readiness.unreachable(reason)
        return [Refuse(due.asked.number, error) for due in self._waiting.take_all_at_board()]

    # Writes

    def written(self, key: str, result: Any, now_s: float) -> list[Effect]:
        """A write is done; what waited for it goes on."""
        if (followed := self._pouring.kept(key, now_s)) is not None:
            return followed
        match self._waiting.settle(key):
            case p.PourCommit() as commit:
                return self._pouring.begin(commit, result, now_s)
            case p.RoundCommit(request, asked):
                record, served = result
                effects: list[Effect] = [Answer(asked.number, record)]
                if not record.replayed:
                    decided = self._pouring.rounds.begin(record, request.new.plan, served, now_s)
                    effects += self._pouring.follow(decided, now_s)
                return effects
            case p.ZeroCommit(calibration, asked):
                self._scale.adopt(calibration)
                return [Answer(asked.number, self._scale.indication(now_s))]
            case p.CalibrationCommit(calibration, empty_counts, asked):
                self._scale.adopt(calibration, empty_counts)
                return [Answer(asked.number, calibration)]
            case p.ReleaseCommit(guest, asked):
                return [Answer(asked.number, result), *self._pouring.tell_round(re.Released(guest), now_s)]
            case p.Lookup(error, asked):
                found = result is not None
                return [Answer(asked.number, result) if found else Refuse(asked.number, error)]
        return []

    def unwritten(self, key: str, error: Exception, now_s: float) -> list[Effect]:
        """A write failed and left nothing behind."""
        match self._waiting.settle(key):
            case p.PourCommit(asked=None):
                return self._pouring.tell_round(re.PourRefused(str(error)), now_s)
            case None:
                return []
            case waited if waited.asked is not None:
                return [Refuse(waited.asked.number, error)]
        return []
