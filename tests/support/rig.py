"""A machine, the host's session and one pour after another, in lock-step and without a wall clock.

The rig acts as the daemon: bytes to session, session events to the pour, commands to the session. It knows of
the machine only what comes over the wire; `machine.truth` is the reference for tests.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from math import inf
from random import Random
from typing import Any, Generic, Protocol, TypeVar

from tarewell.dosing import events as e
from tarewell.dosing.drips import Dripped
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.plan import DosePlan, PourPlan
from tarewell.dosing.setup import DosingSettings, PourSetup
from tarewell.dosing.states import PourState, UnexpectedPourEvent
from tarewell.dosing.uncertainty import SeenDrips
from tarewell.dosing.weighing_pour import WeighingPour
from tarewell.weighing.calibration import Calibration, two_point
from tarewell.weighing.recent import RecentReadings
from tarewell_protocol import messages as m
from tarewell_protocol import session as s
from tarewell_sim.machine import SimulatedMachine
from tarewell_sim.scenario import load_scenario
from tarewell_sim.specs import Scenario

T = TypeVar("T")

LATE_S = 0.0034
"""How late the host looks at most, as on a busy computer."""
QUIET_S = 0.01
"""How long it looks at nothing at most."""


@dataclass
class Result:
    """One pour: the outputs of the core with their times."""

    setup: PourSetup
    log: list[tuple[float, e.PourEvent | e.PourOutput]] = field(default_factory=list)

    def of(self, kind: type[T]) -> list[T]:
        """All entries of one kind."""
        return [item for _, item in self.log if isinstance(item, kind)]

    dripped: Dripped | None = None

    @property
    def ended(self) -> e.PourEnded:
        """How it ended."""
        (ended,) = self.of(e.PourEnded)
        return ended

    @property
    def doses(self) -> list[e.DoseEnded]:
        """The doses that ended."""
        return self.of(e.DoseEnded)

    @property
    def alarms(self) -> list[str]:
        """Names of the alarms raised, in order."""
        return [raised.alarm.name for raised in self.of(e.Raised)]

    @property
    def states(self) -> list[str]:
        """States entered, in order."""
        return [changed.state for changed in self.of(e.PourStateChanged)]


class Hands(Protocol):
    """What moves glasses."""

    def place_glass(self, mass_g: float) -> None: ...

    def lift_glass(self) -> None: ...


class AnyTruth(Protocol):
    """The physical state, of either plant."""

    @property
    def glass_present(self) -> bool: ...


class AnyPlant(Protocol):
    """A machine at the far end of the line, with its own time; either plant fits."""

    @property
    def now_s(self) -> float: ...

    @property
    def bench(self) -> Hands: ...

    @property
    def truth(self) -> AnyTruth: ...

    def advance(self, dt_s: float) -> None: ...

    def advance_until_heard(self, most_s: float) -> None: ...

    def read(self) -> bytes: ...

    def write(self, data: bytes) -> None: ...


M = TypeVar("M", bound=AnyPlant)


class LockStep(Generic[M]):
    """One machine under control."""

    def __init__(self, machine: M, seed: int) -> None:
        self.machine = machine
        self.known: dict[int, InFlight] = {}
        self.drips: dict[int, SeenDrips] = {}
        self._random = Random(seed)
        self.pour: WeighingPour | None = None
        self.result: Result | None = None
        self.run_number = 0
        self.session = self._connect()
        self.calibration = self._calibrate()

    @property
    def now_s(self) -> float:
        """The host's clock."""
        return self.machine.now_s + 1000.0

    @property
    def rate_hz(self) -> float:
        """Samples a second, as reported by the board."""
        if self.identity is None:
            raise RuntimeError("there is no session")
        return self.identity.sample_rate_hz

    def _connect(self) -> s.HostSession:
        self.session = s.HostSession(self._random.randrange(1 << 16), self.now_s)
        self.identity: m.Identity | None = None
        self.samples: list[m.Sample] = []
        self.until(lambda: self.identity is not None, 10)
        return self.session

    def reconnect(self) -> None:
        """Open a new session, as the daemon does after a link was lost."""
        self._connect()

    def _calibrate(self) -> Calibration:
        bench = self.machine.bench
        if self.machine.truth.glass_present:
            bench.lift_glass()
        empty = self.rest_counts()
        bench.place_glass(mass_g=500.0)
        loaded = self.rest_counts()
        bench.lift_glass()
        self.rest_counts()
        return two_point(empty, loaded, 500.0)

    def rest_counts(self, wait_s: float = 30.0) -> float:
        """Raw reading at rest."""
        recent = RecentReadings()
        found: list[float] = []
        seen = len(self.samples)

        def resting() -> bool:
            nonlocal seen
            for sample in self.samples[seen:]:
                t_s = sample.count / self.rate_hz
                recent.add(t_s, float(sample.counts))
                rest = recent.rest(1.0, 200.0, t_s)
                if rest is not None:
                    found.append(rest.mean_g)
            seen = len(self.samples)
            return bool(found)

        self.until(resting, wait_s)
        return found[-1]

    def until(self, condition: Callable[[], bool], limit_s: float) -> None:
        """Let time pass until `condition` holds; fail after `limit_s` of simulated time."""
        end_s = self.now_s + limit_s
        while not condition():
            if self.now_s > end_s:
                raise TimeoutError(
                    f"the condition did not hold within {limit_s} s: {self.pour and self.pour.state}"
                )
            self.step()

    def run_for(self, seconds: float) -> None:
        """Let time pass."""
        end_s = self.now_s + seconds
        self.until(lambda: self.now_s >= end_s, seconds + 1)

    def step(self) -> None:
        """Let time pass until the host has something to do, and a little longer."""
        quiet_s = min(QUIET_S, min(self._session_wakeup_s(), self._pour_wakeup_s()) - self.now_s)
        self.machine.advance_until_heard(max(0.0, quiet_s))
        self.machine.advance(self._random.uniform(0.0, LATE_S))
        now_s = self.now_s
        data = self.machine.read()
        events = self.session.receive(data, now_s) if data else []
        if now_s >= self._session_wakeup_s():
            events += self.session.tick(now_s)
        for event in events:
            self._take(event)
        if now_s >= self._pour_wakeup_s():
            self.feed(e.Tick())
        if data := self.session.outbox.take_lines():
            self.machine.write(data)

    def _session_wakeup_s(self) -> float:
        wakeup_s = self.session.wakeup_s()
        return inf if wakeup_s is None else wakeup_s

    def _pour_wakeup_s(self) -> float:
        wakeup_s = None if self.pour is None or self.pour.finished else self.pour.wakeup_s
        return inf if wakeup_s is None else wakeup_s

    def _take(self, event: s.SessionEvent) -> None:
        match event:
            case s.Opened(identity):
                self.identity = identity
            case s.SampleArrived(sample):
                self.samples.append(sample)
                self.feed(e.Weighed(sample))
            case s.Reported(m.Stopped(number, channel, cause)) if number == self.run_number:
                self.feed(e.BoardStopped(channel, cause))
            case s.Answered(_, m.Run(channel=channel), m.Refused(reason)):
                self.feed(e.BoardRefused(channel, reason))
            case s.Unanswered(_, m.Run(channel=channel), reason):
                self.feed(e.BoardRefused(channel, reason))
            case s.Closed(reason):
                self.feed(e.LinkLost(reason))

    def feed(self, event: e.PourEvent) -> None:
        """Feed the pour an event and carry out its outputs."""
        pour, result = self.pour, self.result
        if pour is None or result is None:
            return
        if pour.finished:
            self._watch_drips(pour, result, event)
            return
        if pour.state is PourState.IDLE and not isinstance(event, e.PourCommanded):
            return
        try:
            outputs = pour.handle(event, self.now_s)
        except UnexpectedPourEvent:
            if isinstance(event, e.PourCommanded):
                raise
            return
        result.log.append((self.now_s, event))
        for output in outputs:
            result.log.append((self.now_s, output))
            self._carry_out(output)

    def _watch_drips(self, pour: WeighingPour, result: Result, event: e.PourEvent) -> None:
        watch = pour.drips
        if watch is None or watch.over or not isinstance(event, e.Weighed):
            return
        channel = result.setup.plan.doses[watch.index].channel
        seen = self.drips.get(channel, SeenDrips())
        if (dripped := pour.watch_drips(watch, event, self.now_s)) is not None:
            result.dripped, self.drips[channel] = dripped, seen.learn(dripped.dripped_g - watch.rested_g)
        if watch.lacks:
            self.known[channel], watch.lacks = self.known[channel].with_lacks(watch.lacks), ()
        if watch.later_g is not None:
            self.drips[channel] = seen.learn_later(watch.later_g)

    def _carry_out(self, output: e.PourOutput) -> None:
        if self.session.phase is not s.Phase.OPEN:
            return
        match output:
            case e.RunPump(run):
                self.run_number = (self.run_number + 1) % 256
                self.session.outbox.ask(replace(run, number=self.run_number), self.now_s)
            case e.StopPumps():
                self.session.outbox.ask(m.Stop(), self.now_s)
            case e.RenewLease(lease_ms):
                self.session.outbox.ask(m.Keep(self.run_number, lease_ms), self.now_s)
            case e.TripEmergencyStop():
                self.session.outbox.ask(m.EmergencyStop(), self.now_s)
            case e.Learned(channel, _, inflight):
                self.known[channel] = inflight

    def begin(
        self,
        doses: Iterable[tuple[int, float]],
        settings: DosingSettings | None = None,
        glass_g: float | None = 250.0,
        **plan_options: Any,
    ) -> Result:
        """Start a pour of (channel, grams), with a fresh glass on the platform."""
        plan = PourPlan(tuple(DosePlan(ch, f"liquid-{ch}", grams) for ch, grams in doses), **plan_options)
        setup = PourSetup(
            plan,
            self.calibration,
            sample_rate_hz=self.rate_hz,
            variable_speed=self.identity is not None and "v" in self.identity.abilities,
            reversible=self.identity is not None and "r" in self.identity.abilities,
            known={k: v for k, v in self.known.items() if k in {d.channel for d in plan.doses}},
            drips=dict(self.drips),
            settings=settings or DosingSettings(),
        )
        if glass_g is not None:
            self.machine.bench.place_glass(mass_g=glass_g)
        self.pour, self.result = WeighingPour(setup), Result(setup)
        self.feed(e.PourCommanded(e.PourCommand.START))
        return self.result

    def command(self, command: e.PourCommand) -> None:
        """Give the operator's command."""
        self.feed(e.PourCommanded(command))

    def finish(self, limit_s: float = 120.0) -> Result:
        """Run to the end of the pour."""
        pour, result = self.pour, self.result
        if pour is None or result is None:
            raise RuntimeError("no pour was begun")
        self.until(lambda: pour.finished, limit_s)
        return result

    def run_until_state(self, state: PourState, limit_s: float = 60.0) -> None:
        """Run until the pour is in `state`."""
        pour = self.pour
        self.until(lambda: pour is not None and pour.state is state, limit_s)


class Rig(LockStep[SimulatedMachine]):
    """The simulated machine under control, with a simulated board unless `make` supplies another one."""

    def __init__(
        self,
        scenario: Scenario | str = "theatre_bar",
        seed: int = 1,
        make: Callable[[Scenario, int], SimulatedMachine] = SimulatedMachine,
    ) -> None:
        loaded = load_scenario(scenario) if isinstance(scenario, str) else scenario
        super().__init__(make(loaded, seed), seed)
