"""Does a pump run, or mass move, that nobody commanded?

The watch is given every reading, in every state of machine, pour and round, and returns what it finds. What
it remembers is `WatchState`, plain values that can be stored and restored between any two readings.

The board's report says at once which pumps it drives. Mass tells the rest: a driver that is stuck behind the
board's back, a siphon, a leak. Three sums of flow over time, each less an allowance for drift and drips, grow
only while a flow lasts (one-sided cumulative sums, E. S. Page, Biometrika 41 (1954) 100; from memory). A flow
counts with `MAX_COUNTED_G_PER_S` at most and only where the line fits, so that neither a knock nor something
put on the platform adds up to an alarm. A pump that runs hides what flows beside it, up to half of its own
flow; that is found once the pump is off.
"""

from dataclasses import dataclass, field
from enum import StrEnum

from tarewell.weighing.estimator import Estimate

CONFIRM_S = 1.0
"""A pump may be reported on for this long after its command has ended; the pour's own check comes first."""

ALLOWED_G_PER_S = 0.1
"""Half of the slowest leak that must be found. Drift stays far below; drops after a stop reach it briefly."""

MAX_COUNTED_G_PER_S = 0.8
ALARM_G = 1.0
"""A sum that reaches this is told: 10 s of 0.2 g/s, 1.4 s of any flow of 0.8 g/s or more."""

PUMP_MAX_G_PER_S = 40.0
"""No pump or siphon of this kind is faster, so this is a hand."""

HANDS_S = 2.0
"""After a hand the platform rings and the line still holds readings of both loads."""

SETTLING_S = 0.7
"""After a pump was on, mass still arrives, and the line still holds readings of the flow."""

RUN_UP_S = 1.0
EXCESS_SHARE = 1.5
"""A channel that delivers this many times its usual flow has help from another, or was taught wrong."""

FIT_G_PER_S = 0.2
FIT_SHARE = 1 / 3
"""A line fits if the uncertainty of its flow is below either of these, the latter a share of the flow."""

LINE_S = 0.09
"""Lines need be no closer: ten a second, at any sample rate."""

LONGEST_STEP_S = 0.25
"""A gap between lines counts as this long at most."""


class FindingKind(StrEnum):
    """What the watch finds."""

    UNCOMMANDED_PUMP = "uncommanded_pump"
    SECOND_PUMP = "second_pump"
    """As above, while another channel is commanded."""
    RISING = "rising"
    FALLING = "falling"
    EXCESS_FLOW = "excess_flow"


@dataclass(slots=True)
class Watched:
    """One reading, and what is commanded once it has been acted upon.

    `t_s` only grows; board time or host time. `running` has a bit for each pump that the board reports on,
    the lowest for channel 1. `line` is the fit to the last half second or so, None without one or where the
    watch wants none. `commanded` is the channel commanded on; `usual_g_per_s` its flow at full speed as
    learned, None if unknown. `attended`: somebody may be at work on the platform.
    """

    t_s: float
    running: int
    line: Estimate | None
    commanded: int | None = None
    usual_g_per_s: float | None = None
    attended: bool = False


@dataclass(frozen=True, slots=True)
class Finding:
    """Something found, told once as long as it lasts.

    `channel` is the one found, or the commanded one of an excess flow; None where mass alone shows it, which
    names no channel. Flow in g/s, `change_g` in g since it began.
    """

    kind: FindingKind
    channel: int | None
    flow_g_per_s: float | None
    change_g: float


@dataclass(slots=True)
class Rise:
    """One sum in g since it began to grow, with the gross mass at that time; `told` until it is 0 again."""

    sum_g: float = 0.0
    from_g: float = 0.0
    told: bool = False

    def add(self, step_g: float, gross_g: float) -> bool:
        """Add to the sum, which stays between 0 and the alarm; whether it is to be told now."""
        if self.sum_g == 0.0:
            self.from_g, self.told = gross_g, False
        self.sum_g = min(max(self.sum_g + step_g, 0.0), ALARM_G)
        if self.sum_g < ALARM_G or self.told:
            return False
        self.told = True
        return True


