"""Recipes, as of now. The journal keeps every change, pours keep the name of their time."""

from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from tarewell.menu.checks import Fault, faults_of_recipe
from tarewell.menu.values import Recipe

from .catalogue import Catalogue
from .errors import InUseError, UnknownRecordError
from .liquids import require_in_use
from .menu_rows import recipe_of, recipe_values
from .tables import GlassRow, RecipeRow


class Recipes(Catalogue[Recipe]):
    """The store's recipes. An active one names only active liquids and an active glass."""

    kind = "recipe"
    table = RecipeRow

    @staticmethod
    def _values(item: Recipe) -> dict[str, Any]:
        return recipe_values(item)

    @staticmethod
    def _of(row: Any) -> Recipe:
        return recipe_of(row)

    @staticmethod
    def _faults(item: Recipe) -> list[Fault]:
        return faults_of_recipe(item)

    def _guard(self, session: Session, before: Recipe | None, after: Recipe) -> None:
        if after.active:
            require_in_use(session, {step.liquid_id for step in after.steps if step.liquid_id is not None})
        if after.glass_id is None:
            return
        active = session.scalar(select(GlassRow.active).where(GlassRow.id == after.glass_id))
        if active is None:
            raise UnknownRecordError(f"there is no glass {after.glass_id!r} in the records; add it first")
        if after.active and not active:
            raise InUseError(f"the glass {after.glass_id} is retired; restore it first, or use another")
