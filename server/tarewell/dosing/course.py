"""What a pour follows of the mass: the line, what jumps off it, and rest, each from a start of its own."""

from dataclasses import dataclass, replace
from math import hypot, inf, sqrt

from tarewell.weighing.estimator import Estimate
from tarewell.weighing.reading import Reading
from tarewell.weighing.ringing import RingingLevel
from tarewell.weighing.stability import FEWEST, PARTS, Rest

from .setup import PourSetup
from .steps import StepTest

CONVERSION_DELAY = 2.0
"""A reading lies this many conversion periods behind the load where the board does not tell.

The data sheet of the HX711 gives a settling time of four conversions; a symmetric filter of that length
delays by half of it. The remainder is learned with the in-flight mass.
"""

SETTLING_CONVERSIONS = 4.0
"""The ADC's settling time (data sheet of the HX711: 50 ms at 80, 400 ms at 10 samples a second)."""

JUMP_SIGMAS = 6.0
LONG_REST_SAMPLES = 20
"""A glass that is put down rings near 10 Hz, which ten samples a second alias to a slow drift: two seconds of
them average it out, where 0.6 s tared up to 2.8 g off (simulated machine `rehearsal`)."""

REST_SAMPLES = 8
"""A rest's window is at least so many nominal periods long: ten samples a second may be nine, and six of
their readings would not fill a window of six periods."""

LATE_SHARE = (PARTS - 1) / PARTS
"""Share of a rest's window over which its mean is taken."""

READINGS_SHARE = 0.85
"""Share of a window's readings that a rest needs; a bad line delays a rest rather than blurring it."""

LANDING_S = 0.45
"""After a start from rest the first liquid lands, and its impact weighs, within this time."""

STEADY_SHARE = 0.1
"""A flow is steady if its uncertainty is below this share of it."""

PART_S = 0.4
"""A line leaves out the start of a feed, whose impact makes it too steep, once it has so much without."""

LINE_PERIODS = 12
"""Such a line, and a whole one, take in so many readings: at ten a second the rollers' pulses look like a
slow change of flow."""

FIRST_SPAN_S = 0.25
"""A line needs readings over this time: the platform still rings from the pump's start or stop."""

MEAN_S, FEWEST_OF_MEAN = 0.25, 6
"""While the glass settles, the mean is over this time, or so many readings."""

FLAT_S = 0.2
LEVEL_SIGMAS = 2.0
"""A fit shows rest where its drift over this time, one sigma added, and so many sigmas of its level lie
within the band."""


@dataclass(frozen=True, slots=True)
class _Rested:
    """A rest that `reading` completed, and the window that it was asked for."""

    range_g: float
    reading: Reading
    window_s: float
    since_s: float
    least: int


