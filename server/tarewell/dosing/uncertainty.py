"""How sure a delivered mass is: its standard uncertainty in g, by a budget after JCGM 100:2008 (GUM).

Each part is a standard uncertainty of its own, or a half-width over sqrt(3) where any value within it is as
likely (4.3.7). They are combined as the root of their sum of squares (5.1.2). The parts:

* both weighings, at the tare or start and at the end: scatter, ringing and slow change as seen;
* the span: the reference mass of the calibration, whose error nobody tells;
* creep of the cell under glass and drink since the first weighing;
* the resolution of the counts;
* what may drip after the verdict, and what dripped from the dose before into this one;
* what the balance could not tell from drink.

Not in it: a cell that bends (non-linearity), which two points cannot show, and what temperature does to the
zero within one pour. Nothing is corrected for buoyancy: the mass is the conventional one of any scale.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import exp, hypot, sqrt

from tarewell.weighing.calibration import Calibration

SPAN_SHARE = 0.0005 / sqrt(3)
"""A reference mass of class M3 is right within 0.05 % (OIML R 111-1:2004, Table 1: 50 mg of 100 g to 250 mg
of 500 g; from memory)."""

CREEP_SHARE, CREEP_S = 0.001 / sqrt(3), 400.0
"""Creep of the cell as a share of its load, and its time constant in s: distributors' sheets of 1 kg cells
give 0.03 to 0.1 %, its upper end taken; the time is a guess on the short side."""

RESOLUTION_COUNTS = sqrt(2 / 12)
"""Of the difference of two readings, each the nearest whole count (GUM F.2.2.1)."""

DROP_G = 0.05
"""A drop of water; common laboratory figure, twenty to the millilitre."""

SMALLEST_GAIN = 0.1


@dataclass(frozen=True, slots=True)
class Weighing:
    """A mass at rest: the standard uncertainty of its reading in g, and when, in s of the host's clock."""

    sigma_g: float
    at_s: float


@dataclass(frozen=True, slots=True)
class SeenDrips:
    """What fell after the verdict on `count` doses of a channel until it was weighed, and `later_g` still.

    Each is the root of the mean of its squares in g: nothing is corrected for them, so their means count as
    much as their spreads (GUM F.2.4.5). Before anything was seen they are three drops and one.
    """

    rms_g: float = 3 * DROP_G
    later_g: float = DROP_G
    count: int = 0
    mean_g: float = 0.0
    """Of what fell until it was weighed: doses aim short by it."""

    @property
    def whole_g(self) -> float:
        """All of it. Where much falls, much falls later too: correlated parts add up (5.2.2, note 1)."""
        return self.rms_g + self.later_g

    def learn(self, dripped_g: float) -> "SeenDrips":
        """With one dose more; the guess counts as one, the last ten count most."""
        mean_g = self.mean_g + self._gain * (dripped_g - self.mean_g)
        rms_g = self._learned(self.rms_g, dripped_g)
        return replace(self, rms_g=rms_g, count=self.count + 1, mean_g=mean_g)

    def learn_later(self, later_g: float) -> "SeenDrips":
        """With what the last dose still dripped after it was weighed."""
        return replace(self, later_g=self._learned(self.later_g, later_g))

    def _learned(self, rms_g: float, seen_g: float) -> float:
        return sqrt(rms_g**2 + self._gain * (seen_g**2 - rms_g**2))

    @property
    def _gain(self) -> float:
        return max(SMALLEST_GAIN, 1 / (self.count + 2))


@dataclass(frozen=True, slots=True)
class NetMass:
    """What came since the weighing `start`, in g; `other_g` combines further parts of its uncertainty."""

    start: Weighing
    net_g: float
    other_g: float

    def uncertainty_g(
        self, end: Weighing, gross_g: float, calibration: Calibration, may_drip_g: float
    ) -> float:
        """Its standard uncertainty in g, with `gross_g` on the platform at the second weighing."""
        crept = 1 - exp(-(end.at_s - self.start.at_s) / CREEP_S)
        return hypot(
            self.start.sigma_g,
            end.sigma_g,
            SPAN_SHARE * self.net_g,
            CREEP_SHARE * crept * gross_g,
            RESOLUTION_COUNTS / calibration.counts_per_g,
            may_drip_g,
            self.other_g,
        )


@dataclass(frozen=True, slots=True)
class Judged:
    """The last dose that was weighed and the `whole` pour up to it, with `gross_g` on the platform.

    `drips` is what usually drips after the verdict.
    """

    dose: NetMass
    whole: NetMass
    gross_g: float
    drips: SeenDrips
    calibration: Calibration

    def uncertainties_g(self, end: Weighing) -> tuple[float, float]:
        """The standard uncertainties in g of dose and whole by the weighing at the verdict."""
        return self._uncertainties_g(end, 0.0, self.drips.whole_g)

    def uncertainties_with_drips_g(self, end: Weighing, dripped_g: float) -> tuple[float, float]:
        """The same by a later weighing that found `dripped_g` more.

        Drops that fall at random scatter by the root of their number (Poisson); half of that is left, since
        dripping dies away, and what usually falls.
        """
        still_g = hypot(sqrt(DROP_G * abs(dripped_g)) / 2, self.drips.later_g)
        return self._uncertainties_g(end, dripped_g, still_g)

    def _uncertainties_g(self, end: Weighing, more_g: float, may_drip_g: float) -> tuple[float, float]:
        gross_g = self.gross_g + more_g
        dose, whole = (replace(net, net_g=net.net_g + more_g) for net in (self.dose, self.whole))
        return (
            dose.uncertainty_g(end, gross_g, self.calibration, may_drip_g),
            whole.uncertainty_g(end, gross_g, self.calibration, may_drip_g),
        )


class MassBudget:
    """Follows the weighings of a pour from its tare on."""

    def __init__(self, calibration: Calibration, drips: Mapping[int, SeenDrips]) -> None:
        self._calibration = calibration
        self._drips = dict(drips)
        self._tare = self._start = Weighing(0.0, 0.0)
        self._before_g = self._doubt_g = 0.0
        self.judged: Judged | None = None
        """As of the last dose that was weighed."""
        self.whole_uncertainty_g: float | None = None

    def tared(self, tare: Weighing) -> None:
        """The glass came to rest."""
        self._tare = self._start = tare

    def ended(
        self, channel: int, end: Weighing, delivered_g: float, whole_g: float, gross_g: float, doubt_g: float
    ) -> float:
        """A dose was weighed: returns the standard uncertainty in g of its `delivered_g`, and keeps that of
        the `whole_g` of all doses. `doubt_g` is the part from what may be no drink."""
        self._doubt_g = hypot(self._doubt_g, doubt_g)
        dose = NetMass(self._start, delivered_g, hypot(self._before_g, doubt_g))
        whole = NetMass(self._tare, whole_g, self._doubt_g)
        drips = self._drips.get(channel, SeenDrips())
        self.judged = Judged(dose, whole, gross_g, drips, self._calibration)
        self._start, self._before_g = end, drips.whole_g
        dose_g, self.whole_uncertainty_g = self.judged.uncertainties_g(end)
        return dose_g
