"""How much of the mass that came to rest is drink: what fell in, was spilt, or cannot be told apart.

The balance says what the pump's runs explain; a step that the course left out, a glass that was off the
platform, and a flow that was seen after the stop say where the remainder may come from.
"""

from dataclasses import dataclass, field
from math import hypot, sqrt

from tarewell.weighing.estimator import Estimate

from .alarms import alarm
from .balance import DOUBT_SIGMAS, SURE_SIGMAS, Balance
from .course import Course
from .events import Balanced, PourOutput, Raised

ADDED_G = 1.0
"""What steps left out since the last weighing counts as drink again below this: a hand that leaned leaves as
much."""

FLOWED_G_PER_S = 1.0
FLOWED_SIGMAS = 5.0
"""A line like this after a stop is liquid that flows on, whatever moved it, and counts as drink."""

UNEXPLAINED_G = 0.3
"""Less than this beyond its uncertainty needs no explanation."""


@dataclass(frozen=True, slots=True)
class DrinkMass:
    """A mass of `drink_g` on the platform, glass included; of what came since the last weighing `added_g` is
    no drink, `spilt_g` is missing, and `doubt_g` is uncertain."""

    drink_g: float
    added_g: float = 0.0
    spilt_g: float = 0.0
    doubt_g: float = 0.0

    def told(self, dose: int, channel: int) -> list[PourOutput]:
        """What is told of it, as part of this dose; nothing if all of it is drink, without a doubt."""
        if not (self.added_g or self.spilt_g or self.doubt_g):
            return []
        out: list[PourOutput] = [Balanced(dose, self.added_g, self.spilt_g, self.doubt_g)]
        if self.added_g:
            detail = f"{self.added_g:+.1f} g, uncertain by {self.doubt_g:.1f} g"
            out.append(Raised(alarm("mass_added", detail, channel)))
        elif self.doubt_g:
            out.append(Raised(alarm("mass_in_doubt", f"{self.doubt_g:.1f} g", channel)))
        if self.spilt_g:
            out.append(Raised(alarm("spilt", f"about {self.spilt_g:.1f} g", channel)))
        return out


@dataclass(slots=True)
class MassAccount:
    """What has happened to the mass since the last weighing. `lifted`: the glass was off the platform."""

    balance: Balance = field(default_factory=Balance)
    lifted: bool = False
    sigma_g: float = 0.0
    """Standard uncertainty of the dose's mass from what is or may be no drink."""
    _left_out_g: float = 0.0
    _flowed: bool = False

    def open(self, mass_g: float, course: Course) -> None:
        """Begin a dose with this mass on the platform."""
        self.balance.weighed(mass_g)
        self._left_out_g = course.added_g
        self.sigma_g = 0.0

    def lift(self) -> None:
        """The glass is off the platform."""
        self.lifted = True

    def see_flow(self, line: Estimate) -> None:
        """The line of readings long after a stop."""
        self._flowed |= line.flow_g_per_s > max(FLOWED_G_PER_S, FLOWED_SIGMAS * line.flow_sigma_g_per_s)

    def weigh(self, mass_g: float, now_s: float, course: Course, *, is_drink: bool) -> DrinkMass:
        """Hold a mass at rest, in g, against run time x flow. `is_drink` is false for maintenance, whose flow
        is not known."""
        added_g, spilt_g, doubt_g = 0.0, 0.0, 0.0
        stepped_g = course.added_g - self._left_out_g
        if stepped_g and abs(stepped_g) < ADDED_G:
            course.leave_out(-stepped_g)
            mass_g += stepped_g
            stepped_g = 0.0
        excess_g, sigma_g = self.balance.excess(mass_g, now_s)
        if not is_drink or (self._flowed and excess_g > 0):
            excess_g = 0.0
        extra_g = stepped_g if stepped_g > 0.0 else course.added_g
        gone = abs(excess_g + extra_g) < UNEXPLAINED_G + DOUBT_SIGMAS * sigma_g
        if extra_g > 0.0 and gone and not self.lifted:
            course.leave_out(-extra_g)  # a hand that leaned has let go while nobody could see it
            mass_g += extra_g
            stepped_g -= extra_g
            excess_g = 0.0
        if excess_g > UNEXPLAINED_G + SURE_SIGMAS * sigma_g + self.balance.unseen_g:
            added_g, doubt_g = excess_g, DOUBT_SIGMAS * sigma_g
            course.leave_out(added_g)
            mass_g -= added_g
        elif excess_g > UNEXPLAINED_G + DOUBT_SIGMAS * sigma_g:
            doubt_g = excess_g
        elif self.lifted and excess_g < -UNEXPLAINED_G - DOUBT_SIGMAS * sigma_g:
            spilt_g = -excess_g
        self.balance.weighed(mass_g)
        if stepped_g or added_g:  # how much that was is known no better than what the pump gave
            self.sigma_g = hypot(self.sigma_g, sigma_g)
        elif doubt_g:
            self.sigma_g = hypot(self.sigma_g, doubt_g / sqrt(3))
        self._left_out_g, self.lifted, self._flowed = course.added_g, False, False
        return DrinkMass(mass_g, stepped_g + added_g, spilt_g, doubt_g)
