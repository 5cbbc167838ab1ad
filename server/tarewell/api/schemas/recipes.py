"""Glasses and recipes."""

from typing import Self

from pydantic import ConfigDict

from tarewell.menu.values import Glass, Recipe
from tarewell.setup_file.glass_forms import TUMBLER, GlassForm
from tarewell.setup_file.recipe_forms import COOLER, DoseForm, HandForm, RecipeForm

from . import Tagged


class GlassBody(GlassForm):
    """A kind of glass as it is put."""


class GlassView(Tagged):
    """A kind of glass. A retired one (`active` false) stays for the history."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"id": "foyer-tumbler", **TUMBLER, "room_ml": 280.0, "active": True}]}
    )

    id: str
    name: str
    brim_ml: float
    headroom_ml: float
    room_ml: float
    lightest_g: float | None
    heaviest_g: float | None
    active: bool

    @classmethod
    def of(cls, glass: Glass) -> Self:
        """From the store's glass."""
        return cls(
            id=glass.id,
            name=glass.name,
            brim_ml=glass.brim_ml,
            headroom_ml=glass.headroom_ml,
            room_ml=round(glass.room_ml, 2),
            lightest_g=glass.lightest_g,
            heaviest_g=glass.heaviest_g,
            active=glass.active,
        )


class RecipeBody(RecipeForm):
    """A recipe as it is put: doses and steps by hand in their order."""


class RecipeView(Tagged):
    """A recipe, amounts as they were written. A retired one (`active` false) stays for the history."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [{"id": "green-room-cooler", "volume_ml": None, **COOLER, "active": True}]
        }
    )

    id: str
    name: str
    glass_id: str | None
    volume_ml: float | None
    steps: list[DoseForm | HandForm]
    note: str
    active: bool

    @classmethod
    def of(cls, recipe: Recipe) -> Self:
        """From the store's recipe."""
        form = RecipeForm.of(recipe)
        return cls(
            id=recipe.id,
            name=form.name,
            glass_id=form.glass_id,
            volume_ml=form.volume_ml,
            steps=form.steps,
            note=form.note,
            active=recipe.active,
        )