@dataclass(slots=True)
class WatchState:
    """What the watch remembers; times in s.

    The last reading came at `seen_s`, the last line at `line_s`. `channel` is the one commanded last, from
    the reading at `since_s` to that at `until_s`. A pump was on or commanded at `active_s`, a hand on the
    platform at `hands_s`.
    """

    seen_s: float | None = None
    line_s: float | None = None
    channel: int | None = None
    since_s: float = 0.0
    until_s: float = 0.0
    active_s: float | None = None
    hands_s: float | None = None
    rising: Rise = field(default_factory=Rise)
    falling: Rise = field(default_factory=Rise)
    excess: Rise = field(default_factory=Rise)
    told: tuple[int, ...] = ()
    """The channels told as running uncommanded, until they are off."""


class Watch:
    """Checks every reading, in order."""

    def __init__(self, state: WatchState | None = None) -> None:
        self.state = state or WatchState()

    def reset(self) -> None:
        """Somebody has attended to the machine, or the board has a new session: what lasts is told again."""
        self.state = WatchState()

    def wants_line(self, t_s: float) -> bool:
        """Whether the next reading, at `t_s`, is to come with a line."""
        return self.state.line_s is None or t_s - self.state.line_s >= LINE_S

    def check(self, seen: Watched) -> list[Finding]:
        """Take a reading; returns what it shows for the first time."""
        state = self.state
        if seen.commanded is not None:
            if seen.commanded != state.channel or state.until_s != state.seen_s:
                state.channel, state.since_s = seen.commanded, seen.t_s
            state.until_s = seen.t_s
        state.seen_s = seen.t_s
        if seen.commanded is not None or seen.running:
            state.active_s = seen.t_s
        return self._pumps(seen) + self._masses(seen)

    def _pumps(self, seen: Watched) -> list[Finding]:
        state, running = self.state, seen.running
        if state.channel and seen.t_s - state.until_s <= CONFIRM_S:
            running &= ~(1 << state.channel - 1)
        if not running:
            state.told = ()
            return []
        wrong = [bit + 1 for bit in range(running.bit_length()) if running >> bit & 1]
        new = [channel for channel in wrong if channel not in state.told]
        state.told = tuple(wrong)
        kind = FindingKind.UNCOMMANDED_PUMP if seen.commanded is None else FindingKind.SECOND_PUMP
        flow = None if seen.line is None else seen.line.flow_g_per_s
        return [Finding(kind, channel, flow, 0.0) for channel in new]

    def _masses(self, seen: Watched) -> list[Finding]:
        state, now_s, line = self.state, seen.t_s, seen.line
        if seen.attended:
            self._see_hands(now_s)
        if line is None:
            return []
        step_s = 0.0 if state.line_s is None else min(max(now_s - state.line_s, 0.0), LONGEST_STEP_S)
        state.line_s = now_s
        flow = line.flow_g_per_s
        if abs(flow) > PUMP_MAX_G_PER_S:
            self._see_hands(now_s)
        if state.hands_s is not None and now_s - state.hands_s < HANDS_S:
            return []
        quiet = state.active_s is None or now_s - state.active_s >= SETTLING_S
        usual = seen.usual_g_per_s if now_s - state.since_s >= RUN_UP_S else None
        counted = _counted(flow) if quiet else 0.0
        over = _counted(flow - EXCESS_SHARE * usual) if seen.commanded and usual else 0.0
        grown = state.rising.sum_g or state.falling.sum_g or state.excess.sum_g
        if not grown and max(abs(counted), over) <= ALLOWED_G_PER_S:
            return []
        if line.flow_sigma_g_per_s > max(FIT_G_PER_S, FIT_SHARE * abs(flow)):
            return []
        found = []
        for kind, rise, rate, channel in (
            (FindingKind.RISING, state.rising, counted, None),
            (FindingKind.FALLING, state.falling, -counted, None),
            (FindingKind.EXCESS_FLOW, state.excess, over, seen.commanded),
        ):
            if rise.add((rate - ALLOWED_G_PER_S) * step_s, line.mass_g):
                found.append(Finding(kind, channel, flow, line.mass_g - rise.from_g))
        return found

    def _see_hands(self, now_s: float) -> None:
        state = self.state
        state.hands_s = now_s
        state.rising, state.falling, state.excess = Rise(), Rise(), Rise()


def _counted(flow_g_per_s: float) -> float:
    return min(max(flow_g_per_s, -MAX_COUNTED_G_PER_S), MAX_COUNTED_G_PER_S)
