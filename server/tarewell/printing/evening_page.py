"""The plan of an evening as a page: the queue as a picture, what to buy as a list to tick off."""

from tarewell.menu.evening_plan import CARE, EveningPlan, Pace

from .pages import page
from .queue_chart import QueueChart
from .words import counted, span

TIMES = {
    "glass_change_s": "glass taken off, the next one put on",
    "ice_s": "ice",
    "top_up_s": "a top-up by hand",
    "garnish_s": "a garnish",
    "other_s": "any other step by hand",
}
"""What the times of an evening are called."""


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
        times={words: getattr(plan.evening.times, name) for name, words in TIMES.items()},
        guessed=[recipe.drink.name for recipe in plan.recipes if recipe.flow_guessed],
        undescribed=[recipe.drink.name for recipe in plan.recipes if not recipe.drink.strength_known],
        care=CARE,
    )


def verdict(plan: EveningPlan) -> str:
    """In a sentence or two whether the machine keeps up, and if not, what to do."""
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
