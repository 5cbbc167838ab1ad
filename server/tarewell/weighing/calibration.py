"""Counts to grams: two-point calibration and zero."""

from dataclasses import dataclass, replace
from math import isfinite

SMALLEST_SPAN_COUNTS = 10_000
"""A reference mass must move the reading by at least this much, or noise would set the span."""


class CalibrationError(ValueError):
    """A calibration that could not weigh; the message says what to do."""


class UnlikelySpanError(CalibrationError):
    """The span is far from the expected one; the message asks whether the reference mass is the one given."""


@dataclass(frozen=True, slots=True)
class Calibration:
    """A straight line from raw counts to grams.

    `counts_per_g` is negative for a cell wired so that counts fall with load; `zero_counts` is the raw
    reading of the empty platform.
    """

    zero_counts: float
    counts_per_g: float

    def grams(self, counts: float) -> float:
        """Gross mass in g."""
        return (counts - self.zero_counts) / self.counts_per_g

    def counts(self, mass_g: float) -> float:
        """The raw reading that a gross mass in g would give."""
        return self.zero_counts + mass_g * self.counts_per_g

    def with_zero(self, zero_counts: float) -> "Calibration":
        """The same span from another zero."""
        return replace(self, zero_counts=zero_counts)


def two_point(empty_counts: float, loaded_counts: float, reference_g: float) -> Calibration:
    """Calibrate from the empty platform and one reference mass.

    Raises:
        CalibrationError: `reference_g` is not a positive number, or the reading moved by less than
            `SMALLEST_SPAN_COUNTS`.
    """
    if not isfinite(reference_g) or reference_g <= 0:
        raise CalibrationError(f"the reference mass must be more than 0 g, got {reference_g:g} g")
    span_counts = loaded_counts - empty_counts
    if abs(span_counts) < SMALLEST_SPAN_COUNTS:
        raise CalibrationError(
            f"the reading moved by only {span_counts:.0f} counts for {reference_g:g} g; put the "
            "reference mass on the platform, check the load cell's wiring, or use a heavier mass"
        )
    return Calibration(empty_counts, span_counts / reference_g)
