"""What a dose knows of its channel at the speeds it may use."""

from dataclasses import dataclass, replace
from math import sqrt

from .inflight import FEW_STOPS, InFlight
from .runs import FIRST_SPREAD_S, RunOffset, offset_at
from .setup import DosingSettings
from .speeds import SpeedFlow, fine_speed, most_share, share_at

SLOW_SHARE = 0.2
UNKNOWN_SHARE = 1 / sqrt(3)
"""Standard uncertainty of a flow that was learned at a lower speed, to which the pump slows down in its own
time, and of one that is anywhere between nothing and twice as much; as a share of it."""

FEW_RUNS = 2
"""Timed runs at a speed of unknown flow that show what another one gives."""


@dataclass(frozen=True, slots=True)
class Taught:
    """The channel's model as these settings use it. Flows are shares of that at full speed."""

    inflight: InFlight
    settings: DosingSettings
    after_gap: bool = False
    """Whether the present run begins with an air gap that a suck-back has left."""

    @property
    def speeds(self) -> tuple[SpeedFlow, ...]:
        """The speeds whose flow was learned."""
        return self.inflight.speeds if self.settings.learn_speeds else ()

    @property
    def fine_speed(self) -> int:
        """The speed of the fine feed."""
        return fine_speed(self.speeds, self.settings.fine_speed, self.settings.coarse_speed)

    def share(self, speed: int) -> float:
        """The flow at a speed, as far as it is known."""
        return share_at(self.speeds, speed, self.settings.coarse_speed)

    def most(self, speed: int) -> float:
        """The largest flow that the pump may have at a speed."""
        return most_share(self.speeds, speed)

    def knows(self, speed: int) -> bool:
        """Whether the flow at this speed was learned."""
        return any(point.speed == speed for point in self.speeds)

    def expected(self, speed: int) -> tuple[float, float]:
        """The flow at a speed, and its standard uncertainty as a share of it. Flow is not proportional to
        speed, so one that nobody measured may be anything up to the most."""
        if speed == self.settings.coarse_speed:
            return 1.0, self.inflight.flow_share
        if self.knows(speed):
            return self.share(speed), SLOW_SHARE
        return self.most(speed) / 2, UNKNOWN_SHARE

    @property
    def sure_of_flow(self) -> bool:
        """Whether the flow was learned well enough to time runs by it: one that is too high would make those
        shorter than the runs that taught their offset give too much."""
        return self.inflight.count >= FEW_STOPS and self.settings.learn_speeds

    def offset(self, speed: int) -> RunOffset | None:
        """What is known of timed runs at this speed; None while that is not enough to time one. What is only
        known with a gap, or only without, is as much longer or shorter as the gap delays it."""
        if not self.sure_of_flow:
            return None
        found = offset_at(self.inflight.runs, speed, after_gap=self.after_gap)
        if found is None and (other := offset_at(self.inflight.runs, speed, after_gap=not self.after_gap)):
            gap_s = self.usual_gap_s(speed) if self.after_gap else -self.usual_gap_s(speed)
            found = replace(other, offset_s=other.offset_s + gap_s, spread_s=FIRST_SPREAD_S)
        sure = speed == self.settings.coarse_speed or self.knows(speed)
        return found if found is not None and (sure or found.count >= FEW_RUNS) else None

    def usual_gap_s(self, speed: int) -> float:
        """How long a gap at the nozzle delays a run at this speed, 0 if its flow is unknown."""
        flow = self.timed_g_per_s(speed)
        return self.settings.suck_back_g / flow if flow else 0.0

    def timed_g_per_s(self, speed: int) -> float:
        """Flow of timed runs at this speed in g/s: the most that it may be where it is unknown, so that a
        longer run than those seen gives less than wanted, not more."""
        share = self.share(speed) if self.knows(speed) else self.most(speed)
        return self.inflight.flow_g_per_s * share
