"""The pour under way: fed with what happens, its decisions turned into effects, its record kept."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

from tarewell.dosing import events as e
from tarewell.dosing.drips import DripWatch
from tarewell.dosing.pour import Pour, PourProgress
from tarewell.dosing.setup import PourSetup
from tarewell.dosing.states import PourState, UnexpectedPourEvent
from tarewell_protocol import messages as m

from .effects import AddInFlight, AppendEvent, AppendTrace, Command, Effect, FinishPour, Persist, TellFault
from .found_later import Unweighed, unweighed
from .pour_log import PourLog

TRACE_S = 1.0
"""How often the trace of the pour under way is written."""

PROGRAM_FAULT = "program_fault"
"""Cause of a pour that was ended by an error in the program."""


@dataclass(frozen=True, slots=True)
class PourTold:
    """The pour has decided something that the machine's alarms follow."""

    pour_id: str
    output: e.Raised | e.PourStateChanged | e.PourEnded


PourEffect = Effect | PourTold


class PourRun:
    """One pour. `kept_key` is the key by which its outcome comes back as written.

    Its runs are numbered from the one after `last_run`, so that the board's news of an earlier run, of this
    pour or of one before, is never taken for news of the present one.
    """

    def __init__(self, pour_id: str, setup: PourSetup, now_s: float, last_run: int) -> None:
        self.pour_id = pour_id
        self.last_run = last_run
        self.plan = setup.plan
        self.log = PourLog()
        self._pour = Pour(setup)
        self._trace_due_s = now_s + TRACE_S
        self.finished = False
        """Whether the pour is over."""
        self._failed = False
        self._has_run = False

    @property
    def kept_key(self) -> str:
        """See above."""
        return f"outcome of {self.pour_id}"

    @property
    def state(self) -> PourState:
        """The state of the pour."""
        return PourState.ABORTED if self._failed else self._pour.state

    @property
    def progress(self) -> PourProgress:
        """The pour at a glance."""
        return self._pour.progress

    @property
    def commanded(self) -> tuple[int, float | None] | None:
        """As `Pour.commanded`."""
        return None if self.finished else self._pour.commanded

    @property
    def wakeup_s(self) -> float | None:
        """When it wants to be woken at the latest."""
        if self.finished:
            return None
        due_s = self._pour.wakeup_s
        return self._trace_due_s if due_s is None else min(due_s, self._trace_due_s)

    def follows(self, run: int) -> bool:
        """Whether the run with this number is the last that it asked for."""
        return self._has_run and run == self.last_run

    def command(self, command: e.PourCommand, now_s: float) -> list[PourEffect]:
        """Give the operator's command.

        Raises:
            UnexpectedPourEvent: the pour's state does not take it; nothing has changed.
        """
        return self._handle(e.PourCommanded(command), now_s)

    def feed(self, event: e.PourInput, now_s: float) -> list[PourEffect]:
        """Feed an event of board or timer; dropped where the pour's state does not accept it."""
        if self.finished or (self._pour.state is PourState.IDLE and not isinstance(event, e.LinkLost)):
            return []
        try:
            return self._handle(event, now_s)
        except UnexpectedPourEvent:
            return []

    def wake(self, now_s: float) -> list[PourEffect]:
        """The time of `wakeup_s` may have come."""
        effects: list[PourEffect] = []
        due_s = self._pour.wakeup_s
        if due_s is not None and now_s >= due_s:
            effects += self.feed(e.Tick(), now_s)
        if not self.finished and now_s >= self._trace_due_s:
            self._trace_due_s = now_s + TRACE_S
            if entries := self.log.take_entries():
                effects.append(Persist(AppendTrace(self.pour_id, tuple(entries), self._delivered_g)))
        return effects

    @property
    def by_dose_g(self) -> tuple[float, ...]:
        """The mass that each dose of the finished pour delivered, as far as it began, in g.

        Mass beyond the doses that ended came from the first that did not.
        """
        masses = [dose.delivered_g for dose in self.log.doses]
        if self.log.ended is not None and len(masses) < len(self.plan.doses):
            masses.append(max(self.log.ended.delivered_g - sum(masses), 0.0))
        return tuple(masses)

    @property
    def left_behind(self) -> Unweighed | None:
        """What it left on the platform when it was aborted."""
        ended, stands_g = self.log.ended, self._pour.stands_g
        if ended is None or stands_g is None:
            return None
        return unweighed(
            self.pour_id,
            self._pour.setup,
            self.log,
            cause=ended.cause,
            stands_g=stands_g,
            held_weighed=self._pour.held_weighed,
        )

    @property
    def drips(self) -> DripWatch | None:
        """What follows its glass once it is over, None if it was not weighed at rest."""
        return self._pour.drips

    @property
    def _delivered_g(self) -> float:
        return sum(self._pour.progress.delivered_g)

    def _handle(self, event: e.PourInput, now_s: float) -> list[PourEffect]:
        try:
            outputs = self._pour.handle(event, now_s)
        except UnexpectedPourEvent:
            raise
        except Exception as error:
            return self._fail(event, now_s, error)
        self.log.add(now_s, e.recorded(event), outputs)
        self.finished = self._pour.finished
        effects = [effect for output in outputs for effect in self._effects_of(output)]
        return effects + self._outcome() if self.finished else effects

    def _effects_of(self, output: e.PourOutput) -> list[PourEffect]:
        match output:
            case e.RunPump(run):
                self._has_run, self.last_run = True, (self.last_run + 1) % 256
                return [Command(replace(run, number=self.last_run))]
            case e.StopPumps():
                return [Command(m.Stop())]
            case e.RenewLease(lease_ms):
                return [Command(m.Keep(self.last_run, lease_ms))]
            case e.TripEmergencyStop():
                return [Command(m.EmergencyStop())]
            case e.PourStateChanged(state):
                return [self._note("pour_state", {"state": state}), PourTold(self.pour_id, output)]
            case e.Raised() | e.PourEnded():
                return [PourTold(self.pour_id, output)]
            case e.Rescaled():
                return [self._note("pour_rescaled", asdict(output))]
        return []

    def _note(self, kind: str, body: Mapping[str, Any]) -> PourEffect:
        return Persist(AppendEvent(kind, body, self.pour_id))

    def _outcome(self) -> list[PourEffect]:
        log = self.log
        if log.ended is None:
            raise RuntimeError(f"pour {self.pour_id} is over without an outcome")
        entries = tuple(log.take_entries())
        outcome = FinishPour(self.pour_id, log.ended, tuple(log.doses), log.glass_g, entries)
        effects: list[PourEffect] = [Persist(outcome, self.kept_key)]
        for (channel, liquid_id), inflight in log.learned.items():
            effects.append(Persist(AddInFlight(channel, liquid_id, inflight, self.pour_id)))
        return effects

    def _fail(self, event: e.PourInput, now_s: float, error: Exception) -> list[PourEffect]:
        """Stop the pump and end the pour after an error in the program."""
        self._failed = self.finished = True
        ended = e.PourEnded(PourState.ABORTED.value, PROGRAM_FAULT, self._delivered_g)
        self.log.add(now_s, e.recorded(event), [ended])
        told = TellFault(f"pour {self.pour_id} failed to handle {type(event).__name__} and is aborted", error)
        state = self._note("pour_state", {"state": PourState.ABORTED.value})
        return [Command(m.Stop()), told, state, PourTold(self.pour_id, ended), *self._outcome()]
