"""What the glass and the scale still take."""

from collections.abc import Iterable

from .alarms import Alarm, alarm
from .setup import PourSetup
from .tolerance import permissible_deviation_g


def room_g(setup: PourSetup, glass_g: float, on_top_g: float) -> float:
    """What still goes into a glass of `glass_g` empty that holds `on_top_g` already, in g."""
    max_g = setup.rating.max_g - glass_g
    holds_g = setup.plan.glass_holds_g
    return (max_g if holds_g is None else min(holds_g, max_g)) - on_top_g


def too_much_g(setup: PourSetup, targets_g: Iterable[float], free_g: float) -> float:
    """By how much these doses exceed the room in g, if by more than the tolerance of all doses, else 0."""
    over_g = sum(targets_g) - free_g
    accuracy_class = setup.settings.accuracy_class
    spare_g = sum(permissible_deviation_g(dose.target_g, accuracy_class) for dose in setup.plan.doses)
    return over_g if over_g > spare_g else 0.0


def too_heavy(setup: PourSetup, glass_g: float) -> Alarm | None:
    """The alarm if the scale does not take glass and drink."""
    whole_g, max_g = glass_g + setup.plan.target_g, setup.rating.max_g
    if whole_g <= max_g:
        return None
    return alarm("too_heavy", f"{whole_g:.0f} g in all, at most {max_g:.0f} g")
