"""The scale: weighs every sample once, for whoever asks, and shows gross and net, zero and tare.

Terms and limits of OIML R 76-1:2006.
"""

from dataclasses import dataclass
from math import inf

from tarewell_protocol.messages import Sample

from .calibration import Calibration, CalibrationError, UnlikelySpanError, two_point
from .clocks import BoardClock, ClockMap
from .estimator import Estimate
from .reading import Reading
from .recent import RecentReadings
from .stability import Rest

MIN_REFERENCE_SHARE = 0.05
"""Least share of Max for a reference mass. Our own choice, from no standard: its error counts twenty times
at Max, and a smaller figure is more likely a typing error."""

UNLIKELY_SPAN = 2.0
"""From this factor on, either way, a span is questioned that differs from the expected one: that of the
calibration in use or, before the first, that of a cell of 1 mV/V which Max loads fully. Our own choice: cells
of that kind differ by some 10 to 15 % (from memory), so 2 leaves room for a cell of another make, and yet
catches 500 g for 200 g (2.5), a dropped digit and another unit. A cell of 2 mV/V, or one rated for more than
twice Max, may be questioned once: the answer is kept as the calibration in use."""

FRESH_S = 0.25
"""A reading older than this is stale."""

STABLE_S = 1.0
FLOW_WINDOW_S = 0.5


class ScaleError(ValueError):
    """The scale cannot do this now; the message says why and what to do."""


@dataclass(frozen=True, slots=True)
class ScaleRating:
    """The rating of the scale: Max and the verification scale interval e, in g.

    e = 0.1 g and Max = 1 kg are the finest that class III allows (R 76-1 Table 3: n at most 10 000).
    """

    max_g: float = 1000.0
    e_g: float = 0.1

    @property
    def overload_g(self) -> float:
        """No indication above Max + 9 e (R 76-1, 4.2.3)."""
        return self.max_g + 9 * self.e_g

    @property
    def zero_range_g(self) -> float:
        """Zero-setting covers at most 4 % of Max (R 76-1, 4.5.1)."""
        return 0.04 * self.max_g


@dataclass(frozen=True, slots=True)
class Indication:
    """One reading for people: masses in g; `net_g` is gross less tare.

    `rest_g` is the gross mean at rest. Just after the load changed it is still the earlier one, while
    `gross_g` rings; None where the load moves.
    """

    gross_g: float
    net_g: float
    tare_g: float
    counts: int
    stable: bool
    overload: bool
    rest_g: float | None = None


