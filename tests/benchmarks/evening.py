"""What it costs to plan an evening, its queue included, and to draw the pages."""

import time
from collections.abc import Callable
from random import Random
from statistics import median

from menu import house

from tarewell.menu.compiling import compile_recipe
from tarewell.menu.evening import Evening
from tarewell.menu.evening_plan import EveningPlan, plan_evening
from tarewell.menu.evening_shopping import BottleSize
from tarewell.printing.cards import cards_page
from tarewell.printing.evening_page import evening_page

GUESTS = 500
RECIPES = 12
ODD_SIZES = (BottleSize(197), BottleSize(331), BottleSize(503), BottleSize(701))


def _s(work: Callable[[], object], times: int = 5) -> list[float]:
    found = []
    for _ in range(times):
        started = time.perf_counter()
        work()
        found.append(time.perf_counter() - started)
    return found


def measure() -> dict[str, float]:
    """All figures of this module: 500 guests, twelve recipes, sixteen liquids."""
    menu = house(Random(9301))
    mix = {f"recipe-{number}": 1.0 + number % 4 for number in range(RECIPES)}
    odd = dict.fromkeys(menu.liquids, ODD_SIZES)
    interval = Evening(GUESTS, 0.4, 1.2, mix, peak_share=0.7, peak_minutes=8)
    evening = Evening(GUESTS, 3.0, 1.2, mix, peak_share=0.3, peak_minutes=20, bottle_sizes=odd)
    largest = Evening(GUESTS, 10.0, 4.0, mix, bottle_sizes=odd)

    def plan(of: Evening) -> EveningPlan:
        return plan_evening(menu, [], of, Random(1).random)

    drawn = plan(evening)
    drinks = [compile_recipe(menu, f"recipe-{number}") for number in range(100)]
    times = _s(lambda: plan(evening))
    return {
        "plan_500_guests_240_drinks_s_median": round(median(_s(lambda: plan(interval))), 3),
        "plan_500_guests_1800_drinks_s_median": round(median(times), 3),
        "plan_500_guests_1800_drinks_s_max": round(max(times), 3),
        "plan_20000_drinks_s": round(_s(lambda: plan(largest), 1)[0], 3),
        "page_s_median": round(median(_s(lambda: evening_page(drawn, "Evening", 10.0))), 4),
        "cards_100_recipes_s_median": round(median(_s(lambda: cards_page(menu, drinks, 10.0))), 4),
    }