class Course:
    """Follows the readings of one pour.

    `jump_g` is how far the last reading lies from where the line predicted it; `jumps` whether that is more
    than liquid and the present vibration explain. The line leaves out a reading that jumps, and waits while a
    step is suspected. `added_g` is what lies on the platform and is neither glass nor drink: left out of
    every mass but that of the line itself, `estimate`.
    """

    def __init__(self, setup: PourSetup) -> None:
        settings = setup.settings
        period_s = 1 / setup.sample_rate_hz
        self._jump_g = settings.jump_g
        self._settling_delay_s = settings.settling_delay_s + SETTLING_CONVERSIONS * period_s
        self._band_g = settings.rest_band_g
        self._apart_s = SETTLING_CONVERSIONS * period_s
        self._mean_count = max(FEWEST_OF_MEAN, round(MEAN_S / period_s))
        self._line_s = max(settings.flow_window_s, LINE_PERIODS * period_s)
        self._part_s = max(PART_S, LINE_PERIODS * period_s)
        self._least_of_line = max(5, round(FIRST_SPAN_S / period_s))
        delay_s = setup.filter_delay_s
        self._delay_s = CONVERSION_DELAY * period_s if delay_s is None else delay_s
        self._rest_s = max(settings.rest_window_s, REST_SAMPLES * period_s)
        self._least_of_rest = max(FEWEST, round(READINGS_SHARE * self._rest_s / period_s))
        self._long_s = max(settings.tare_window_s, LONG_REST_SAMPLES * period_s, self._rest_s)
        self._least_of_long = max(FEWEST, round(READINGS_SHARE * self._long_s / period_s))
        self.estimate: Estimate | None = None
        self.jump_g = 0.0
        self.jumps = False
        self.added_g = 0.0
        self._steps = StepTest()
        self._course_s = -inf
        self._reading: Reading | None = None
        self._begun_s: float | None = None
        """When the line begins; None: at the next reading."""
        self._left_out_s: list[float] = []
        self._glass_s: float | None = None
        """Since when the glass has stood there; None: from the next reading on."""
        self._settled_s = -inf
        self._latest: Estimate | None = None
        """The last estimate with this glass."""
        self._first_g = 0.0
        self._rested: _Rested | RingingLevel | float | None = None
        """The rest found last; of a mass that was foreseen its standard uncertainty."""
        self._rise_g = 0.0

    def take(self, reading: Reading) -> None:
        """Follow the next reading."""
        t_s, gross_g = reading.t_s, reading.gross_g
        self._reading = reading
        if self._begun_s is None:
            self._begun_s = t_s
        if self._glass_s is None:
            self._glass_s, self._first_g = t_s, gross_g
        self.jump_g = gross_g - self._expected_g(t_s, gross_g)
        self.jumps = self._off_line(abs(self.jump_g))
        if self._suspects(reading):
            self._steps.add(t_s, self.jump_g)
            if self._steps.due:
                self._judge_step(reading)
        elif self.jumps:
            self._left_out_s.append(t_s)
        else:
            self._fit(reading)
        if self.estimate is not None:
            self._latest = self.estimate
        if reading.pump_on:
            self._settle_from(t_s)

    def _fit(self, reading: Reading) -> None:
        since_s = reading.t_s if self._begun_s is None else self._begun_s
        if reading.pump_on and reading.t_s >= self._landed_s + self._part_s:
            since_s = max(since_s, self._landed_s)
        self.estimate = reading.recent.line(
            self._line_s,
            reading.t_s,
            since_s,
            least=self._least_of_line,
            delay_s=self._delay_s,
            without_s=self._left_out_s,
            slides=True,
        )

    def _suspects(self, reading: Reading) -> bool:
        """Whether this may be a step, off a line that no beginning or end of a flow bends: all of it lies
        after the pump's start or stop, and with a pump on it fits."""
        line = self.estimate
        if line is None or not self._steps.suspicious(self.jump_g, line):
            return False
        if reading.t_s - line.span_s < self._landed_s:
            return False
        return not reading.pump_on or line.flow_sigma_g_per_s < STEADY_SHARE * line.flow_g_per_s

    @property
    def _landed_s(self) -> float:
        """When the first liquid of the present feed has landed."""
        return self._course_s + LANDING_S

    def _judge_step(self, reading: Reading) -> None:
        if step_g := self._steps.judge():
            line = self.estimate
            flow_g_per_s = 0.0 if line is None or not reading.pump_on else line.flow_g_per_s
            self.added_g += self._steps.mass_g(step_g, self.added_g, flow_g_per_s)
            self._begun_s = self._steps.settled_s
            self._left_out_s.clear()
        self._fit(reading)
        self._steps.clear()

    def _expected_g(self, t_s: float, gross_g: float) -> float:
        """Where a reading stamped `t_s` should lie: both have the reading's delay. While a new line is
        awaited, anywhere between the old one's end and its continuation, nearest to `gross_g`."""
        line = self.estimate
        if line is not None:
            return line.mass_g + line.flow_g_per_s * (t_s - line.t_s - self._delay_s)
        if self._latest is None:
            return self._first_g
        low_g, high_g = sorted((self._latest.mass_g, self._latest.at(t_s)))
        return min(max(gross_g, low_g), high_g + self._rise_g)

    def _off_line(self, away_g: float) -> bool:
        if away_g <= self._jump_g:
            return False
        return self._latest is None or away_g > JUMP_SIGMAS * self._latest.scatter_g

    def leave_out(self, mass_g: float) -> None:
        """Leave this much more of what lies on the platform out of every mass."""
        self.added_g += mass_g

    def rest(self) -> Rest | None:
        """The rest that the last reading completes."""
        return self._rung_out() or self._rest_over(self._rest_s, self._least_of_rest)

    def _rung_out(self) -> Rest | None:
        """Rest under ringing, which a fit sees before a mean does."""
        reading = self._reading
        if reading is None or self._glass_s is None or reading.t_s < self._settled_s:
            return None
        level = reading.recent.level(reading.t_s, max(self._glass_s, self._settled_s))
        if level is None or LEVEL_SIGMAS * level.mass_sigma_g > self._band_g:
            return None
        drift_g = FLAT_S * (abs(level.slope_g_per_s) + level.slope_sigma_g_per_s)
        if drift_g > self._band_g:
            return None
        self._rested = level
        return Rest(level.end_g - self.added_g, drift_g)

    def settling(self, after_s: float) -> tuple[float, float] | None:
        """While the glass settles, the next time after the pump's stop, in steps of the ADC's settling time
        from the settling delay on, and the mean of the last readings then; None if none later than `after_s`
        has come. Not while something jumps, or where a reading is missing."""
        reading = self._reading
        if reading is None or reading.t_s < self._settled_s or self.jumps:
            return None
        steps = (reading.t_s - self._course_s - self._settling_delay_s) // self._apart_s
        time_s = round(self._settling_delay_s + steps * self._apart_s, 3)
        if time_s <= after_s:
            return None
        mean_g = reading.recent.mean_g(self._mean_count, reading.t_s, self._course_s)
        return None if mean_g is None else (time_s, mean_g - self.added_g)

    def foreseen(self, mass_g: float, sigma_g: float) -> Rest:
        """A mass at rest that was told beforehand, with its standard uncertainty, as the rest found last."""
        self._rested = sigma_g
        return Rest(mass_g, 0.0)

    def long_rest(self) -> Rest | None:
        """The rest over a longer time, as a glass needs that was just put down."""
        return self._rest_over(self._long_s, self._least_of_long)

    def _rest_over(self, window_s: float, least: int) -> Rest | None:
        reading = self._reading
        if reading is None or self._glass_s is None or reading.t_s < self._settled_s:
            return None
        since_s = max(self._glass_s, self._settled_s)
        rest = reading.recent.rest(window_s, self._band_g, reading.t_s, since_s, least=least)
        if rest is None:
            return None
        self._rested = _Rested(rest.range_g, reading, window_s, since_s, least)
        return replace(rest, mean_g=rest.mean_g - self.added_g)

    @property
    def rest_sigma_g(self) -> float:
        """Standard uncertainty in g of the rest found last.

        That of a fit has its own, and what drifts in `FLAT_S`, a half-width. Otherwise it is made of the
        scatter of the later readings, whose mean it is, and of what still moved between the earlier and the
        later ones, a half-width. Ringing, which the mean hardly shows, counts as scatter; but no more than
        the band within which both agreed.
        """
        if (rested := self._rested) is None:
            return 0.0
        if isinstance(rested, float):
            return rested
        if isinstance(rested, RingingLevel):
            drift_g = FLAT_S * rested.slope_g_per_s
            return min(hypot(rested.end_sigma_g, drift_g / sqrt(3)), self._band_g / sqrt(3))
        line = rested.reading.recent.line(
            LATE_SHARE * rested.window_s,
            rested.reading.t_s,
            rested.since_s,
            least=round(LATE_SHARE * rested.least),
        )
        noise_g = 0.0 if line is None else line.mean_sigma_g
        return min(hypot(noise_g, rested.range_g / sqrt(3)), self._band_g / sqrt(3))

    def begin(self, now_s: float, rise_g: float = 0.0) -> None:
        """A pump starts or stops: fit a new line, and report no rest until what left the nozzle before has
        landed. Until there is a line, `rise_g` more is no jump."""
        self._begin_line()
        self._rise_g = rise_g
        if self._reading is not None:
            self._course_s = self._reading.board_s(now_s)
            self._settle_from(self._course_s)

    def forget(self) -> None:
        """A glass may come or go: the next reading does not count as a jump, wherever it lies."""
        self._begin_line()
        self._steps.forget()
        self._glass_s = None
        self._latest = None

    def _begin_line(self) -> None:
        self._begun_s = None
        self._left_out_s.clear()
        self._steps.clear()
        self.estimate = None

    def _settle_from(self, t_s: float) -> None:
        """A pump may have run until the board time `t_s`."""
        settled_s = t_s + self._settling_delay_s
        if settled_s > self._settled_s:
            self._settled_s = settled_s

    @property
    def level_g(self) -> float | None:
        """Mass in g by the last line; None without one."""
        return None if self.estimate is None else self.estimate.mass_g - self.added_g

    def mass_g(self, now_s: float) -> float:
        """Mass in g on the platform at the host's `now_s`.

        Raises:
            RuntimeError: no line has been fitted yet.
        """
        if self._reading is None or self.estimate is None:
            raise RuntimeError("there is no estimate yet")
        return self.estimate.at(self._reading.board_s(now_s)) - self.added_g
