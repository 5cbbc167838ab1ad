"""Conversion between the rows of a pour and its record."""

import json
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, replace
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from tarewell.dosing.drips import Dripped
from tarewell.dosing.events import DoseEnded
from tarewell.dosing.plan import DosePlan, Purpose
from tarewell.dosing.setup import PourSetup
from tarewell.dosing.tolerance import Verdict, permissible_deviation_g
from tarewell.machine.pour_record import (
    Certainty,
    DoseRecord,
    FoundRecord,
    PourOutcome,
    PourRecord,
    RecipeNote,
)
from tarewell.menu.values import Liquid
from tarewell.rounds.serving import serving_of
from tarewell.typed_json import dump, load

from .chain import canonical
from .round_tables import RoundGlassRow
from .tables import DoseOutcomeRow, DoseRow, FoundLaterRow, LateDripsRow, PourOutcomeRow, PourRow

_RENAMED = {
    "aim_least_g": "min_aim_g",
    "feed_most_s": "max_feed_s",
    "glass_least_g": "min_glass_g",
    "jogs_most": "max_jogs",
    "purge_most_g": "max_purge_g",
}
"""Former names of dosing settings, as older pours have them."""


def setup_text(setup: PourSetup) -> str:
    """The setup as canonical JSON.

    Raises:
        ValueError: it holds an infinity or NaN.
    """
    return canonical(dump(setup))


def setup_from(text: str) -> PourSetup:
    """The setup from its JSON."""
    data = json.loads(text)
    settings = {_RENAMED.get(name, name): value for name, value in data["settings"].items()}
    data["settings"] = {"learn_speeds": False} | settings  # older pours did not
    setup: PourSetup = load(PourSetup, data)
    return setup


def recipe_text(recipe: RecipeNote | None) -> str | None:
    """The recipe note of a pour as canonical JSON."""
    return None if recipe is None else canonical(asdict(recipe))


def dose_values(doses: Sequence[DosePlan], liquids: Mapping[str, Liquid]) -> list[dict[str, Any]]:
    """The rows of a new pour's doses: the plan, and the present facts of each liquid."""
    return [
        {
            "channel": dose.channel,
            "liquid_id": dose.liquid_id,
            "liquid_name": liquids[dose.liquid_id].name,
            "density_g_per_ml": liquids[dose.liquid_id].serving_density.g_per_ml,
            "abv_percent": liquids[dose.liquid_id].abv_percent,
            "target_g": dose.target_g,
        }
        for dose in doses
    ]


def dose_outcome_values(pour_id: str, machine_id: str, ended: DoseEnded) -> dict[str, Any]:
    """The row of `dose_outcome` for a dose that ended."""
    return {
        "pour_id": pour_id,
        "dose_index": ended.index,
        "machine_id": machine_id,
        "delivered_g": ended.delivered_g,
        "inflight_g": ended.inflight_g,
        "peak_flow_g_per_s": ended.peak_flow_g_per_s,
        "jogs": ended.jogs,
        "began_s": ended.began_s,
        "cut_off_s": ended.cut_off_s,
        "ended_s": ended.ended_s,
        "verdict": ended.verdict,
        "cause": ended.cause,
        "target_g": ended.target_g,
        "uncertainty_g": ended.uncertainty_g,
    }


