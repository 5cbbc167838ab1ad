"""Recipe cards as pages to print."""

import asyncio
from typing import Any

from fastapi import APIRouter
from fastapi.responses import HTMLResponse

from tarewell.api.context import Machine
from tarewell.api.problems import responses
from tarewell.exchange.planning_config import PlanningConfig
from tarewell.menu.compiling import compile_recipe
from tarewell.menu.values import Menu
from tarewell.printing.cards import cards_page
from tarewell.printing.pages import CONTENT_SECURITY_POLICY

from .recipes import RecipeId

router = APIRouter(prefix="/v1", tags=["printing"])

HTML = "text/html"
PAGE: dict[str, Any] = {"content": {HTML: {"schema": {"type": "string"}}}}


def html_page(text: str) -> HTMLResponse:
    """A response with a page that may load and run nothing."""
    return HTMLResponse(text, headers={"Content-Security-Policy": CONTENT_SECURITY_POLICY})


@router.get("/cards", summary="All recipes as cards", response_class=HTMLResponse, responses={200: PAGE})
async def read_cards(machine: Machine) -> HTMLResponse:
    """Four to a sheet of A4, by name, to print and cut."""
    menu = await machine.planner.menu()
    recipes = sorted(
        (recipe for recipe in menu.recipes.values() if recipe.active), key=lambda each: (each.name, each.id)
    )
    return await asyncio.to_thread(_page, menu, [recipe.id for recipe in recipes], machine.planning)


@router.get(
    "/recipes/{recipe_id}/card",
    summary="One recipe as a card",
    response_class=HTMLResponse,
    responses={200: PAGE, **responses("not-found", "invalid-request")},
)
async def read_card(recipe_id: RecipeId, machine: Machine) -> HTMLResponse:
    """Name, glass, steps, strength, standard drinks and allergens, on a sheet of A4."""
    await machine.store.recipes.get(recipe_id)
    menu = await machine.planner.menu()
    return await asyncio.to_thread(_page, menu, [recipe_id], machine.planning)


def _page(menu: Menu, recipe_ids: list[str], planning: PlanningConfig) -> HTMLResponse:
    drinks = [compile_recipe(menu, recipe_id, small=planning.small) for recipe_id in recipe_ids]
    return html_page(cards_page(menu, drinks, planning.standard_drink_g))
