"""The plan of an evening as a page: the queue as a chart, the shopping as a checklist."""

from collections.abc import Sequence

from tarewell.menu.evening_plan import CARE, EveningPlan, Pace, PlannedRecipe
from tarewell.menu.hands import Hand

from .pages import page
from .queue_chart import QueueChart
from .words import counted, listed, span

_MAX_NAMED = 5


def evening_page(plan: EveningPlan, title: str, standard_drink_g: float) -> str:
    """An HTML document for A4, good in black and white; `standard_drink_g` is grams of ethanol."""
    without = sum(recipe.count for recipe in plan.recipes if recipe.alcohol_free)
    return page(
        "evening.html",
        title=title,
        plan=plan,
        evening=plan.evening,
        standard_drink_g=standard_drink_g,
        without_alcohol=without,
        shopping=sorted(plan.liquids, key=lambda liquid: liquid.buy_ml <= 0),
        verdict=verdict(plan),
        chart=QueueChart.of(plan.queue, plan.traffic.open_s),
        most=max(recipe.count for recipe in plan.recipes),
        times=_times(plan),
        guessed=_which(plan, [recipe for recipe in plan.recipes if recipe.flow_guessed]),
        undescribed=_which(plan, [recipe for recipe in plan.recipes if not recipe.drink.strength_known]),
        care=CARE,
    )


def _times(plan: EveningPlan) -> dict[str, float]:
    """The times in s, by their names on paper."""
    times = plan.evening.all_times
    by_hand = {kind.spec.label or "anything else by hand": times[kind.time] for kind in Hand}
    return {"glass taken off, the next one put on": times["glass_change_s"], **by_hand}


def _which(plan: EveningPlan, recipes: Sequence[PlannedRecipe]) -> str:
    """These recipes of the plan for people: their names where they are few, "" where there are none."""
    if not recipes or len(recipes) <= _MAX_NAMED:
        return listed(recipe.drink.name for recipe in recipes)
    return "every drink" if len(recipes) == len(plan.recipes) else f"{len(recipes)} of the drinks"


def verdict(plan: EveningPlan) -> str:
    """A sentence or two on whether the machine keeps up, and if not, what to do."""
    asked = plan.drinks / plan.evening.hours
    pace = f"{plan.drinks_per_h:.0f} drinks an hour can be made, {asked:.0f} are asked for"
    late = span(plan.queue.overtime_s)
    match plan.pace:
        case Pace.KEEPS_UP:
            return f"The machine keeps up: {pace}."
        case Pace.BEHIND_AT_THE_PEAK:
            return (
                f"The machine falls behind at the peak and catches up again: {pace}, but most of them at "
                "once. Pour some before the doors open, or let guests order ahead."
            )
        case Pace.TOO_SLOW:
            in_time = counted(int(plan.drinks_per_h * plan.evening.hours), "drink", "drinks")
            return (
                f"The machine does not keep up: {pace}, and the last drink comes up to {late} after closing. "
                f"About {in_time} can be made while the bar is open: pour ahead, take quicker recipes, or "
                "open longer."
            )
