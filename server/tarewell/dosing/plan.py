"""What is to be poured, and the checks before anything moves."""

from dataclasses import dataclass
from enum import StrEnum
from math import isfinite

SMALLEST_DOSE_G = 2.0
"""Below this, a few drips are a larger share than any tolerance of OIML R 61 allows."""


class Purpose(StrEnum):
    """What a pour is for: a drink, or the maintenance of a channel."""

    DRINK = "drink"
    PRIME = "prime"
    FLUSH = "flush"
    PURGE = "purge"


class Agent(StrEnum):
    """What a flush runs through the channel: water, or anything unfit to drink."""

    WATER = "water"
    CLEANER = "cleaner"


class PlanError(ValueError):
    """A pour that cannot be carried out; `dose` is the index of the dose at fault, None: the whole pour."""

    def __init__(self, message: str, dose: int | None = None) -> None:
        super().__init__(message)
        self.dose = dose


@dataclass(frozen=True, slots=True)
class DosePlan:
    """One channel's share of a pour."""

    channel: int
    liquid_id: str
    target_g: float


@dataclass(frozen=True, slots=True)
class PourPlan:
    """Doses in order, and how much the glass holds (None: not stated).

    `keep_proportions` rescales the remaining doses when one misses: for a recipe, not for amounts that were
    asked for one by one. A prime, flush or purge has one dose; its target is the least that must arrive, for
    a purge the most that may. `agent` goes with a flush.
    """

    doses: tuple[DosePlan, ...]
    glass_holds_g: float | None = None
    keep_proportions: bool = False
    purpose: Purpose = Purpose.DRINK
    agent: Agent | None = None

    @property
    def target_g(self) -> float:
        """Mass of the whole drink in g."""
        return sum(dose.target_g for dose in self.doses)


def check_plan(plan: PourPlan, channels: frozenset[int], max_g: float) -> None:
    """Refuse what is visibly wrong before a glass is placed.

    Raises:
        PlanError: no dose, an unknown channel, a mass that is not a number, too small, more than the glass
            holds or more than the scale weighs (`max_g`, in g); a purpose that does not match the rest.
    """
    if not plan.doses:
        raise PlanError("a pour needs at least one dose; name a channel and an amount")
    if plan.purpose is not Purpose.DRINK and len(plan.doses) != 1:
        raise PlanError(f"a {plan.purpose} has one dose, got {len(plan.doses)}; run them one by one")
    if (plan.agent is None) == (plan.purpose is Purpose.FLUSH):
        raise PlanError("a flush, and only a flush, needs an agent: water or cleaner")
    for index, dose in enumerate(plan.doses):
        if dose.channel not in channels:
            known = ", ".join(map(str, sorted(channels))) or "none"
            raise PlanError(f"there is no channel {dose.channel}; this machine has {known}", index)
        if not isfinite(dose.target_g) or dose.target_g < SMALLEST_DOSE_G:
            raise PlanError(
                f"a dose is at least {SMALLEST_DOSE_G:g} g, got {dose.target_g:g} g; ask for more or omit it",
                index,
            )
        if dose.target_g > max_g:
            raise PlanError(
                f"a dose of {dose.target_g:g} g is more than the scale weighs, {max_g:g} g; split it", index
            )
    if plan.glass_holds_g is not None and plan.target_g > plan.glass_holds_g:
        raise PlanError(
            f"the drink has {plan.target_g:.1f} g and the glass holds {plan.glass_holds_g:.1f} g; "
            "take a larger glass or ask for less"
        )
    if plan.target_g > max_g:
        raise PlanError(
            f"the drink has {plan.target_g:.1f} g, more than the scale weighs, {max_g:g} g; pour it in parts"
        )
