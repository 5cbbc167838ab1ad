"""From an expected evening to drinks, shopping list, ice, work and waiting times."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from tarewell.quantities.units import SmallMeasures

from .compiling import DOSE_OVERHEAD_S, TARE_S, compile_recipe
from .drink import Blocker, Drink, PlannedHand, Reason
from .errors import MenuError
from .evening import Evening, faults_of_evening
from .evening_liquids import PlannedLiquid, liquids_for
from .evening_queue import Queue, Traffic, Uniform, simulate
from .values import Bottle, Menu

CARE = (
    "Standard drinks are an average over all guests. Some drink none, others more, and nobody can be judged "
    "by an average: offer water, drinks without alcohol and food, and see that people get home.",
    "Serve alcohol only where you may, to whom you may; your local law overrules this plan.",
    "Tell guests about allergens. Read the labels of the bottles that you have bought: another maker, or a "
    "new batch, may have others than those entered.",
)
"""Cautions that go with every plan."""

_CURED_BY_BOTTLES = (Reason.BOTTLE_LOW, Reason.NO_BOTTLE)


class Pace(StrEnum):
    """Whether the machine, and the person at it, keep up with the orders."""

    KEEPS_UP = "keeps_up"
    BEHIND_AT_THE_PEAK = "behind_at_the_peak"
    TOO_SLOW = "too_slow"


@dataclass(frozen=True, slots=True)
class PlannedRecipe:
    """A recipe of the mix. `service_s` is how long one takes at the bar, glass change and steps by hand
    included; `flow_guessed`: one of its channels never poured, so its flow is `unknown_flow_g_per_s`."""

    drink: Drink
    count: int
    service_s: float
    flow_guessed: bool

    @property
    def alcohol_free(self) -> bool:
        """Whether it has no ethanol at all, by the data of each of its liquids."""
        return self.drink.strength_known and self.drink.strength.ethanol_g == 0

    @property
    def blockers(self) -> tuple[Blocker, ...]:
        """The blockers that a new bottle does not remove."""
        return tuple(each for each in self.drink.blockers if each.code not in _CURED_BY_BOTTLES)


@dataclass(frozen=True, slots=True)
class EveningPlan:
    """The plan. Costs are in the user's own currency, None where one is not known; `ice_g` includes the
    reserve; `queue` is of one interval."""

    evening: Evening
    recipes: tuple[PlannedRecipe, ...]
    liquids: tuple[PlannedLiquid, ...]
    ice_g: float
    traffic: Traffic
    queue: Queue

    @property
    def drinks(self) -> int:
        """The number of all drinks."""
        return sum(recipe.count for recipe in self.recipes)

    @property
    def ethanol_g(self) -> float:
        """Ethanol in all drinks."""
        return sum(recipe.count * recipe.drink.strength.ethanol_g for recipe in self.recipes)

    @property
    def strength_known(self) -> bool:
        """False: an undescribed part counts as having none."""
        return all(recipe.drink.strength_known for recipe in self.recipes)

    @property
    def work_s(self) -> float:
        """Time at the bar for all drinks."""
        return sum(recipe.count * recipe.service_s for recipe in self.recipes)

    @property
    def drinks_per_h(self) -> float:
        """How many drinks of this mix the machine can make in an hour."""
        return 3600 * self.drinks / self.work_s

    @property
    def pace(self) -> Pace:
        """By the load of an interval and of its busiest part."""
        if self.traffic.load >= 1:
            return Pace.TOO_SLOW
        return Pace.BEHIND_AT_THE_PEAK if self.traffic.busiest_load >= 1 else Pace.KEEPS_UP

    @property
    def cost_of_drinks(self) -> float | None:
        """Cost of what goes into the glasses."""
        return _sum(
            None if recipe.drink.cost is None else recipe.count * recipe.drink.cost for recipe in self.recipes
        )

    @property
    def cost_of_shopping(self) -> float | None:
        """Cost of the bottles to buy."""
        return _sum(liquid.cost for liquid in self.liquids)


def plan_evening(
    menu: Menu,
    bottles: Sequence[Bottle],
    evening: Evening,
    uniform: Uniform,
    small: SmallMeasures | None = None,
) -> EveningPlan:
    """Plan an evening. `bottles` are all bottles, mounted or not; they are used up first.

    The needs of a drink, and its time from learned flows, come from `compile_recipe`. Where the evening names
    no sizes to buy, those of the liquid's own bottles are used. `uniform` supplies the queue's random
    numbers: the same numbers give the same plan.

    Raises:
        MenuError: the evening has faults; `faults_of_evening` lists them.
    """
    faults = faults_of_evening(menu, evening)
    if faults:
        raise MenuError("; ".join(fault.message for fault in faults))
    shares = {recipe_id: share for recipe_id, share in evening.mix.items() if share > 0}
    planned = {recipe_id: compile_recipe(menu, recipe_id, small=small) for recipe_id in shares}
    recipes = tuple(
        PlannedRecipe(planned[recipe_id], count, service_s(planned[recipe_id], evening.all_times), guessed)
        for recipe_id, count in apportioned(evening.drinks, shares).items()
        for guessed in [any(dose.time_s is None for dose in planned[recipe_id].doses)]
    )
    of_interval = apportioned(-(-evening.drinks // evening.intervals), shares)
    services = [recipe.service_s for recipe in recipes for _ in range(of_interval[recipe.drink.recipe_id])]
    traffic = Traffic(services, evening.interval_s, evening.peak_share, evening.peak_minutes * 60)
    ice_g = sum(
        recipe.count * step.mass_g
        for recipe in recipes
        for step in recipe.drink.steps
        if isinstance(step, PlannedHand) and not step.step.brings_liquid
    )
    return EveningPlan(
        evening,
        recipes,
        liquids_for(menu, bottles, evening, [(recipe.drink, recipe.count) for recipe in recipes]),
        ice_g * (1 + evening.reserve),
        traffic,
        simulate(traffic, uniform),
    )


def apportioned(total: int, shares: Mapping[str, float]) -> dict[str, int]:
    """Whole numbers in these shares that sum to `total`; the largest remainders are rounded up."""
    whole = sum(shares.values())
    exact = {key: total * share / whole for key, share in shares.items()}
    counts = {key: int(value) for key, value in exact.items()}
    by_remainder = sorted(exact, key=lambda key: counts[key] - exact[key])
    for key in by_remainder[: total - sum(counts.values())]:
        counts[key] += 1
    return counts


def service_s(drink: Drink, times: Mapping[str, float]) -> float:
    """How long a drink takes at the bar, from one glass to the next, given all of an evening's times."""
    seconds = times["glass_change_s"]
    for leg in drink.legs:
        if isinstance(leg, PlannedHand):
            seconds += leg.step.takes_s(times)
            continue
        seconds += TARE_S
        for dose in leg:
            guess_s = dose.target_g / times["unknown_flow_g_per_s"] + DOSE_OVERHEAD_S
            seconds += guess_s if dose.time_s is None else dose.time_s
    return seconds


def _sum(values: Iterable[float | None]) -> float | None:
    total = 0.0
    for value in values:
        if value is None:
            return None
        total += value
    return total
