"""The pour and the round under way: what each wants of the other, and of the board.

A round pours glass after glass; each of its pours is committed, begun and followed like any other. Methods
return what is to be done.
"""

from contextlib import suppress
from typing import Any

from tarewell.dosing import events as e
from tarewell.dosing.states import PourState, UnexpectedPourEvent
from tarewell.rounds import events as re
from tarewell.rounds.states import UnexpectedRoundEvent
from tarewell_protocol import messages as m

from . import pending as p
from . import requests as r
from .effects import Answer, AppendEvent, Command, Effect, Persist, Refuse, TellFault
from .guard import MachineGuard
from .known import Known, MachineConfig
from .pour_record import Certainty, FoundLater
from .pour_run import PourRun, effects_of, state_note
from .pours import Pours
from .readiness import Readiness
from .round_run import Decided
from .rounds import Rounds
from .waiting import WaitingRequests
from .weighbridge import Weighbridge

POUR_COMMANDED = "pour_commanded"
ROUND_COMMANDED = "round_commanded"

_FOLLOWED_BY_ALARMS = (e.Raised, e.PourStateChanged, e.PourEnded)

_LEFT_ALONE = frozenset({PourState.HELD, PourState.STOPPING, PourState.ABORTING})
"""States in which a press means something else: a held pour displays what a press does."""


def commanded(command: str, origin: str, pour_id: str | None, round_id: str | None = None) -> Effect:
    """Who gave a command to a pour, or to a round with this pour under way, for the journal."""
    body = {"command": str(command), "origin": origin}
    if round_id is None:
        return Persist(AppendEvent(POUR_COMMANDED, body, pour_id))
    return Persist(AppendEvent(ROUND_COMMANDED, {"round_id": round_id, **body}, pour_id))


