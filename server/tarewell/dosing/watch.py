"""Does the measurement follow the command? Each way in which it may not is a named alarm.

The watch sees every reading of a pour; the pour selects the checks that make sense in its present state.
"""

from dataclasses import dataclass

from tarewell.weighing.reading import Reading

from .alarms import Alarm, alarm
from .course import Course
from .setup import PourSetup

CONFIRM_S = 0.8
"""A pump must be reported on, or off, within this time of the command."""

EVENT_GRACE_S = 0.1
"""The report that explains why a pump is off may come this much later."""

FALLING_G_PER_S = 0.3
FALLING_S = 0.6
RISING_G_PER_S = 0.5
RISING_S = 1.2
MAX_FLOW_G_PER_S = 60.0
LOST_SHARE = 0.35
LOST_S = 0.6
FIRST_FLOW_G = 0.5
LIFTED_SHARE = 0.5
"""With less than this share of the empty glass on the platform, the glass was lifted."""


@dataclass(slots=True)
class _Lasting:
    """How long a condition has held without a break."""

    since_s: float | None = None

    def held_s(self, condition: bool, now_s: float) -> float:
        if not condition:
            self.since_s = None
            return 0.0
        if self.since_s is None:
            self.since_s = now_s
        return now_s - self.since_s


class PourChecks:
    """Checks readings against the pumps' commands."""

    def __init__(self, setup: PourSetup) -> None:
        rate_hz = setup.sample_rate_hz
        self._overload_g = setup.rating.overload_g
        self._no_flow_s = setup.settings.no_flow_s
        self._jumps_needed = max(2, round(0.035 * rate_hz))
        self._frozen_needed = max(5, round(0.2 * rate_hz))
        self._jumps = 0
        self._gone = 0
        self._same = 0
        self._last_counts: int | None = None
        self._falling = _Lasting()
        self._rising = _Lasting()
        self._lost = _Lasting()
        self._off = _Lasting()
        self.seen_on = False
        """Whether the pump was reported on since its last command."""

    def reset(self) -> None:
        """The pump's command changed: conditions are timed anew."""
        self.seen_on = False
        self._off = _Lasting()
        self._falling = _Lasting()
        self._rising = _Lasting()
        self._lost = _Lasting()

    def cell(self, reading: Reading) -> Alarm | None:
        """Is the load cell being read, and within its range?"""
        sample = reading.sample
        self._same = self._same + 1 if sample.counts == self._last_counts else 0
        self._last_counts = sample.counts
        if sample.saturated or reading.gross_g > self._overload_g:
            return alarm("overload", f"{reading.gross_g:.0f} g, at most {self._overload_g:.0f} g")
        if self._same >= self._frozen_needed:
            return alarm("frozen_reading", f"{sample.counts} counts, {self._same + 1} times in a row")
        return None

    def glass(self, reading: Reading, course: Course, now_s: float, glass_g: float) -> Alarm | None:
        """Does the glass, which weighs `glass_g` empty, stand still and keep what it holds?"""
        gone = reading.gross_g < LIFTED_SHARE * glass_g
        self._gone = self._gone + 1 if gone else 0
        self._jumps = self._jumps + 1 if course.jumps else 0
        if self._gone >= self._jumps_needed:
            return self.lifted(reading.gross_g, glass_g)
        if self._jumps >= self._jumps_needed and not gone:
            return alarm("disturbed", f"the reading is {course.jump_g:+.0f} g from where it should be")
        estimate = course.estimate
        if estimate is None:
            return None
        flow = estimate.flow_g_per_s
        if flow > MAX_FLOW_G_PER_S and flow > 3 * estimate.flow_sigma_g_per_s:  # not while the platform rings
            return alarm("disturbed", f"the mass rises by {flow:.0f} g/s")
        sure = flow < -FALLING_G_PER_S and flow < -3 * estimate.flow_sigma_g_per_s
        if self._falling.held_s(sure, now_s) >= FALLING_S:
            return alarm("mass_falling", f"{flow:.1f} g/s for {FALLING_S:g} s")
        return None

    def pump(self, reading: Reading, channel: int, on_s: float, now_s: float) -> Alarm | None:
        """Is the pump that was commanded on `on_s` s ago reported running?"""
        is_on = bool(reading.sample.running >> (channel - 1) & 1)
        self.seen_on |= is_on
        if not self.seen_on:
            detail = f"it is not reported running after {on_s:.1f} s"
            return alarm("pump_refused", detail) if on_s > CONFIRM_S else None
        if self._off.held_s(not is_on, now_s) > EVENT_GRACE_S:
            return alarm("pump_stopped", "it is no longer reported running")
        return None

    def stuck(self, since_s: float) -> Alarm | None:
        """Is the pump still reported running `since_s` s after its stop?"""
        if since_s <= CONFIRM_S:
            return None
        return alarm("pump_stuck", f"still reported on {CONFIRM_S:g} s after the stop")

    def lifted(self, gross_g: float, glass_g: float) -> Alarm | None:
        """Was the glass lifted, by this one reading?"""
        if gross_g >= LIFTED_SHARE * glass_g:
            return None
        return alarm("glass_lifted", f"{gross_g:.0f} g on the platform, the glass weighs {glass_g:.0f} g")

    def quiet(self, reading: Reading, course: Course, now_s: float) -> Alarm | None:
        """With no pump on, does the mass stay? Only a steady rise counts, not a knock."""
        estimate = course.estimate
        if estimate is None:
            return None
        flow = estimate.flow_g_per_s
        steady = flow > RISING_G_PER_S and flow > 4 * estimate.flow_sigma_g_per_s
        if self._rising.held_s(steady and not reading.pump_on, now_s) >= RISING_S:
            return alarm("unexpected_mass", f"{flow:.1f} g/s for {RISING_S:g} s with every pump off")
        return None

    def flow(
        self, course: Course, now_s: float, on_s: float, risen_g: float, usual_g_per_s: float
    ) -> Alarm | None:
        """With a pump on for `on_s` s, does liquid arrive, and keep arriving?

        `risen_g` is the mass gained since the pump was started; a flow far below `usual_g_per_s` is lost.
        """
        if on_s >= self._no_flow_s and risen_g < FIRST_FLOW_G:
            return alarm("no_flow", f"{risen_g:.1f} g in {on_s:.1f} s")
        if course.estimate is None or risen_g < FIRST_FLOW_G:
            return None
        flow = course.estimate.flow_g_per_s
        if self._lost.held_s(flow < LOST_SHARE * usual_g_per_s, now_s) >= LOST_S:
            return alarm("flow_lost", f"{max(flow, 0.0):.1f} g/s after {usual_g_per_s:.1f} g/s")
        return None
