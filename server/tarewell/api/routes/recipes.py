"""Glasses, recipes, and what a recipe makes in one glass."""

import asyncio
from dataclasses import replace
from typing import Annotated

from fastapi import APIRouter, Path, Query, Response
from pydantic import BaseModel, ConfigDict, Field

from tarewell.api.context import Machine, Services
from tarewell.api.editing import put, retire, shown
from tarewell.api.etags import TAGGED, Conditions
from tarewell.api.problems import responses
from tarewell.api.schemas.drinks import DrinkView
from tarewell.api.schemas.recipes import GlassBody, GlassView, RecipeBody, RecipeView
from tarewell.menu.checks import faults_of_recipe
from tarewell.menu.compiling import compile_recipe
from tarewell.menu.values import Menu, Recipe
from tarewell.setup_file.forms import MAX_SLUG, SLUG, require_none

router = APIRouter(prefix="/v1", tags=["glasses and recipes"])

UNSAVED = "unsaved"
"""The id of a recipe that is only checked."""

GlassId = Annotated[str, Path(pattern=SLUG, max_length=MAX_SLUG, examples=["foyer-tumbler"])]
RecipeId = Annotated[str, Path(pattern=SLUG, max_length=MAX_SLUG, examples=["green-room-cooler"])]


@router.get("/glasses", summary="All glasses", responses=responses("invalid-request"))
async def list_glasses(machine: Machine, retired: bool = False) -> list[GlassView]:
    """By name; `retired=true` adds those that are kept for the history only."""
    return [GlassView.of(glass) for glass in await machine.store.glasses.all(retired)]


@router.get(
    "/glasses/{glass_id}",
    summary="One glass",
    response_model=GlassView,
    responses={**TAGGED, **responses("not-found", "invalid-request", "changed-meanwhile")},
)
async def read_glass(
    glass_id: GlassId, machine: Machine, wanted: Conditions, response: Response
) -> GlassView | Response:
    """By its id."""
    return shown(GlassView.of(await machine.store.glasses.get(glass_id)), wanted, response)


@router.put(
    "/glasses/{glass_id}",
    summary="Put a glass",
    responses=responses("changed-meanwhile", "invalid-request"),
)
async def put_glass(glass_id: GlassId, body: GlassBody, machine: Machine, wanted: Conditions) -> GlassView:
    """Creates or replaces a kind of glass."""
    return await put(machine.store.glasses, body.glass(glass_id), GlassView.of, wanted)


@router.delete(
    "/glasses/{glass_id}",
    summary="Retire a glass",
    status_code=204,
    responses=responses("not-found", "in-use", "changed-meanwhile", "invalid-request"),
)
async def retire_glass(glass_id: GlassId, machine: Machine, wanted: Conditions) -> Response:
    """It stays for the history; no recipe may be served in it."""
    return await retire(machine.store.glasses, glass_id, GlassView.of, wanted)


@router.get("/recipes", summary="All recipes", responses=responses("invalid-request"))
async def list_recipes(machine: Machine, retired: bool = False) -> list[RecipeView]:
    """By name; `retired=true` adds those that are kept for the history only."""
    return [RecipeView.of(recipe) for recipe in await machine.store.recipes.all(retired)]


@router.get(
    "/recipes/{recipe_id}",
    summary="One recipe",
    response_model=RecipeView,
    responses={**TAGGED, **responses("not-found", "invalid-request", "changed-meanwhile")},
)
async def read_recipe(
    recipe_id: RecipeId, machine: Machine, wanted: Conditions, response: Response
) -> RecipeView | Response:
    """By its id, with amounts as they were written."""
    return shown(RecipeView.of(await machine.store.recipes.get(recipe_id)), wanted, response)


@router.put(
    "/recipes/{recipe_id}",
    summary="Put a recipe",
    responses=responses("in-use", "changed-meanwhile", "invalid-request"),
)
async def put_recipe(
    recipe_id: RecipeId, body: RecipeBody, machine: Machine, wanted: Conditions
) -> RecipeView:
    """Creates or replaces it; everything that it names must exist. Past pours stay as they were."""
    recipe = body.recipe(recipe_id, machine.planning.small)
    await _require_sound(recipe, machine)
    return await put(machine.store.recipes, recipe, RecipeView.of, wanted)


async def _require_sound(recipe: Recipe, machine: Services) -> None:
    """Reports unknown names with their pointers; the records check again when they write."""
    liquids = {liquid.id for liquid in await machine.store.liquids.all(retired=True)}
    glasses = {glass.id for glass in await machine.store.glasses.all(retired=True)}
    require_none(faults_of_recipe(recipe, liquids, glasses))


@router.delete(
    "/recipes/{recipe_id}",
    summary="Retire a recipe",
    status_code=204,
    responses=responses("not-found", "in-use", "changed-meanwhile", "invalid-request"),
)
async def retire_recipe(recipe_id: RecipeId, machine: Machine, wanted: Conditions) -> Response:
    """It leaves the menu; past pours keep its name."""
    return await retire(machine.store.recipes, recipe_id, RecipeView.of, wanted)


class PlanQuery(BaseModel):
    """What to make of a recipe."""

    model_config = ConfigDict(extra="forbid")

    glass: str | None = Field(default=None, pattern=SLUG, max_length=MAX_SLUG, description="another glass")
    volume: float | None = Field(
        default=None, gt=0, le=10000, description="ml of the mixed drink, without ice"
    )
    max_ethanol_g: float | None = Field(
        default=None,
        ge=0,
        allow_inf_nan=False,
        description="the drink is made smaller until it holds no more ethanol",
    )


async def _plan(machine: Services, menu: Menu, recipe_id: str, asked: PlanQuery) -> DrinkView:
    drink = await asyncio.to_thread(
        compile_recipe,
        menu,
        recipe_id,
        glass_id=asked.glass,
        volume_ml=asked.volume,
        max_ethanol_g=asked.max_ethanol_g,
        small=machine.planning.small,
    )
    return DrinkView.of(drink, machine.planning.standard_drink_g, machine.planning.dosing.accuracy_class)


@router.get(
    "/recipes/{recipe_id}/plan",
    summary="What a recipe makes in one glass",
    responses=responses("not-found", "invalid-request"),
)
async def plan_recipe(
    recipe_id: RecipeId, machine: Machine, asked: Annotated[PlanQuery, Query()]
) -> DrinkView:
    """In g for each channel; `blockers` says why it cannot be poured now. Pours nothing."""
    await machine.store.recipes.get(recipe_id)
    return await _plan(machine, await machine.planner.menu(), recipe_id, asked)


@router.post(
    "/recipes/check",
    summary="What a recipe would make, without saving it",
    responses=responses("malformed-json", "invalid-request"),
)
async def check_recipe(body: RecipeBody, machine: Machine, asked: Annotated[PlanQuery, Query()]) -> DrinkView:
    """Checked and planned as if it were put; saves nothing and pours nothing."""
    recipe = body.recipe(UNSAVED, machine.planning.small)
    await _require_sound(recipe, machine)
    menu = await machine.planner.menu()
    return await _plan(machine, replace(menu, recipes={UNSAVED: recipe}), UNSAVED, asked)
