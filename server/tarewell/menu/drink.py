"""A recipe made concrete: what goes into one glass, from which channel, and what blocks it."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import chain, groupby

from tarewell.dosing.plan import DosePlan, PourPlan
from tarewell.quantities.strength import DrinkStrength

from .allergens import Allergen
from .hands import HandStep


class Reason(StrEnum):
    """Why a drink cannot be poured now."""

    RECIPE_RETIRED = "recipe_retired"
    RECIPE_FAULTY = "recipe_faulty"
    LIQUID_UNKNOWN = "liquid_unknown"
    LIQUID_RETIRED = "liquid_retired"
    LIQUID_FAULTY = "liquid_faulty"
    NOT_ON_A_CHANNEL = "not_on_a_channel"
    NO_BOTTLE = "no_bottle"
    TUBE_HOLDS_ANOTHER = "tube_holds_another"
    NEEDS_MAINTENANCE = "needs_maintenance"
    BOTTLE_LOW = "bottle_low"
    DOSE_TOO_SMALL = "dose_too_small"
    GLASS_UNKNOWN = "glass_unknown"
    GLASS_RETIRED = "glass_retired"
    GLASS_TOO_SMALL = "glass_too_small"
    SIZE_OPEN = "size_open"
    OVER_SCALE = "over_scale"
    OVER_ETHANOL_LIMIT = "over_ethanol_limit"
    STRENGTH_UNKNOWN = "strength_unknown"


@dataclass(frozen=True, slots=True)
class Blocker:
    """One reason why a drink cannot be poured now; `message` says what to do about it.

    `step` counts the recipe's steps from 0; None: it is about the whole drink.
    """

    code: Reason
    message: str
    step: int | None = None


@dataclass(frozen=True, slots=True)
class PlannedDose:
    """A dose in grams. `channel` is None where no channel is assigned the liquid.

    `volume_ml` is at the liquid's serving temperature; its uncertainty is the density's, not the dosing's.
    `time_s` is None where the channel's flow was never seen.
    """

    channel: int | None
    liquid_id: str
    target_g: float
    volume_ml: float
    volume_uncertainty_ml: float
    time_s: float | None


@dataclass(frozen=True, slots=True)
class PlannedHand:
    """A step by hand; mass and volume are of its ice (as it lies in the glass) or its top-up."""

    step: HandStep
    mass_g: float
    volume_ml: float


@dataclass(frozen=True, slots=True)
class Substitution:
    """A liquid that the recipe names, and the one that somebody chose in its place."""

    wanted_id: str
    used_id: str


@dataclass(frozen=True, slots=True)
class Drink:
    """One drink as planned. It may be poured when `blockers` is empty.

    `steps` are in the order of the recipe; `keep_order` says whether its doses are poured in that order.
    `volume_ml` is that of the mixed drink at 20 °C without its ice; `target_g` the mass that the machine
    pours; `strength` is of the whole drink, top-ups by hand included. Where `strength_known` or `sugar_known`
    is False, an undescribed part counts as having none. `allergens_unknown` names what was not checked:
    liquids by their id, else the text of the step. `price` is the recipe's. `cost` and `time_s` (doses only,
    no steps by hand) are None where a part is not known. `glass_holds_g` is how much of this drink fits into
    the glass beside its ice; `notes` says what was changed from recipe to drink.
    """

    recipe_id: str
    name: str
    glass_id: str | None
    steps: tuple[PlannedDose | PlannedHand, ...]
    volume_ml: float
    volume_uncertainty_ml: float
    target_g: float
    strength: DrinkStrength
    strength_known: bool
    sugar_known: bool
    allergens: frozenset[Allergen]
    allergens_unknown: tuple[str, ...]
    cost: float | None
    time_s: float | None
    glass_holds_g: float | None
    blockers: tuple[Blocker, ...]
    substitutions: tuple[Substitution, ...] = ()
    notes: tuple[str, ...] = ()
    price: float | None = None
    keep_order: bool = True

    @property
    def without_alcohol(self) -> bool:
        """Whether every liquid in it is stated to have no alcohol."""
        return self.strength_known and self.strength.ethanol_g == 0

    @property
    def doses(self) -> tuple[PlannedDose, ...]:
        """The doses in the order of pouring."""
        return tuple(step for step in self.steps_as_made if isinstance(step, PlannedDose))

    @property
    def steps_as_made(self) -> tuple[PlannedDose | PlannedHand, ...]:
        """The steps in the order in which the drink is made, which `legs` explains."""
        return tuple(
            chain.from_iterable((leg,) if isinstance(leg, PlannedHand) else leg for leg in self.legs)
        )

    @property
    def layers(self) -> tuple[tuple[str | None, float], ...]:
        """What stands in the glass, in the order of pouring: a liquid's id (None: an undescribed one), and
        ml."""
        return tuple(self._layers())

    def _layers(self) -> Iterator[tuple[str | None, float]]:
        for step in self.steps_as_made:
            if isinstance(step, PlannedDose):
                yield step.liquid_id, step.volume_ml
            elif step.step.brings_liquid:
                yield step.step.liquid_id, step.volume_ml

    @property
    def ice_g(self) -> float:
        """The ice in the glass."""
        return sum(step.step.ice_g for step in self.steps if isinstance(step, PlannedHand))

    @property
    def legs(self) -> tuple[tuple[PlannedDose, ...] | PlannedHand, ...]:
        """The steps in order; consecutive doses are one pour. Without `keep_order` it begins with its
        smallest dose: no drop of a dose before falls into the one with the smallest tolerance."""
        return tuple(self._legs())

    def _legs(self) -> Iterator[tuple[PlannedDose, ...] | PlannedHand]:
        for _, run in groupby(self.steps, key=lambda step: id(step) if isinstance(step, PlannedHand) else 0):
            steps = tuple(run)
            doses = tuple(step for step in steps if isinstance(step, PlannedDose))
            if doses:
                yield doses if self.keep_order else tuple(sorted(doses, key=lambda dose: dose.target_g))
            else:
                yield from (step for step in steps if isinstance(step, PlannedHand))

    def pour_plan(self, leg: tuple[PlannedDose, ...]) -> PourPlan:
        """The pour plan of one leg: the glass's capacity less everything that is not of this leg.

        Raises:
            ValueError: a dose without a channel; check `blockers` first.
        """
        doses = []
        for dose in leg:
            if dose.channel is None:
                raise ValueError(f"{dose.liquid_id} is assigned to no channel, so it cannot be poured")
            doses.append(DosePlan(dose.channel, dose.liquid_id, dose.target_g))
        plan = PourPlan(tuple(doses))
        if self.glass_holds_g is None:
            return plan
        return PourPlan(plan.doses, plan.target_g + (self.glass_holds_g - self.strength.mass_g))
