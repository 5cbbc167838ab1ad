"""Glasses and recipes."""

from typing import Self

from pydantic import ConfigDict, Field

from tarewell.menu.checks import warnings_of_glass
from tarewell.menu.values import Glass
from tarewell.setup_file.glass_forms import TUMBLER, GlassForm
from tarewell.setup_file.recipe_forms import COOLER, RecipeForm

from . import CatalogueView


class GlassBody(GlassForm):
    """A kind of glass to put."""


class GlassView(GlassForm, CatalogueView):
    """A kind of glass. A retired one (`active` false) stays for the history."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [{"id": "foyer-tumbler", **TUMBLER, "room_ml": 280.0, "warnings": [], "active": True}]
        }
    )
    untagged = CatalogueView.untagged | {"warnings"}

    room_ml: float
    warnings: list[str] = Field(description="what is unlikely in it, each with its cure")

    @classmethod
    def of(cls, glass: Glass) -> Self:
        """From the store's glass."""
        return cls.taken_from(glass, room_ml=round(glass.room_ml, 2), warnings=warnings_of_glass(glass))


class RecipeBody(RecipeForm):
    """A recipe to put: doses and steps by hand in order."""


class RecipeView(RecipeForm, CatalogueView):
    """A recipe, amounts as they were written. A retired one (`active` false) stays for the history."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [{"id": "green-room-cooler", "volume_ml": None, **COOLER, "active": True}]
        }
    )
