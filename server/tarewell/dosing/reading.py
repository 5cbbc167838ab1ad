"""The mass as a pour sees it: samples in, estimates and rests out."""

from contextlib import suppress
from dataclasses import dataclass

from tarewell.weighing.clocks import BoardClock, ClockMap
from tarewell.weighing.estimator import Estimate, LineEstimator
from tarewell.weighing.stability import PARTS, Rest, StabilityTest
from tarewell_protocol.messages import Sample

from .setup import PourSetup

CONVERSION_DELAY = 2.0
"""A reading lies this many conversion periods behind the load.

The data sheet of the HX711 gives a settling time of four conversions; a symmetric filter of that length
delays by half of it. The remainder is learned with the in-flight mass.
"""

SETTLING_CONVERSIONS = 4.0
"""The ADC's settling time (data sheet of the HX711: 50 ms at 80, 400 ms at 10 samples a second)."""

JUMP_SIGMAS = 6.0
LONG_REST_SAMPLES = 20
"""A glass that is put down rings near 10 Hz, which ten samples a second alias to a slow drift: two seconds of
them average it out, where 0.6 s tared up to 2.8 g off (simulated machine `rehearsal`)."""

READINGS_SHARE = 0.85
"""Share of a window's readings that a rest needs; a bad line delays a rest rather than blurring it."""

FIRST_SPAN_S = 0.25
"""A line needs readings over this time: the platform still rings from the pump's start or stop."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One sample, weighed.

    `jump_g` is how far it lies from where the line predicted it; `jumps` whether that is more than liquid
    and the present vibration explain.
    """

    sample: Sample
    gross_g: float
    jump_g: float
    jumps: bool
    estimate: Estimate | None
    rest: Rest | None
    long_rest: Rest | None

    @property
    def pump_on(self) -> bool:
        """Whether the board reports any channel running."""
        return self.sample.running != 0


class MassView:
    """Weighs the samples of one pour."""

    def __init__(self, setup: PourSetup) -> None:
        settings = setup.settings
        period_s = 1 / setup.sample_rate_hz
        self._calibration = setup.calibration
        self._jump_g = settings.jump_g
        self._settling_delay_s = settings.settling_delay_s + SETTLING_CONVERSIONS * period_s
        self._band_g = settings.rest_band_g
        self._board_clock = BoardClock()
        self._clock_map = ClockMap()
        self._line = LineEstimator(
            max(settings.flow_window_s, 5 * period_s),
            CONVERSION_DELAY * period_s,
            least=max(5, round(FIRST_SPAN_S / period_s)),
        )
        rest_s = max(settings.rest_window_s, 6 * period_s)
        self._rest = self._test(rest_s, period_s)
        long_s = max(settings.tare_window_s, LONG_REST_SAMPLES * period_s, rest_s)
        self._long_rest = self._test(long_s, period_s)
        self._estimate: Estimate | None = None
        self._level_g: float | None = None
        self._scatter_g = 0.0

    def _test(self, window_s: float, period_s: float) -> StabilityTest:
        least = max(2 * PARTS, round(READINGS_SHARE * window_s / period_s))
        return StabilityTest(window_s, self._band_g, least=least)

    def take(self, sample: Sample, now_s: float) -> Reading:
        """Weigh a sample that arrived at `now_s`. The line leaves out one that jumps."""
        t_s = self._board_clock.seconds(sample.board_ms)
        self._clock_map.note(t_s, now_s)
        gross_g = self._calibration.grams(sample.counts)
        jump_g = 0.0
        if self._estimate is not None:
            # compared at the time of measurement: both sides have the reading's delay
            jump_g = gross_g - (self._estimate.at(t_s) - self._estimate.flow_g_per_s * self._line.delay_s)
        elif self._level_g is not None:
            jump_g = gross_g - self._level_g
        jumps = abs(jump_g) > max(self._jump_g, JUMP_SIGMAS * self._scatter_g)
        if not jumps:
            self._estimate = self._line.feed(t_s, gross_g)
        if self._level_g is None:
            self._level_g = gross_g
        if self._estimate is not None:
            self._level_g = self._estimate.mass_g
            self._scatter_g = self._estimate.scatter_g
        if sample.running:
            self._settle_from(t_s)
        rest = self._rest.feed(t_s, gross_g)
        long_rest = self._long_rest.feed(t_s, gross_g)
        return Reading(sample, gross_g, jump_g, jumps, self._estimate, rest, long_rest)

    def new_course(self, now_s: float) -> None:
        """A pump starts or stops: fit a new line, and report no rest until what left the nozzle before has
        landed."""
        self._new_line()
        with suppress(LookupError):  # no reading yet, so none that could pass for a rest
            self._settle_from(self._clock_map.board_s(now_s))

    def forget_level(self) -> None:
        """A glass may come or go: the next reading does not count as a jump, wherever it lies."""
        self._new_line()
        self._rest.clear()
        self._long_rest.clear()
        self._level_g = None
        self._scatter_g = 0.0

    def _new_line(self) -> None:
        self._line.clear()
        self._estimate = None

    def _settle_from(self, t_s: float) -> None:
        """A pump may have run until the board time `t_s`."""
        self._rest.start_at(t_s + self._settling_delay_s)
        self._long_rest.start_at(t_s + self._settling_delay_s)

    def mass_g(self, estimate: Estimate, now_s: float) -> float:
        """Mass in g on the platform at the host's `now_s`."""
        return estimate.at(self._clock_map.board_s(now_s))
