"""The menu: every drink with what can be poured now."""

import asyncio

from fastapi import APIRouter

from tarewell.api.context import Machine
from tarewell.api.schemas.drinks import MenuEntryView, MenuView
from tarewell.menu.compiling import compile_recipe
from tarewell.menu.feasibility import remaining
from tarewell.menu.values import Bottle, Menu
from tarewell.settings import MenuSettings

router = APIRouter(prefix="/v1", tags=["menu and stock"])


@router.get("/menu", summary="Every drink with what can be poured now")
async def read_menu(machine: Machine) -> MenuView:
    """By name: strength, standard drinks, sugar, allergens, cost, how many remain, and what is in the way."""
    menu = (await machine.store.menu(machine.scale_max_g, machine.dosing)).needing(machine.operation.needs())
    shelf = await machine.store.bottles.all()
    return await asyncio.to_thread(_view, menu, shelf, machine.menu)


def _view(menu: Menu, shelf: list[Bottle], settings: MenuSettings) -> MenuView:
    left = remaining(menu, shelf, settings.small)
    each_g = settings.standard_drink_g
    recipes = sorted((menu.recipes[key] for key in left), key=lambda recipe: (recipe.name, recipe.id))
    drinks = [
        MenuEntryView.of(compile_recipe(menu, recipe.id, small=settings.small), left[recipe.id], each_g)
        for recipe in recipes
    ]
    return MenuView(standard_drink_g=round(each_g, 2), drinks=drinks)