def load_records(session: Session, rows: Sequence[PourRow]) -> list[PourRecord]:
    """The records of these pours, in the same order."""
    ids = [row.id for row in rows]
    doses = session.scalars(select(DoseRow).where(DoseRow.pour_id.in_(ids)).order_by(DoseRow.dose_index))
    dose_outcomes = session.scalars(select(DoseOutcomeRow).where(DoseOutcomeRow.pour_id.in_(ids)))
    outcomes = session.scalars(select(PourOutcomeRow).where(PourOutcomeRow.pour_id.in_(ids)))
    found = session.scalars(select(FoundLaterRow).where(FoundLaterRow.pour_id.in_(ids)))
    dripped = session.scalars(select(LateDripsRow).where(LateDripsRow.pour_id.in_(ids)))
    ended = {(row.pour_id, row.dose_index): _dose_ended(row) for row in dose_outcomes}
    over = {row.pour_id: _outcome(row) for row in outcomes}
    later = {row.pour_id: _found_later(row) for row in found}
    drips = {row.pour_id: _dripped(row) for row in dripped}
    parts = _dose_records(doses, ended)
    notes = {row.id: load(RecipeNote, json.loads(row.recipe)) for row in rows if row.recipe is not None}
    guests = _guests(session, notes)
    return [
        PourRecord(
            id=row.id,
            machine_id=row.machine_id,
            created_at=row.created_at,
            origin=row.origin,
            program_version=row.program_version,
            board_id=row.board_id,
            board_firmware=row.board_firmware,
            idempotency_key=row.idempotency_key,
            doses=tuple(_with_tolerance(row, parts[row.id])),
            outcome=over.get(row.id),
            purpose=row.purpose,
            recipe=notes.get(row.id),
            found_later=later.get(row.id),
            late_drips=drips.get(row.id),
            guest=guests.get(row.id),
        )
        for row in rows
    ]


def _guests(session: Session, notes: Mapping[str, RecipeNote]) -> dict[str, str | None]:
    """Whose glasses these pours serve, by pour, where they serve one of a round."""
    servings = {pour_id: serving_of(note.serving_id) for pour_id, note in notes.items()}
    rounds = {serving.round_id for serving in servings.values() if serving is not None}
    query = select(RoundGlassRow.round_id, RoundGlassRow.glass_index, RoundGlassRow.guest)
    glasses = session.execute(query.where(RoundGlassRow.round_id.in_(rounds))) if rounds else ()
    guests = {(round_id, glass): guest for round_id, glass, guest in glasses}
    return {
        pour_id: guests.get((serving.round_id, serving.glass))
        for pour_id, serving in servings.items()
        if serving is not None
    }


def _with_tolerance(row: PourRow, doses: Iterable[DoseRecord]) -> Iterator[DoseRecord]:
    if row.purpose != Purpose.DRINK.value:
        yield from doses
        return
    accuracy_class = json.loads(row.setup)["settings"]["accuracy_class"]
    for dose in doses:
        yield replace(dose, tolerance_g=permissible_deviation_g(dose.poured_to_g, accuracy_class))


def _dose_records(
    rows: Iterable[DoseRow], ended: dict[tuple[str, int], DoseEnded]
) -> dict[str, list[DoseRecord]]:
    parts: dict[str, list[DoseRecord]] = defaultdict(list)
    for row in rows:
        record = DoseRecord(
            index=row.dose_index,
            channel=row.channel,
            liquid_id=row.liquid_id,
            liquid_name=row.liquid_name,
            density_g_per_ml=row.density_g_per_ml,
            abv_percent=row.abv_percent,
            target_g=row.target_g,
            outcome=ended.get((row.pour_id, row.dose_index)),
        )
        parts[row.pour_id].append(record)
    return parts


def _outcome(row: PourOutcomeRow) -> PourOutcome:
    return PourOutcome(row.state, row.cause, row.delivered_g, row.glass_g, row.ended_at, row.uncertainty_g)


def _found_later(row: FoundLaterRow) -> FoundRecord:
    certainty = Certainty(row.certainty)
    return FoundRecord(row.pour_id, certainty, row.found_g, row.dose_index, row.reason, at=row.at)


def _dripped(row: LateDripsRow) -> Dripped:
    return Dripped(row.dose_index, row.dripped_g, row.dose_uncertainty_g, row.uncertainty_g)


def _dose_ended(row: DoseOutcomeRow) -> DoseEnded:
    return DoseEnded(
        index=row.dose_index,
        delivered_g=row.delivered_g,
        inflight_g=row.inflight_g,
        peak_flow_g_per_s=row.peak_flow_g_per_s,
        jogs=row.jogs,
        began_s=row.began_s,
        cut_off_s=row.cut_off_s,
        ended_s=row.ended_s,
        verdict=None if row.verdict is None else Verdict(row.verdict),
        cause=row.cause,
        target_g=row.target_g,
        uncertainty_g=row.uncertainty_g,
    )
