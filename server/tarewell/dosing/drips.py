"""What falls into the glass after the verdict on a pour's last dose."""

from dataclasses import dataclass

from tarewell.weighing.reading import Reading

from .course import Course
from .settling_stop import SettlingStop
from .uncertainty import Judged, Weighing

DRIPS_S = 2.0
"""How long after the verdict what has dripped is weighed."""

LATER_S = 5.0
"""How long after the verdict what dripped since then shows."""

WAIT_S = 4.0
"""For so long it may go on without a rest."""

MIN_DRIPS_G, MAX_DRIPS_G = -0.3, 1.0
"""A change outside these is none of drips: a hand, a straw, ice."""


@dataclass(frozen=True, slots=True)
class Dripped:
    """What fell into the glass after the verdict on dose `index`, in g; below 0 if the verdict had taken what
    rang or fell for more.

    `dose_uncertainty_g` and `uncertainty_g` are the standard uncertainties of dose and pour with it.
    """

    index: int
    dripped_g: float
    dose_uncertainty_g: float
    uncertainty_g: float


@dataclass(slots=True)
class DripWatch:
    """Follows the readings after a pour that ended at rest at the host's `ended_s`, with glass and drink of
    `mass_g` on the platform, and `added_g` that is neither.

    What has dripped is weighed once; a glass that goes on standing there shows what falls `later_g`. It is
    `over` once it has seen that, or cannot any more.
    """

    course: Course
    judged: Judged
    index: int
    mass_g: float
    added_g: float
    ended_s: float
    weighed: bool = False
    later_g: float | None = None
    over: bool = False
    stop: SettlingStop | None = None
    """The stop of the pump, where the verdict foresaw the mass at rest: that is still to be seen."""
    lacks: tuple[tuple[float, float], ...] = ()
    """What it has taught, once rest was seen."""
    rested_g: float = 0.0
    """By how much the mass at rest was beyond the verdict: foreseen wrongly, and no drips."""

    def take(self, reading: Reading, now_s: float, *, tared: bool) -> Dripped | None:
        """Take the next reading; `tared`: the next pour has tared the glass by it.

        Returns what has dripped when it is weighed.
        """
        course = self.course
        course.take(reading)
        if course.jumps or course.added_g != self.added_g or (tared and self.weighed):
            self.over = True
            return None
        self._see_rest()
        since_s, due_s = now_s - self.ended_s, LATER_S if self.weighed else DRIPS_S
        if since_s < due_s and not tared:
            return None
        rest = course.long_rest()
        self.over = tared or reading.pump_on or since_s > due_s + WAIT_S
        return None if rest is None else self._weigh(rest.mean_g, now_s)

    def _see_rest(self) -> None:
        if (stop := self.stop) is None:
            return
        stop.take(self.course)
        if (rest := self.course.rest()) is not None:
            self.stop = None
            if MIN_DRIPS_G <= rest.mean_g - self.mass_g <= MAX_DRIPS_G:
                self.lacks, self.rested_g = tuple(stop.lacks(rest.mean_g)), rest.mean_g - self.mass_g

    def _weigh(self, mass_g: float, now_s: float) -> Dripped | None:
        dripped_g = mass_g - self.mass_g
        if not MIN_DRIPS_G <= dripped_g <= MAX_DRIPS_G:
            self.over = True
            return None
        self.mass_g = mass_g
        if self.weighed:
            self.later_g, self.over = dripped_g, True
            return None
        self.weighed = True
        end = Weighing(self.course.rest_sigma_g, now_s)
        dose_g, whole_g = self.judged.uncertainties_with_drips_g(end, dripped_g)
        return Dripped(self.index, dripped_g, dose_g, whole_g)
