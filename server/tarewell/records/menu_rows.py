"""Between the values of the menu and their rows. What is a list or a tree stands in a column as JSON."""

import json
from dataclasses import dataclass
from typing import Any

from tarewell.menu.allergens import Allergen
from tarewell.menu.values import Bottle, Glass, HandStep, Liquid, Recipe, RecipeDose
from tarewell.quantities.density import Density, Origin
from tarewell.typed_json import dump, load

from .chain import canonical
from .errors import DamagedError
from .tables import BottleRow, GlassRow, LiquidRow, RecipeRow

JSON_COLUMNS = ("allergens", "steps")


@dataclass(frozen=True, slots=True)
class _Step:
    """One step in the column `steps`: exactly one of the two."""

    dose: RecipeDose | None = None
    hand: HandStep | None = None


def liquid_values(liquid: Liquid) -> dict[str, Any]:
    """The columns of a liquid; allergens in the order of their names, so that equal sets are equal text."""
    density, allergens = liquid.density, liquid.allergens
    return {
        "id": liquid.id,
        "name": liquid.name,
        "density_g_per_ml": density.g_per_ml,
        "density_uncertainty_g_per_ml": density.uncertainty_g_per_ml,
        "density_origin": density.origin.value,
        "density_at_c": density.at_c,
        "abv_percent": liquid.abv_percent,
        "sugar_g_per_l": liquid.sugar_g_per_l,
        "allergens": None if allergens is None else canonical(sorted(allergens)),
        "cost_per_l": liquid.cost_per_l,
        "serving_c": liquid.serving_c,
        "note": liquid.note,
        "active": liquid.active,
    }


def liquid_of(row: LiquidRow) -> Liquid:
    """The liquid of a row."""
    return Liquid(
        id=row.id,
        name=row.name,
        density=Density(
            row.density_g_per_ml,
            row.density_uncertainty_g_per_ml,
            Origin(row.density_origin),
            row.density_at_c,
        ),
        abv_percent=row.abv_percent,
        sugar_g_per_l=row.sugar_g_per_l,
        allergens=None if row.allergens is None else frozenset(map(Allergen, json.loads(row.allergens))),
        cost_per_l=row.cost_per_l,
        serving_c=row.serving_c,
        note=row.note,
        active=row.active,
    )


def glass_values(glass: Glass) -> dict[str, Any]:
    """The columns of a glass."""
    return {
        "id": glass.id,
        "name": glass.name,
        "brim_ml": glass.brim_ml,
        "headroom_ml": glass.headroom_ml,
        "lightest_g": glass.lightest_g,
        "heaviest_g": glass.heaviest_g,
        "active": glass.active,
    }


def glass_of(row: GlassRow) -> Glass:
    """The glass of a row."""
    return Glass(
        id=row.id,
        name=row.name,
        brim_ml=row.brim_ml,
        headroom_ml=row.headroom_ml,
        lightest_g=row.lightest_g,
        heaviest_g=row.heaviest_g,
        active=row.active,
    )


def recipe_values(recipe: Recipe) -> dict[str, Any]:
    """The columns of a recipe.

    Raises:
        ValueError: an amount that is no number.
    """
    steps = [_Step(dose=step) if isinstance(step, RecipeDose) else _Step(hand=step) for step in recipe.steps]
    return {
        "id": recipe.id,
        "name": recipe.name,
        "steps": canonical(dump(steps, defaults=False)),
        "glass_id": recipe.glass_id,
        "volume_ml": recipe.volume_ml,
        "note": recipe.note,
        "active": recipe.active,
    }


def recipe_of(row: RecipeRow) -> Recipe:
    """The recipe of a row.

    Raises:
        DamagedError: its steps are not steps.
    """
    return Recipe(
        id=row.id,
        name=row.name,
        steps=steps_of(row.id, row.steps),
        glass_id=row.glass_id,
        volume_ml=row.volume_ml,
        note=row.note,
        active=row.active,
    )


def steps_of(recipe_id: str, text: str) -> tuple[RecipeDose | HandStep, ...]:
    """The steps in the column of a recipe.

    Raises:
        DamagedError: they are not steps.
    """
    try:
        return tuple(_single(step) for step in load(list[_Step], json.loads(text)))
    except ValueError as error:
        raise DamagedError(
            f"the steps of the recipe {recipe_id} in the records cannot be read ({error}); "
            "put the recipe again, or restore a backup"
        ) from error


def _single(step: _Step) -> RecipeDose | HandStep:
    match step:
        case _Step(dose=RecipeDose() as dose, hand=None):
            return dose
        case _Step(dose=None, hand=HandStep() as hand):
            return hand
    raise ValueError("a step is a dose or a step by hand")


def bottle_values(bottle: Bottle) -> dict[str, Any]:
    """The columns of a bottle; its content is in the ledger, and where it is mounted is written by itself."""
    return {
        "id": bottle.id,
        "liquid_id": bottle.liquid_id,
        "full_g": bottle.full_g,
        "low_g": bottle.low_g,
        "tare_g": bottle.tare_g,
        "opened_at": bottle.opened_at,
    }


def bottle_of(row: BottleRow, content_g: float) -> Bottle:
    """The bottle of a row with what the ledger says is in it."""
    return Bottle(
        id=row.id,
        liquid_id=row.liquid_id,
        content_g=content_g,
        full_g=row.full_g,
        low_g=row.low_g,
        tare_g=row.tare_g,
        channel=row.channel,
        opened_at=row.opened_at,
    )


def told(values: dict[str, Any]) -> dict[str, Any]:
    """Columns as the journal tells them: those that hold JSON as what it says."""
    return {
        name: json.loads(value) if name in JSON_COLUMNS and value is not None else value
        for name, value in values.items()
    }
