"""The pour under way with its record, and the effects of what it decides."""

from dataclasses import asdict, replace

from tarewell.dosing import events as e
from tarewell.dosing.drips import DripWatch
from tarewell.dosing.pour import Pour
from tarewell.dosing.progress import PourProgress
from tarewell.dosing.setup import PourSetup
from tarewell.dosing.states import PourState
from tarewell_protocol import messages as m

from .effects import AddInFlight, AppendEvent, AppendTrace, Command, Effect, FinishPour, Persist
from .found_later import Unweighed, unweighed
from .pour_log import PourLog

TRACE_S = 1.0
"""How often the trace of the pour under way is written."""

PROGRAM_FAULT = "program_fault"
"""Cause of a pour that was ended by an error in the program."""


class PourRun:
    """One pour, which is told what happens directly, and then `keep`s that. `kept_key` is the key by which
    its outcome comes back as written.

    Its runs are numbered from the one after `last_run`, so that the board's news of an earlier run, of this
    pour or of one before, is never taken for news of the present one.
    """

    def __init__(self, pour_id: str, setup: PourSetup, now_s: float, last_run: int) -> None:
        self.pour_id = pour_id
        self.last_run = last_run
        self.plan = setup.plan
        self.log = PourLog()
        self.pour = Pour(setup)
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
    def progress(self) -> PourProgress:
        """The pour at a glance."""
        return self.pour.progress

    @property
    def commanded(self) -> tuple[int, float | None] | None:
        """As `Pour.commanded`."""
        return None if self.finished else self.pour.commanded

    @property
    def wakeup_s(self) -> float | None:
        """When it wants to be woken at the latest."""
        if self.finished:
            return None
        due_s = self.pour.wakeup_s
        return self._trace_due_s if due_s is None else min(due_s, self._trace_due_s)

    def follows(self, run: int) -> bool:
        """Whether the run with this number is the last that it asked for."""
        return self._has_run and run == self.last_run

    def next_run(self) -> int:
        """The number of the run that it asks for now."""
        self._has_run, self.last_run = True, (self.last_run + 1) % 256
        return self.last_run

    def tick_due(self, now_s: float) -> bool:
        """Whether the pour wants a `Tick`."""
        due_s = self.pour.wakeup_s
        return due_s is not None and now_s >= due_s

    def keep(self, event: e.PourInput, outputs: list[e.PourOutput], now_s: float) -> None:
        """Keep what happened, and what the pour decided."""
        self.log.add(now_s, e.recorded(event), outputs)
        self.finished = self._failed or self.pour.finished

    def take_trace(self, now_s: float) -> list[Effect]:
        """The trace since the last time, where it is due."""
        if self.finished or now_s < self._trace_due_s:
            return []
        self._trace_due_s = now_s + TRACE_S
        entries = self.log.take_entries()
        return [Persist(AppendTrace(self.pour_id, tuple(entries), self._delivered_g))] if entries else []

    def fail(self) -> e.PourEnded:
        """An error in the program ends it."""
        self._failed = True
        return e.PourEnded(PourState.ABORTED.value, PROGRAM_FAULT, self._delivered_g)

    def outcome(self) -> list[Effect]:
        """What is written of it at its end."""
        log = self.log
        if log.ended is None:
            raise RuntimeError(f"pour {self.pour_id} is over without an outcome")
        entries = tuple(log.take_entries())
        finish = FinishPour(self.pour_id, log.ended, tuple(log.doses), log.glass_g, entries)
        effects: list[Effect] = [Persist(finish, self.kept_key)]
        for (channel, liquid_id), inflight in log.learned.items():
            effects.append(Persist(AddInFlight(channel, liquid_id, inflight, self.pour_id)))
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
        ended, stands_g = self.log.ended, self.pour.stands_g
        if ended is None or stands_g is None:
            return None
        return unweighed(
            self.pour_id,
            self.pour.setup,
            self.log,
            cause=ended.cause,
            stands_g=stands_g,
            held_weighed=self.pour.held.weighed,
        )

    @property
    def drips(self) -> DripWatch | None:
        """What follows its glass once it is over, None if it was not weighed at rest."""
        return self.pour.drips

    @property
    def _delivered_g(self) -> float:
        return sum(self.pour.progress.delivered_g)


def effects_of(output: e.PourOutput, run: PourRun) -> list[Effect]:
    """What the machine does of a decision of the pour, apart from its alarms."""
    match output:
        case e.RunPump(wanted):
            return [Command(replace(wanted, number=run.next_run()))]
        case e.StopPumps():
            return [Command(m.Stop())]
        case e.RenewLease(lease_ms):
            return [Command(m.Keep(run.last_run, lease_ms))]
        case e.TripEmergencyStop():
            return [Command(m.EmergencyStop())]
        case e.PourStateChanged(state):
            return [state_note(run.pour_id, state)]
        case e.Rescaled():
            return [Persist(AppendEvent("pour_rescaled", asdict(output), run.pour_id))]
    return []


def state_note(pour_id: str, state: str) -> Effect:
    """The pour's state, for the journal."""
    return Persist(AppendEvent("pour_state", {"state": state}, pour_id))