class Scale:
    """The one clock, calibration and store of readings of a machine.

    `adjusted_zero_counts` is the zero of the last two-point calibration, from which zero-setting may stray
    no further than its range; None: the zero of `calibration`.
    """

    def __init__(
        self, calibration: Calibration, rating: ScaleRating, adjusted_zero_counts: float | None = None
    ) -> None:
        self.rating = rating
        self.calibration = calibration
        self._adjusted_zero_counts = (
            calibration.zero_counts if adjusted_zero_counts is None else adjusted_zero_counts
        )
        self.tare_g = 0.0
        self.lost()

    def lost(self) -> None:
        """The link is gone: forget the readings and the board's clock."""
        self._clock = BoardClock()
        self._clock_map = ClockMap()
        self._recent = RecentReadings()
        self.reading: Reading | None = None
        self._seen_s = -inf

    def take(self, sample: Sample, now_s: float) -> Reading:
        """Weigh a sample that arrived at the host's `now_s`."""
        t_s = self._clock.seconds(sample.board_ms)
        offset_s = self._clock_map.note(t_s, now_s)
        gross_g = self.calibration.grams(sample.counts)
        self._recent.add(t_s, gross_g)
        self._seen_s = now_s
        self.reading = Reading(sample, t_s, gross_g, offset_s, self._recent)
        return self.reading

    def indication(self, now_s: float) -> Indication | None:
        """What to show at the host's `now_s`; None without a fresh reading."""
        reading = self.reading
        if reading is None or now_s - self._seen_s > FRESH_S:
            return None
        sample, gross_g, rest = reading.sample, reading.gross_g, self._rest()
        return Indication(
            gross_g=gross_g,
            net_g=gross_g - self.tare_g,
            tare_g=self.tare_g,
            counts=sample.counts,
            stable=rest is not None,
            overload=sample.saturated or gross_g > self.rating.overload_g,
            rest_g=None if rest is None else rest.mean_g,
        )

    @property
    def rest_g(self) -> float | None:
        """As in `Indication`, without waiting for a fresh reading."""
        rest = self._rest()
        return None if rest is None else rest.mean_g

    @property
    def line(self) -> Estimate | None:
        """The line through the last readings, worked out anew; None while there are too few."""
        return None if self.reading is None else self._recent.line(FLOW_WINDOW_S, self.reading.t_s)

    def _rest(self) -> Rest | None:
        reading = self.reading
        return None if reading is None else self._recent.rest(STABLE_S, self.rating.e_g / 2, reading.t_s)

    def zeroed(self) -> Calibration:
        """Semi-automatic zero-setting (R 76-1, T.2.7.2.2): a calibration to `adopt`, by which the platform
        reads 0.

        Raises:
            ScaleError: not at rest, or further from the last calibration's zero than 4 % of Max.
        """
        rest_counts = self._rest_counts("zero")
        away_g = (rest_counts - self._adjusted_zero_counts) / self.calibration.counts_per_g
        if abs(away_g) > self.rating.zero_range_g:
            raise ScaleError(
                f"the platform reads {away_g:.1f} g from its calibrated zero, more than the "
                f"{self.rating.zero_range_g:g} g that zero-setting may correct; take everything off the "
                "platform, or calibrate it anew (`tarewell calibrate`)"
            )
        return self.calibration.with_zero(rest_counts)

    def set_tare(self) -> float:
        """Tare the present load, so that it is left out of the net mass; returns the tare in g.

        Raises:
            ScaleError: not at rest, or below zero.
        """
        rest = self._rest()
        if rest is None:
            raise ScaleError("the scale is not at rest; wait until nothing moves on the platform, then tare")
        if rest.mean_g < -self.rating.e_g:
            raise ScaleError(
                "the scale reads below zero; take everything off, set zero (`tarewell zero`), then tare"
            )
        self.tare_g = rest.mean_g
        return self.tare_g

    def clear_tare(self) -> None:
        """Net is gross again."""
        self.tare_g = 0.0

    def rest_counts(self) -> float:
        """The raw reading of the load at rest, for the points of a calibration.

        Raises:
            ScaleError: not at rest.
        """
        return self._rest_counts("calibrate")

    def calibrated(
        self, empty_counts: float, reference_g: float, *, accept_unlikely: bool = False
    ) -> Calibration:
        """A two-point calibration to `adopt`: `empty_counts` as read before, the reference mass in place.

        Raises:
            ScaleError: not at rest.
            CalibrationError: the reference mass is above Max, below `MIN_REFERENCE_SHARE` of it, or moved the
                reading too little.
            UnlikelySpanError: the span is `UNLIKELY_SPAN` or more from the expected one; `accept_unlikely`
                accepts it.
        """
        min_g, max_g = MIN_REFERENCE_SHARE * self.rating.max_g, self.rating.max_g
        if not min_g <= reference_g <= max_g:  # so that NaN fails
            raise CalibrationError(
                f"a reference mass must be {min_g:g} to {max_g:g} g on this scale, got {reference_g:g} g; "
                "use one in that range, preferably a third of Max or more, and give its mass in g"
            )
        found = two_point(empty_counts, self._rest_counts("calibrate"), reference_g)
        ratio = abs(found.counts_per_g / self.calibration.counts_per_g)
        if not accept_unlikely and not 1 / UNLIKELY_SPAN < ratio < UNLIKELY_SPAN:
            raise UnlikelySpanError(
                f"did you put {reference_g:g} g on? What is known of the scale so far makes it about "
                f"{ratio * reference_g:.0f} g; give the mass that is on the platform, or accept the unlikely "
                "span if you are sure of mass and cell (`accept_unlikely`)"
            )
        return found

    def _rest_counts(self, what: str) -> float:
        reading, rest = self.reading, self._rest()
        if reading is None or rest is None:
            raise ScaleError(
                f"the scale is not at rest; wait until nothing moves on the platform, then {what} again"
            )
        if reading.sample.saturated:
            raise ScaleError(
                "the load cell's reading is out of range; take the load off and check the wiring"
            )
        return self.calibration.counts(rest.mean_g)

    def adopt(self, calibration: Calibration, adjusted_zero_counts: float | None = None) -> None:
        """Use a calibration from now on, also for the readings so far, and clear the tare; a two-point
        calibration has `adjusted_zero_counts`."""
        before, self.calibration = self.calibration, calibration
        if adjusted_zero_counts is not None:
            self._adjusted_zero_counts = adjusted_zero_counts
        self.tare_g = 0.0
        self._recent.reweigh(lambda mass_g: calibration.grams(before.counts(mass_g)))
        if self.reading is not None:
            self.reading = self.reading.reweighed(calibration)
