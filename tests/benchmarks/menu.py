"""What it costs to compile a recipe, and to weigh up a whole menu against its bottles."""

import time
from collections.abc import Callable
from random import Random
from statistics import median

from tarewell.menu.compiling import compile_recipe
from tarewell.menu.feasibility import remaining
from tarewell.menu.hands import Hand, HandStep
from tarewell.menu.values import Bottle, ChannelFacts, Glass, Liquid, Menu, Recipe, RecipeDose
from tarewell.quantities import density
from tarewell.quantities.units import parse_amount

CHANNELS, RECIPES = 16, 500
AMOUNTS = ("15 ml", "30 ml", "45 ml", "0.5 oz", "1 part", "2 parts")


def _liquid(number: int) -> Liquid:
    """Spirits, liqueurs, syrups and juices in turn, all served cold."""
    strength, sugar = ((40.0, 0.0), (20.0, 250.0), (0.0, 600.0), (0.0, 90.0))[number % 4]
    known = density.from_strength_and_sugar(strength, sugar) if number % 4 < 3 else density.entered(1.03)
    return Liquid(f"liquid-{number}", f"Liquid {number}", known, strength, sugar, frozenset(), 10.0, 6.0)


def _recipe(name: str, liquids: list[int], random: Random) -> Recipe:
    doses = [
        RecipeDose(f"liquid-{number}", text, parse_amount(text))
        for number, text in ((number, random.choice(AMOUNTS)) for number in liquids)
    ]
    return Recipe(name, name, (HandStep(Hand.ICE, "ice", ice_g=80.0), *doses), "tall")


def house(random: Random) -> Menu:
    """Sixteen liquids on sixteen channels, a recipe of twelve doses, and 500 of two to eight."""
    recipes = {"twelve": _recipe("twelve", random.sample(range(CHANNELS), 12), random)}
    for number in range(RECIPES - 1):
        name = f"recipe-{number}"
        recipes[name] = _recipe(name, random.sample(range(CHANNELS), random.randint(2, 8)), random)
    channels = {
        number: ChannelFacts(
            number,
            f"liquid-{number}",
            Bottle(f"b{number}", f"liquid-{number}", 700.0, 700.0, 70.0, None, number),
            5.0,
        )
        for number in range(CHANNELS)
    }
    liquids = {liquid.id: liquid for liquid in map(_liquid, range(CHANNELS))}
    return Menu(
        liquids, {"tall": Glass("tall", "Tall", 500.0, 20.0, 300.0, 350.0)}, recipes, channels, 2000.0
    )


def _ms(
    work: Callable[[], object], times: int, clock: Callable[[], float] = time.perf_counter
) -> list[float]:
    found = []
    for _ in range(times):
        started = clock()
        work()
        found.append((clock() - started) * 1000)
    return found


def measure() -> dict[str, float]:
    """All figures of this module, in ms; "first" is with nothing known from before, "processor" without the
    time in which something else had the processor."""
    menu = house(Random(9201))
    first = _ms(lambda: remaining(menu), 1)[0]
    again = _ms(lambda: remaining(menu), 11)
    fresh = house(Random(9202))
    processor = _ms(lambda: remaining(fresh), 1, time.process_time)[0]
    twelve = _ms(lambda: compile_recipe(menu, "twelve"), 200)
    return {
        "compile_12_doses_16_channels_ms_median": round(median(twelve), 3),
        "compile_12_doses_16_channels_ms_max": round(max(twelve), 3),
        "remaining_500_recipes_16_bottles_ms_first": round(first, 1),
        "remaining_500_recipes_16_bottles_ms_median": round(median(again), 1),
        "remaining_500_recipes_16_bottles_processor_ms_first": round(processor, 1),
    }
