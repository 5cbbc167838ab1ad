"""Kinds of glasses, as of now. The journal keeps every change."""

from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from tarewell.menu.checks import Fault, faults_of_glass
from tarewell.menu.values import Glass

from .catalogue import Catalogue
from .errors import InUseError
from .menu_rows import columns_of, value_of
from .tables import GlassRow, RecipeRow


class Glasses(Catalogue[Glass]):
    """The store's glasses. The glass of an active recipe cannot be retired."""

    kind = "glass"
    table = GlassRow

    @staticmethod
    def _values(item: Glass) -> dict[str, Any]:
        return columns_of(item)

    @staticmethod
    def _of(row: Any) -> Glass:
        return value_of(Glass, row)

    @staticmethod
    def _faults(item: Glass) -> list[Fault]:
        return faults_of_glass(item)

    def _guard(self, session: Session, before: Glass | None, after: Glass) -> None:
        if before is None or after.active:
            return
        query = select(RecipeRow.id).where(RecipeRow.active, RecipeRow.glass_id == after.id)
        recipe_id = session.scalar(query.order_by(RecipeRow.id).limit(1))
        if recipe_id is not None:
            raise InUseError(
                f"the recipe {recipe_id} is poured into the glass {after.id}; change or retire the recipe "
                "first"
            )
