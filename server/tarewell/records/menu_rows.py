"""Conversion between the values of the menu and their rows: a field is the column of its name; exceptions are
handled here. Lists and trees are stored as JSON."""

import json
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any, TypeVar

from tarewell.menu.allergens import Allergen
from tarewell.menu.hands import HandStep
from tarewell.menu.values import Bottle, Liquid, Recipe, RecipeDose
from tarewell.quantities.density import Density, Origin
from tarewell.typed_json import dump, load

from .chain import canonical
from .errors import DamagedError
from .tables import Base, BottleRow, LiquidRow, RecipeRow

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

T = TypeVar("T", bound="DataclassInstance")

JSON_COLUMNS = ("allergens", "steps")


@dataclass(frozen=True, slots=True)
class _Step:
    """One step in the column `steps`: exactly one of the two."""

    dose: RecipeDose | None = None
    hand: HandStep | None = None


def columns_of(value: "DataclassInstance") -> dict[str, Any]:
    """The columns of a value, one for each field, with the same name and content."""
    return {field.name: getattr(value, field.name) for field in fields(value)}


def value_of(kind: type[T], row: Base, **different: Any) -> T:
    """The value of a row: each field is the column of its name, except those in `different`."""
    same = [field.name for field in fields(kind) if field.name not in different]
    return kind(**different, **{name: getattr(row, name) for name in same})


def liquid_values(liquid: Liquid) -> dict[str, Any]:
    """The columns of a liquid: the density has one for each of its facts, and allergens are in the order of
    their names, so that equal sets are equal text."""
    values = columns_of(liquid) | liquid.density_facts
    del values["density"]
    if liquid.allergens is not None:
        values["allergens"] = canonical(sorted(liquid.allergens))
    return values


def liquid_of(row: LiquidRow) -> Liquid:
    """The liquid of a row."""
    density = {field.name: getattr(row, f"density_{field.name}") for field in fields(Density)}
    density["origin"] = Origin(density["origin"])
    allergens = None if row.allergens is None else frozenset(map(Allergen, json.loads(row.allergens)))
    return value_of(Liquid, row, density=Density(**density), allergens=allergens)


def recipe_values(recipe: Recipe) -> dict[str, Any]:
    """The columns of a recipe.

    Raises:
        ValueError: an amount that is not a number.
    """
    steps = [_Step(dose=step) if isinstance(step, RecipeDose) else _Step(hand=step) for step in recipe.steps]
    return columns_of(recipe) | {"steps": canonical(dump(steps, defaults=False))}


def recipe_of(row: RecipeRow) -> Recipe:
    """The recipe of a row.

    Raises:
        DamagedError: its steps cannot be read.
    """
    return value_of(Recipe, row, steps=steps_of(row.id, row.steps))


def steps_of(recipe_id: str, text: str) -> tuple[RecipeDose | HandStep, ...]:
    """The steps in the column of a recipe.

    Raises:
        DamagedError: they cannot be read.
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
    """The columns of a bottle, without its content, which is in the ledger, and its channel, which is written
    separately."""
    values = columns_of(bottle)
    del values["content_g"], values["channel"]
    return values


def bottle_of(row: BottleRow, content_g: float) -> Bottle:
    """The bottle of a row, with its content by the ledger."""
    return value_of(Bottle, row, content_g=content_g)


def journal_values(values: dict[str, Any]) -> dict[str, Any]:
    """Columns as the journal stores them, with JSON columns decoded."""
    return {
        name: json.loads(value) if name in JSON_COLUMNS and value is not None else value
        for name, value in values.items()
    }
