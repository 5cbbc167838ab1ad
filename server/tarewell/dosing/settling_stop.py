"""One stop after which the mass at rest is told by what the channel has taught, before there is rest."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import hypot

from .course import Course
from .settling import SettlingPoint

FEW_SEEN = 3
"""A time after the stop that taught less often than this foresees nothing."""

FORESEEN_G, FORESEEN_SHARE = 0.06, 0.1
"""A mass is foreseen with no more than this standard uncertainty, and no more than this share of the dose's
tolerance. A fast pump that coasts long has to wait for it until little is left to land."""

AGREED_SIGMAS = 3.0


@dataclass(slots=True)
class SettlingStop:
    """One stop from full flow, which is known.

    `expected` is the mass at rest in g by the in-flight time or by the length of the run, with its standard
    uncertainty; None while the channel has not taught that. All masses are as the scale reads them less
    `added_g`, what lies there and is no drink.
    """

    flow_g_per_s: float
    expected: tuple[float, float] | None
    added_g: float
    means_g: list[tuple[float, float]] = field(default_factory=list)
    """Times after the stop in s, and the means of the last readings then."""
    over: bool = False
    """A pump has run since."""

    def end(self) -> None:
        """A pump runs: no reading says more about this stop."""
        self.over = True

    def take(self, course: Course) -> bool:
        """Follow the last reading; whether the next time has come."""
        if self.over or (seen := course.settling(self.means_g[-1][0] if self.means_g else 0.0)) is None:
            return False
        self.means_g.append(seen)
        return True

    def foresee(
        self, known: Sequence[SettlingPoint], tolerance_g: float, added_g: float
    ) -> tuple[float, float] | None:
        """The mass at rest and its standard uncertainty in g, by the last mean; None where that is not sure
        enough, or where it is not what is expected."""
        after_s, mean_g = self.means_g[-1]
        point = next((point for point in known if point.after_s == after_s), None)
        if self.expected is None or point is None or point.count < FEW_SEEN or added_g != self.added_g:
            return None
        expected_g, expected_sigma_g = self.expected
        flow = self.flow_g_per_s
        mass_g, sigma_g = mean_g + point.lack_s * flow, point.sigma_g(flow)
        if sigma_g > min(FORESEEN_G, FORESEEN_SHARE * tolerance_g):
            return None
        agreed = abs(mass_g - expected_g) <= AGREED_SIGMAS * hypot(sigma_g, expected_sigma_g)
        return (mass_g, sigma_g) if agreed else None

    def lacks(self, rest_g: float) -> list[tuple[float, float]]:
        """What it has taught, now that the glass is at rest with this mass: see `with_lacks`."""
        return [(after_s, (rest_g - mean_g) / self.flow_g_per_s) for after_s, mean_g in self.means_g]