class Pouring:
    """See above. Times in s of the host's clock."""

    def __init__(
        self,
        config: MachineConfig,
        known: Known,
        scale: Weighbridge,
        guard: MachineGuard,
        readiness: Readiness,
        waiting: WaitingRequests,
    ) -> None:
        self.pours = Pours(known, config.dosing.min_glass_g)
        self.rounds = Rounds(config.dosing.min_glass_g, known)
        self._scale = scale
        self._guard = guard
        self._readiness = readiness
        self._waiting = waiting

    # What happens

    def feed(self, event: e.PourInput, now_s: float) -> list[Effect]:
        """Feed the pour under way, if any; dropped where it does not accept the event."""
        run = self.pours.under_way
        effects = [] if run is None else self._offer(run, event, now_s)
        if not (later := self.pours.fed(run, event, now_s)):
            return effects
        for effect in later:
            match effect:
                case Persist(FoundLater(pour_id, Certainty.WEIGHED, float(found_g), int(index))):
                    effects += self.tell_round(re.FoundInGlass(pour_id, index, found_g), now_s)
        return effects + later

    def _offer(self, run: PourRun, event: e.PourInput, now_s: float) -> list[Effect]:
        try:
            return self._tell(run, event, now_s)
        except UnexpectedPourEvent:
            return []

    def _tell(self, run: PourRun, event: e.PourInput, now_s: float) -> list[Effect]:
        """Tell the pour under way; raises as `Pour.handle`. An error in the program ends the pour."""
        try:
            outputs = run.pour.handle(event, now_s)
        except UnexpectedPourEvent:
            raise
        except Exception as error:
            return self._fail(run, event, error, now_s)
        run.keep(event, outputs, now_s)
        if not outputs:
            return []
        effects: list[Effect] = []
        for output in outputs:
            effects += effects_of(output, run)
            if isinstance(output, _FOLLOWED_BY_ALARMS):
                effects += self._guard.follow(run.pour_id, output, now_s)
        return effects + run.outcome() if run.finished else effects

    def _fail(self, run: PourRun, event: e.PourInput, error: Exception, now_s: float) -> list[Effect]:
        """Stop the pump and end the pour after an error in the program."""
        ended, what = run.fail(), type(event).__name__
        run.keep(event, [ended], now_s)
        told = TellFault(f"pour {run.pour_id} failed to handle {what} and is aborted", error)
        alarms = self._guard.follow(run.pour_id, ended, now_s)
        return [Command(m.Stop()), told, state_note(run.pour_id, ended.state), *alarms, *run.outcome()]

    def _command(self, run: PourRun, command: e.PourCommand, now_s: float) -> list[Effect]:
        return self._tell(run, e.PourCommanded(command), now_s) + self.pours.learn(run, now_s)

    def wake(self, now_s: float) -> list[Effect]:
        """The time of the pour's `wakeup_s` may have come."""
        if (run := self.pours.under_way) is None:
            return []
        effects = self._offer(run, e.Tick(), now_s) if run.tick_due(now_s) else []
        return effects + run.take_trace(now_s) + self.pours.learn(run, now_s)

    def abort(self, now_s: float) -> list[Effect]:
        """Abort the pour under way, unless it ends already."""
        run = self.pours.under_way
        try:
            return [] if run is None else self._command(run, e.PourCommand.ABORT, now_s)
        except UnexpectedPourEvent:
            return []

    def see_platform(self, now_s: float) -> list[Effect]:
        """A sample was weighed, and the pour under way has acted on it: so does the round."""
        poured_into, rounds = self.pours.pours_into_glass, self.rounds
        in_round = rounds.under_way is not None
        rest_g = self._scale.rest_g if in_round or not (poured_into or rounds.cleared) else None
        decided = rounds.see(poured_into, rest_g, now_s)
        return self.follow(decided, now_s) + self.look(now_s) if in_round else []

    def look(self, now_s: float) -> list[Effect]:
        """The round follows whether its pour is held."""
        pour, round_ = self.pours.followed, self.rounds.under_way
        if pour is None or round_ is None or round_.pour_id != pour[0] or self.pours.under_way is None:
            return []
        return self.follow(round_.check(pour[1], now_s), now_s)

    def follow(self, decided: Decided, now_s: float) -> list[Effect]:
        """Carry out what the round wants of pours."""
        wanted, effects = decided[0], list(decided[1])
        for want in wanted:
            match want:
                case r.PourRequest():
                    self._waiting.want(want)
                case re.GivePourCommand(pour_id, command):
                    with suppress(r.NotUnderWayError, UnexpectedPourEvent):  # it ends already
                        effects += self._command(self.pours.get(pour_id), command, now_s)
        return effects

    def stop_by_button(self, now_s: float) -> list[Effect]:
        """Stop the pour under way. One that is all of a round ends with it; a longer round is held."""
        pour, round_ = self.pours.followed, self.rounds.followed(now_s, ())
        if pour is None or pour[1].state in _LEFT_ALONE:
            return []
        try:
            if round_ is not None and len(round_[1].glasses) == 1:
                return self.command_round(round_[0], re.RoundCommand.STOP, now_s)
            return self.command_pour(pour[0], e.PourCommand.STOP, now_s)
        except (r.NotUnderWayError, r.RoundNotUnderWayError, UnexpectedPourEvent, UnexpectedRoundEvent):
            return []

    # Whether one may begin

    def blockers(self, now_s: float) -> tuple[str, ...]:
        """Why no pour can begin; see `Readiness.blockers`."""
        return self._readiness.blockers(
            self._scale.indication(now_s),
            calibrated=self._scale.is_calibrated,
            latched=self._guard.latched,
            latched_by=self._guard.latched_by,
        )

    def require_free(self, round_id: str | None = None) -> None:
        """The platform is free, for this round if one is given.

        Raises:
            MachineBusyError: a pour, or another round, is under way.
        """
        if (pour := self.pours.under_way) is not None:
            raise r.MachineBusyError(pour.pour_id)
        if (round_ := self.rounds.under_way) is not None and round_.round_id != round_id:
            raise r.MachineBusyError(round_.round_id, "round")

    def require_ready(self, now_s: float, round_id: str | None = None) -> None:
        """A pour can begin.

        Raises:
            MachineBusyError: see `require_free`.
            NotReadyError: something blocks it.
        """
        self.require_free(round_id)
        if found := self.blockers(now_s):
            raise r.NotReadyError("; ".join(found))

    # Pours

    def command_pour(self, pour_id: str, command: e.PourCommand, now_s: float) -> list[Effect]:
        """Hold, restart, stop or abort the pour under way.

        Raises:
            NotUnderWayError: it is over, or there is no such pour.
            UnexpectedPourEvent: its state does not take the command; nothing has changed.
        """
        return self._command(self.pours.get(pour_id), command, now_s) + self.look(now_s)

    def command_round(self, round_id: str, command: re.RoundCommand, now_s: float) -> list[Effect]:
        """Give the round under way a command; raises as `Rounds.get` and `RoundRun.command`."""
        return self.follow(self.rounds.get(round_id).command(command, now_s), now_s)

    def begin(self, commit: p.PourCommit, record: Any, now_s: float) -> list[Effect]:
        """Its intent is in the records."""
        asked = commit.asked
        if asked is not None and record.replayed:
            return [Answer(asked.number, record)]
        if asked is not None and asked.until_s is not None and now_s > asked.until_s:
            text = "the records took too long; the pour was not begun, ask again"
            return [self.pours.expire(record.id), Refuse(asked.number, r.NotAnsweredError(text))]
        run = self.pours.begin(record.id, commit.setup, now_s)
        effects = self._command(run, e.PourCommand.START, now_s)
        if not self._readiness.linked:  # lost while the intent was being written
            effects += self.feed(e.LinkLost(self._readiness.link.reason), now_s)
        if self._readiness.closing_s is not None:
            effects += self.abort(now_s)
        if asked is not None:
            return [*effects, Answer(asked.number, record)]
        return effects + self.tell_round(re.PourBegun(record.id), now_s)

    def kept(self, key: str, now_s: float) -> list[Effect] | None:
        """A write with this key is done: what follows if it was the outcome of a pour or round, else None."""
        self.rounds.kept(key)
        if (run := self.pours.kept(key)) is None:
            return None
        round_, ended = self.rounds.under_way, run.log.ended
        if round_ is None or round_.pour_id != run.pour_id or ended is None:
            return []
        return self.tell_round(re.GlassPourEnded(ended.state, ended.cause, run.by_dose_g), now_s)

    def tell_round(self, event: re.RoundEvent, now_s: float) -> list[Effect]:
        """Feed the round under way, if any."""
        round_ = self.rounds.under_way
        return [] if round_ is None else self.follow(round_.feed(event, now_s), now_s)
