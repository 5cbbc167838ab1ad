"""Conversion between the rows of a round and its record."""

import json
from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from tarewell.machine.pour_record import Certainty
from tarewell.machine.round_record import AttemptRecord, GlassRecord, RoundRecord
from tarewell.menu.delivered import held_of
from tarewell.menu.values import Liquid
from tarewell.quantities.strength import DrinkStrength
from tarewell.rounds.events import Ending
from tarewell.rounds.plan import GlassPlan, RoundPlan
from tarewell.typed_json import dump, load

from .chain import canonical
from .round_tables import RoundGlassOutcomeRow, RoundGlassRow, RoundOutcomeRow, RoundRow
from .tables import DoseRow, FoundLaterRow

_RENAMED = {"hindrances": "blockers"}
"""Former names of a drink's fields, as older rounds have them."""


def glass_values(round_id: str, machine_id: str, plan: RoundPlan) -> list[dict[str, Any]]:
    """The rows of `round_glass`."""
    return [
        {
            "round_id": round_id,
            "glass_index": index,
            "machine_id": machine_id,
            "recipe_id": glass.drink.recipe_id,
            "guest": glass.guest,
            "plan": canonical(dump(glass)),
        }
        for index, glass in enumerate(plan.glasses)
    ]


def liquids_text(plan: RoundPlan) -> str:
    """The liquids of the round's drinks, as canonical JSON."""
    used = {liquid_id for glass in plan.glasses for liquid_id in glass.liquid_ids}
    found = {liquid_id: plan.liquids[liquid_id] for liquid_id in used if liquid_id in plan.liquids}
    return canonical(dump(found))


def strength_values(delivered: DrinkStrength) -> dict[str, float]:
    """The columns for the contents of a glass."""
    return {
        "mass_g": delivered.mass_g,
        "volume_ml": delivered.volume_ml,
        "contraction_ml": delivered.contraction_ml,
        "ethanol_g": delivered.ethanol_g,
        "sugar_g": delivered.sugar_g,
    }


def load_rounds(session: Session, rows: Sequence[RoundRow]) -> list[RoundRecord]:
    """The records of these rounds, in the same order."""
    ids = [row.id for row in rows]
    glasses = session.scalars(
        select(RoundGlassRow).where(RoundGlassRow.round_id.in_(ids)).order_by(RoundGlassRow.glass_index)
    )
    attempts: dict[tuple[str, int], list[AttemptRecord]] = defaultdict(list)
    ended = select(RoundGlassOutcomeRow).where(RoundGlassOutcomeRow.round_id.in_(ids))
    outcomes = list(session.scalars(ended.order_by(RoundGlassOutcomeRow.id)))
    found = found_in_glasses(session, outcomes)
    for outcome in outcomes:
        attempt = _attempt(outcome, found.get(outcome.id))
        attempts[outcome.round_id, outcome.glass_index].append(attempt)
    parts: dict[str, list[GlassRecord]] = defaultdict(list)
    for glass in glasses:
        of = tuple(attempts[glass.round_id, glass.glass_index])
        parts[glass.round_id].append(GlassRecord(glass.glass_index, _plan(glass.plan), of))
    over = {
        row.round_id: row
        for row in session.scalars(select(RoundOutcomeRow).where(RoundOutcomeRow.round_id.in_(ids)))
    }
    return [_record(row, parts[row.id], over.get(row.id)) for row in rows]


def found_in_glasses(session: Session, outcomes: Sequence[RoundGlassOutcomeRow]) -> dict[int, DrinkStrength]:
    """What was found for certain after the pours of these attempts, by the outcomes' ids."""
    attempt_of = {pour_id: row for row in outcomes for pour_id in json.loads(row.pour_ids)}
    dose = (DoseRow.pour_id == FoundLaterRow.pour_id) & (DoseRow.dose_index == FoundLaterRow.dose_index)
    query = (
        select(FoundLaterRow.pour_id, FoundLaterRow.found_g, DoseRow.liquid_id)
        .join(DoseRow, dose)
        .where(FoundLaterRow.pour_id.in_(attempt_of), FoundLaterRow.certainty == Certainty.WEIGHED)
    )
    found: dict[int, DrinkStrength] = {}
    for pour_id, found_g, liquid_id in session.execute(query):
        row = attempt_of[pour_id]
        text = session.scalars(select(RoundRow.liquids).where(RoundRow.id == row.round_id)).one()
        held = held_of(liquid_id, found_g or 0.0, load(dict[str, Liquid], json.loads(text)))
        found[row.id] = found[row.id].plus(held) if row.id in found else held
    return found


def _plan(text: str) -> GlassPlan:
    """The stored plan; in older ones the drink's blockers have another name."""
    data = json.loads(text)
    data["drink"] = {_RENAMED.get(name, name): value for name, value in data["drink"].items()}
    plan: GlassPlan = load(GlassPlan, data)
    return plan


def _record(row: RoundRow, glasses: Sequence[GlassRecord], over: RoundOutcomeRow | None) -> RoundRecord:
    return RoundRecord(
        id=row.id,
        machine_id=row.machine_id,
        created_at=row.created_at,
        origin=row.origin,
        program_version=row.program_version,
        auto_start=row.auto_start,
        glasses=tuple(glasses),
        liquids=load(dict[str, Liquid], json.loads(row.liquids)),
        outcome_state=None if over is None else over.state,
        ended_at=None if over is None else over.ended_at,
    )


def _attempt(row: RoundGlassOutcomeRow, found: DrinkStrength | None) -> AttemptRecord:
    return AttemptRecord(
        number=row.attempt,
        ending=Ending(row.ending),
        ended_at=row.ended_at,
        pour_ids=tuple(json.loads(row.pour_ids)),
        delivered=DrinkStrength(row.mass_g, row.volume_ml, row.contraction_ml, row.ethanol_g, row.sugar_g),
        found_later=found,
    )
