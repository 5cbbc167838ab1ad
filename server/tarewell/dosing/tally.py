"""What the doses of a pour have delivered, how sure that is, and what it makes of the doses to come."""

from dataclasses import replace

from . import events as e
from .alarms import Alarm, alarm
from .course import Course
from .dose import ActiveDose
from .drips import DripWatch
from .feeder import Feeder
from .plan import Purpose
from .proportions import is_followed, rescale
from .room import room_g, too_much_g
from .setup import PourSetup
from .tolerance import Verdict, judge
from .uncertainty import MassBudget, Weighing


class Tally:
    """Masses in g, times in s of the host's clock. `delivered_g` has an entry for each dose that ended."""

    def __init__(self, setup: PourSetup, feeder: Feeder, course: Course) -> None:
        self._setup = setup
        self._feeder = feeder
        self._course = course
        self._is_drink = setup.plan.purpose is Purpose.DRINK
        self._budget = MassBudget(setup.calibration, setup.drips)
        self.delivered_g: list[float] = []

    def tared(self, now_s: float) -> None:
        """The glass came to rest."""
        self._budget.tared(Weighing(self._course.rest_sigma_g, now_s))

    def end_dose(
        self, dose: ActiveDose, cause: str, now_s: float, *, judged: bool, weighed: bool
    ) -> list[e.PourOutput]:
        """The dose has ended, `weighed` at the rest found last. A drink that is `judged` and misses its
        target rescales the doses to come, where the plan wants that."""
        feeder, settings = self._feeder, self._setup.settings
        delivered_g, target_g = feeder.mass_g - dose.start_g, dose.plan.target_g
        judged = judged and self._is_drink
        verdict = judge(delivered_g, target_g, settings.accuracy_class) if judged else None
        planned_g = self._setup.plan.doses[dose.index].target_g
        uncertainty_g = self._weigh(dose, delivered_g, now_s) if weighed else None
        self.delivered_g.append(delivered_g)
        ended = dose.ended(delivered_g, planned_g, verdict, cause, now_s)
        out: list[e.PourOutput] = [replace(ended, uncertainty_g=uncertainty_g)]
        if verdict in (Verdict.OVER, Verdict.UNDER):
            out.append(e.Raised(alarm(f"{verdict}_target", f"{delivered_g:.1f} g of {target_g:.1f} g")))
            out += self._rescale()
        return out

    def _weigh(self, dose: ActiveDose, delivered_g: float, now_s: float) -> float:
        feeder, course = self._feeder, self._course
        end = Weighing(course.rest_sigma_g, now_s)
        gross_g, whole_g = feeder.mass_g + course.added_g, feeder.mass_g - feeder.glass_g
        doubt_g = feeder.account.sigma_g
        return self._budget.ended(dose.plan.channel, end, delivered_g, whole_g, gross_g, doubt_g)

    def _rescale(self) -> list[e.PourOutput]:
        """Rescale the remaining doses to those in the glass."""
        plan, done = self._setup.plan, len(self.delivered_g)
        planned_g = [dose.target_g for dose in plan.doses]
        wanted = plan.keep_proportions and self._setup.settings.keep_taste
        if not (wanted and is_followed(planned_g, done)):
            return []
        found = rescale(planned_g, self.delivered_g, self._room_g())
        self._feeder.retarget(done, found.targets_g)
        out: list[e.PourOutput] = [e.Rescaled(done, found.factor, found.targets_g, found.limit)]
        if found.limit is not None:
            detail = f"they are {found.factor:.3f} of their plan, limited by {found.limit}"
            out.append(e.Raised(alarm("taste_not_kept", detail)))
        return out

    def _room_g(self) -> float:
        feeder = self._feeder
        on_top_g = feeder.mass_g - feeder.glass_g + self._course.added_g
        return room_g(self._setup, feeder.glass_g, on_top_g)

    def no_room(self) -> Alarm | None:
        """The alarm if the glass or the scale does not take the doses to come."""
        to_come_g = self._feeder.targets_g[len(self.delivered_g) :]
        over_g = too_much_g(self._setup, to_come_g, self._room_g())
        return alarm("glass_full", f"{over_g:.1f} g too much") if over_g else None

    @property
    def whole_uncertainty_g(self) -> float | None:
        """Standard uncertainty of all doses, as of the last that was weighed; None: none was."""
        return self._budget.whole_uncertainty_g

    def watch_drips(self, dose: ActiveDose, now_s: float) -> DripWatch | None:
        """Follows what still falls into the glass of a drink whose last dose was weighed just now."""
        judged, feeder, course = self._budget.judged, self._feeder, self._course
        if judged is None or not self._is_drink:
            return None
        return DripWatch(
            course, judged, dose.index, feeder.mass_g, course.added_g, now_s, stop=feeder.lessons.stop
        )
