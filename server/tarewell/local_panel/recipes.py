"""Recipes as choices: each begins a round of one glass."""

import asyncio
from collections.abc import Sequence

from tarewell.dosing.plan import PlanError
from tarewell.dosing.setup import DosingSettings
from tarewell.menu.compiling import compile_recipe
from tarewell.menu.values import Menu, Recipe
from tarewell.quantities.units import SmallMeasures
from tarewell.records.store import Store
from tarewell.rounds.feasible import Wanted
from tarewell.weighing.scale import ScaleRating

from .choices import Choice, ChosenPour, Measure

_KEY = "recipe:"


class RecipeChoices:
    """Each recipe that can be poured now, by name; where it names no glass, in each glass that fits."""

    def __init__(
        self, store: Store, scale: ScaleRating, dosing: DosingSettings, small: SmallMeasures
    ) -> None:
        self._store = store
        self._scale = scale
        self._dosing = dosing
        self._small = small

    async def available(self) -> Sequence[Choice]:
        """The recipes without blockers."""
        menu = await self._store.menu(self._scale.max_g, self._dosing)
        return await asyncio.to_thread(self._available, menu)

    def _available(self, menu: Menu) -> list[Choice]:
        recipes = sorted(menu.recipes.values(), key=lambda recipe: (recipe.name, recipe.id))
        return [
            Choice(f"{_KEY}{recipe.id}", recipe.name, tuple(measure for _, measure in ways))
            for recipe in recipes
            if recipe.active and (ways := self._ways(menu, recipe))
        ]

    def _ways(self, menu: Menu, recipe: Recipe) -> list[tuple[str | None, Measure]]:
        """The glasses for the drink, each with its volume."""
        own = compile_recipe(menu, recipe.id, small=self._small)
        if not own.blockers:
            name = "its glass" if own.glass_id is None else menu.glasses[own.glass_id].name
            return [(None, _measure(name, own.volume_ml))]
        if recipe.glass_id is not None:
            return []
        glasses = sorted(menu.glasses.values(), key=lambda glass: (glass.brim_ml, glass.id))
        drinks = [
            (glass, compile_recipe(menu, recipe.id, glass_id=glass.id, small=self._small))
            for glass in glasses
            if glass.active
        ]
        return [
            (glass.id, _measure(glass.name, drink.volume_ml)) for glass, drink in drinks if not drink.blockers
        ]

    async def plan(self, chosen: ChosenPour) -> Wanted:
        """The chosen glass.

        Raises:
            PlanError: the recipe can no longer be poured.
            StoreError: the records cannot be read.
        """
        menu = await self._store.menu(self._scale.max_g, self._dosing)
        recipe = menu.recipes.get(chosen.choice.key.removeprefix(_KEY))
        ways = [] if recipe is None else self._ways(menu, recipe)
        title = chosen.choice.measures[chosen.measure].title
        for glass_id, measure in ways:
            if recipe is not None and measure.title == title:
                return Wanted(recipe.id, glass_id)
        raise PlanError(f"{chosen.choice.title} can no longer be poured; choose again")


def _measure(title: str, volume_ml: float) -> Measure:
    amount = max(round(volume_ml), 1)
    return Measure(title, "ml", amount, amount, 1, amount)
