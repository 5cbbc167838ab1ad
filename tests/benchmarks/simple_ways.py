"""Three ways to pour without a model, for comparison: by time, to the target, coarse then fine with a fixed
preact.

They know each channel by two doses that were weighed before, as their owners would, and act over the same
line and on the same machines.
"""

from collections.abc import Callable
from statistics import mean

from rig import LockStep
from second_plant import SecondPlant
from tarewell_protocol import messages as m

TEACH_S = 4.0
"""The dose that teaches: the pump runs for this long."""

FINE_G = 8.0
"""The fine feed begins this far before the target."""

FINE_SPEED = 80
SETTLED_S = 2.5
LEASE_MS = 500
SAMPLES = 3
"""A reading is the mean of so many samples, as simple programs take it."""


class SimplePourer:
    """Pours on channel 1 of one machine."""

    def __init__(self, rig: LockStep[SecondPlant]) -> None:
        self._rig = rig
        self._number = 0
        delivered_g, self._preact_g = self._teach(255)
        self._flow_g_per_s = delivered_g / TEACH_S
        _, self._fine_preact_g = self._teach(FINE_SPEED)

    def _teach(self, speed: int) -> tuple[float, float]:
        """What `TEACH_S` at this speed give, and how much of it comes after the stop, in g."""
        before_g = self._place()
        self._run(speed, lambda on_s: on_s >= TEACH_S)
        at_stop_g = self._reading_g()
        self._rig.run_for(SETTLED_S)
        after_g = self._reading_g()
        return after_g - before_g, after_g - at_stop_g

    def by_time(self, target_g: float) -> None:
        """Run for target / flow."""
        self._place()
        self._run(255, lambda on_s: on_s >= target_g / self._flow_g_per_s)

    def to_target(self, target_g: float) -> None:
        """Stop when the reading is there."""
        empty_g = self._place()
        self._run(255, lambda _: self._reading_g() - empty_g >= target_g)

    def coarse_and_fine(self, target_g: float) -> None:
        """At full speed until `FINE_G` before the target, then slowly until a fixed preact before it."""
        empty_g = self._place()
        until_g = empty_g + target_g
        self._run(255, lambda _: self._reading_g() >= until_g - FINE_G - self._preact_g)
        self._run(FINE_SPEED, lambda _: self._reading_g() >= until_g - self._fine_preact_g)

    def _place(self) -> float:
        self._rig.machine.place_glass(250.0)
        self._rig.run_for(SETTLED_S)
        return self._reading_g()

    def _reading_g(self) -> float:
        counts = mean(sample.counts for sample in self._rig.samples[-SAMPLES:])
        return self._rig.calibration.grams(counts)

    def _run(self, speed: int, done: Callable[[float], bool]) -> None:
        rig = self._rig
        self._number = (self._number + 1) % 256
        rig.session.outbox.ask(
            m.Run(
                channel=1,
                direction=m.Direction.FORWARD,
                speed=speed,
                lease_ms=LEASE_MS,
                ceiling_counts=round(rig.calibration.counts(900.0)),
                max_ms=60_000,
                ceiling_above=rig.calibration.counts_per_g > 0,
                number=self._number,
            ),
            rig.now_s,
        )
        begun_s = renewed_s = rig.now_s
        while not done(rig.now_s - begun_s) and rig.now_s - begun_s < 60.0:
            rig.step()
            if rig.now_s - renewed_s > LEASE_MS / 2500:
                renewed_s = rig.now_s
                rig.session.outbox.ask(m.Keep(self._number, LEASE_MS), rig.now_s)
        rig.session.outbox.ask(m.Stop(), rig.now_s)
        rig.step()
