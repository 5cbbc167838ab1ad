"""The menu: every drink with what can be poured now."""

import asyncio

from fastapi import APIRouter

from tarewell.api.context import Machine
from tarewell.api.schemas.drinks import MenuEntryView, MenuView
from tarewell.exchange.planning_config import PlanningConfig
from tarewell.menu.compiling import compile_recipe
from tarewell.menu.feasibility import remaining
from tarewell.menu.values import Bottle, Menu

router = APIRouter(prefix="/v1", tags=["menu and stock"])


@router.get("/menu", summary="Every drink with what can be poured now")
async def read_menu(machine: Machine) -> MenuView:
    """By name: strength, standard drinks, sugar, allergens, cost, price, how many remain, and blockers."""
    menu = await machine.planner.menu()
    shelf = await machine.store.bottles.all()
    return await asyncio.to_thread(_view, menu, shelf, machine.planning)


def _view(menu: Menu, shelf: list[Bottle], planning: PlanningConfig) -> MenuView:
    left = remaining(menu, shelf, planning.small)
    each_g = planning.standard_drink_g
    recipes = sorted((menu.recipes[key] for key in left), key=lambda recipe: (recipe.name, recipe.id))
    drinks = [
        MenuEntryView.of(compile_recipe(menu, recipe.id, small=planning.small), left[recipe.id], each_g)
        for recipe in recipes
    ]
    return MenuView(standard_drink_g=round(each_g, 2), currency=planning.currency, drinks=drinks)
