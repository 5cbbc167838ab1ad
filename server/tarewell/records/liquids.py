"""Liquids, as of now. The journal keeps every change, pours keep the facts of their time."""

from dataclasses import replace
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from tarewell.menu.checks import Fault, faults_of_liquid
from tarewell.menu.ledger import Level, level_of
from tarewell.menu.values import Liquid

from .catalogue import Catalogue
from .errors import RetiredLiquidError, UnknownRecordError
from .menu_rows import bottle_of, liquid_of, liquid_values, steps_of
from .stock import contents
from .tables import BottleRow, ChannelRow, DoseRow, LiquidRow, PourOutcomeRow, RecipeRow


class Liquids(Catalogue[Liquid]):
    """The store's liquids. One in use cannot be retired; one that is being poured cannot be changed."""

    kind = "liquid"
    table = LiquidRow

    @staticmethod
    def _values(item: Liquid) -> dict[str, Any]:
        return liquid_values(item)

    @staticmethod
    def _of(row: Any) -> Liquid:
        return liquid_of(row)

    @staticmethod
    def _faults(item: Liquid) -> list[Fault]:
        return faults_of_liquid(item)

    def _guard(self, session: Session, before: Liquid | None, after: Liquid) -> None:
        if before is None:
            return
        if not after.active:
            _require_unused(session, after.id)
        in_words_only = replace(
            after,
            name=before.name,
            note=before.note,
            cost_per_l=before.cost_per_l,
            colour=before.colour,
            active=before.active,
        )
        if not after.active or in_words_only != before:
            _require_at_rest(session, after.id)


def _require_unused(session: Session, liquid_id: str) -> None:
    number = session.scalar(select(ChannelRow.number).where(ChannelRow.liquid_id == liquid_id).limit(1))
    if number is not None:
        raise RetiredLiquidError(
            f"the liquid {liquid_id} is assigned to channel {number}; assign another liquid, or none, first"
        )
    query = select(RecipeRow.id, RecipeRow.steps).where(RecipeRow.active).order_by(RecipeRow.id)
    for recipe_id, steps in session.execute(query):
        if any(step.liquid_id == liquid_id for step in steps_of(recipe_id, steps)):
            raise RetiredLiquidError(
                f"the liquid {liquid_id} is used in the recipe {recipe_id}; change or retire the recipe first"
            )
    rows = list(session.scalars(select(BottleRow).where(BottleRow.liquid_id == liquid_id)))
    held = contents(session, [row.id for row in rows])
    for bottle in (bottle_of(row, held.get(row.id, 0.0)) for row in rows):
        if level_of(bottle) is not Level.EMPTY:
            raise RetiredLiquidError(
                f"the bottle {bottle.id} still holds {bottle.content_g:.0f} g of the liquid {liquid_id}; "
                "use it up or discard the bottle first"
            )


def _require_at_rest(session: Session, liquid_id: str) -> None:
    ended = select(PourOutcomeRow.pour_id).where(PourOutcomeRow.pour_id == DoseRow.pour_id)
    pouring = select(DoseRow.pour_id).where(DoseRow.liquid_id == liquid_id, ~ended.exists()).limit(1)
    pour_id = session.scalar(pouring)
    if pour_id is not None:
        raise RetiredLiquidError(
            f"the liquid {liquid_id} is being poured by pour {pour_id}; wait for its end, or stop it, then "
            "change the liquid"
        )


def require_in_use(session: Session, liquid_ids: set[str]) -> None:
    """Check that these liquids exist and are not retired.

    Raises:
        UnknownRecordError: there is none of that id.
        RetiredLiquidError: one is retired.
    """
    query = select(LiquidRow.id, LiquidRow.active).where(LiquidRow.id.in_(liquid_ids))
    active: dict[str, bool] = {row.id: row.active for row in session.execute(query)}
    if unknown := liquid_ids - active.keys():
        raise UnknownRecordError(
            f"there is no liquid {', '.join(sorted(unknown))} in the records; add it, then try again"
        )
    if retired := sorted(liquid_id for liquid_id, is_active in active.items() if not is_active):
        raise RetiredLiquidError(
            f"the liquid {', '.join(retired)} is retired; restore it first, or use another"
        )
