"""Pours: progress and records."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from datetime import datetime
from typing import Literal, Self

from pydantic import ConfigDict, Field

from tarewell.charts.trace_picture import StepSpan
from tarewell.dosing.progress import PourProgress
from tarewell.dosing.states import TABLE, procedural
from tarewell.machine.alarms import AlarmAct
from tarewell.machine.pour_record import DoseRecord, FinalMass, FoundRecord, PourRecord, RecipeNote
from tarewell.machine.round_record import AttemptRecord
from tarewell.menu.allergens import Allergen
from tarewell.menu.delivered import DoseResult, outcome
from tarewell.menu.drink import Drink, PlannedHand
from tarewell.menu.values import Liquid
from tarewell.records.chain import SEALED
from tarewell.records.values import StoredEvent
from tarewell.rounds.serving import Serving, serving_of

from . import View
from .alarms import AlarmEventView
from .pour_progress import ProgressView, hold_of
from .rounds import HeldView
from .traces import TraceStepView


def _sure(uncertainty_g: float | None) -> float | None:
    return None if uncertainty_g is None else round(uncertainty_g, 3)


class DoseView(View):
    """A dose: its target, and how it ended (null while it has not). Masses in g, times in s.

    `rescaled_g` is the target after an earlier dose had missed (null: unchanged).
    `verdict` compares with the tolerance of OIML R 61: within, under, over; `tolerance_g` is that tolerance
    around the final target. Both are null for a prime, flush or purge. Uncertainties are standard ones.
    """

    channel: int
    liquid_id: str
    liquid_name: str
    density_g_per_ml: float
    abv_percent: float | None
    target_g: float
    rescaled_g: float | None
    tolerance_g: float | None = Field(description="either way, from the final target; null for no drink")
    delivered_g: float | None = Field(description="by the weighing of its verdict")
    uncertainty_g: float | None = Field(description="of `delivered_g`; null: it was not at rest")
    final_g: float | None = Field(description="with what was found after the verdict")
    final_uncertainty_g: float | None = Field(description="of `final_g`; null: unknown")
    error_g: float | None = Field(description="delivered minus final target")
    verdict: str | None
    cause: str | None
    jogs: int | None
    inflight_g: float | None
    peak_flow_g_per_s: float | None
    took_s: float | None
    cut_off_s: float | None = Field(description="its last cut-off, in s from its beginning")

    @classmethod
    def of(cls, dose: DoseRecord, final: FinalMass | None) -> Self:
        """From the dose's record, and what is known of its mass by now."""
        end = dose.outcome
        return cls(
            channel=dose.channel,
            liquid_id=dose.liquid_id,
            liquid_name=dose.liquid_name,
            density_g_per_ml=dose.density_g_per_ml,
            abv_percent=dose.abv_percent,
            target_g=round(dose.target_g, 2),
            rescaled_g=None if end is None or end.target_g is None else round(end.target_g, 2),
            tolerance_g=None if dose.tolerance_g is None else round(dose.tolerance_g, 2),
            delivered_g=None if end is None else round(end.delivered_g, 2),
            uncertainty_g=None if end is None else _sure(end.uncertainty_g),
            final_g=None if final is None else round(final.mass_g, 2),
            final_uncertainty_g=None if final is None else _sure(final.uncertainty_g),
            error_g=None if end is None else round(end.delivered_g - dose.poured_to_g, 2),
            verdict=None if end is None else end.verdict,
            cause=None if end is None else end.cause,
            jogs=None if end is None else end.jogs,
            inflight_g=None if end is None else round(end.inflight_g, 2),
            peak_flow_g_per_s=None if end is None else round(end.peak_flow_g_per_s, 2),
            took_s=None if end is None else round(end.ended_s - end.began_s, 2),
            cut_off_s=None if end is None or end.cut_off_s is None else round(end.cut_off_s - end.began_s, 2),
        )


class RecipeNoteView(View):
    """The recipe of a pour by its name at that time, its glass, and its serving."""

    recipe_id: str
    name: str
    glass_id: str | None
    serving_id: str | None

    @classmethod
    def of(cls, note: RecipeNote) -> Self:
        """From the pour's record."""
        return cls(**asdict(note))


class ServingView(View):
    """Which glass of a round a pour serves. `glass`, `attempt` and `leg` count from 1."""

    round_id: str
    glass: int
    attempt: int
    leg: int
    guest: str | None = Field(description="label or seat")

    @classmethod
    def of(cls, serving: Serving, guest: str | None) -> Self:
        """From the pour's note."""
        return cls(
            round_id=serving.round_id,
            glass=serving.glass + 1,
            attempt=serving.attempt + 1,
            leg=serving.leg + 1,
            guest=guest,
        )


class SealView(View):
    """An entry of the journal that seals rows of the pour."""

    seq: int
    kind: str
    at: datetime
    hash: str

    @classmethod
    def of(cls, event: StoredEvent) -> Self:
        """From the journal."""
        return cls(seq=event.seq, kind=event.kind, at=event.at, hash=event.hash)


class InGlassView(HeldView):
    """What the glass holds after a pour, by the scale."""

    strength_known: bool = Field(description="false: an undescribed part counts as having none")
    sugar_known: bool
    allergens: list[Allergen]
    allergens_unknown: list[str] = Field(description="what was not checked: liquids by id, or a step's text")
    by_hand: bool = Field(description="steps by hand count, as in the recipe")

    @classmethod
    def of_round(cls, drink: Drink, attempt: AttemptRecord, standard_drink_g: float) -> Self:
        """From the drink that a round planned, and an attempt at it: all of its pours together."""
        found = attempt.found_later
        held = attempt.delivered if found is None else attempt.delivered.plus(found)
        return cls(
            **HeldView.of(held, standard_drink_g).model_dump(),
            strength_known=drink.strength_known,
            sugar_known=drink.sugar_known,
            allergens=sorted(drink.allergens),
            allergens_unknown=list(drink.allergens_unknown),
            by_hand=any(isinstance(step, PlannedHand) and step.step.brings_liquid for step in drink.steps),
        )

    @classmethod
    def of_doses(cls, record: PourRecord, known: Mapping[str, Liquid], standard_drink_g: float) -> Self:
        """From the doses of a pour, with their strength as recorded, and its liquids as they are now."""
        liquids = {
            dose.liquid_id: replace(known[dose.liquid_id], abv_percent=dose.abv_percent)
            for dose in record.doses
            if dose.liquid_id in known
        }
        finals = ((dose, record.final_of(dose)) for dose in record.doses)
        poured = [
            DoseResult(dose.liquid_id, dose.target_g, final.mass_g)
            for dose, final in finals
            if final is not None
        ]
        held = outcome(liquids, poured)
        used = {dose.liquid_id for dose in poured}
        checked = {liquid_id: liquids[liquid_id].allergens for liquid_id in used & liquids.keys()}
        return cls(
            **HeldView.of(held.delivered, standard_drink_g).model_dump(),
            strength_known=held.strength_known,
            sugar_known=held.sugar_known,
            allergens=sorted({allergen for some in checked.values() for allergen in some or ()}),
            allergens_unknown=sorted(liquid_id for liquid_id in used if checked.get(liquid_id) is None),
            by_hand=False,
        )


class FoundLaterView(View):
    """What was found on the platform after the pour had ended, beyond what was known then."""

    at: datetime
    certainty: Literal["weighed", "doubtful", "unknown"] = Field(description="only a weighed mass counts")
    found_g: float | None = Field(description="in g, beyond `delivered_g`; null: unknown")
    dose: int | None = Field(description="the dose that it came from, from 0; null: none was under way")
    reason: str | None = Field(description="why it is not weighed")

    @classmethod
    def of(cls, found: FoundRecord) -> Self:
        """From the pour's record."""
        return cls(
            at=found.at,
            certainty=found.certainty.value,
            found_g=None if found.found_g is None else round(found.found_g, 2),
            dose=found.dose_index,
            reason=found.reason,
        )


def _state(record: PourRecord, progress: PourProgress | None) -> str:
    """The state; a pour that has ended counts as running until its outcome is on the disk."""
    if record.outcome is not None or progress is None:
        return record.state
    return "running" if progress.state in TABLE.terminal else procedural(progress.state)


class PourView(View):
    """A pour: intent, progress while it runs, outcome once it is over."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "id": "01959c44-7f7a-7000-8a52-0d7c4a1e93b1",
                    "state": "complete",
                    "machine_id": "interval-bar",
                    "created_at": "2031-03-14T19:42:10.120000Z",
                    "ended_at": "2031-03-14T19:42:31.480000Z",
                    "origin": "api",
                    "purpose": "drink",
                    "recipe": {
                        "recipe_id": "green-room-cooler",
                        "name": "Green Room Cooler",
                        "glass_id": "foyer-tumbler",
                        "serving_id": None,
                    },
                    "program_version": "0.1.0",
                    "cause": "target",
                    "target_g": 142.5,
                    "delivered_g": 142.8,
                    "uncertainty_g": 0.09,
                    "final_g": 142.86,
                    "final_uncertainty_g": 0.061,
                    "glass_g": 251.3,
                    "found_later": None,
                    "doses": [
                        {
                            "channel": 1,
                            "liquid_id": "house-water",
                            "liquid_name": "House Water",
                            "density_g_per_ml": 0.998,
                            "abv_percent": 0.0,
                            "target_g": 120.0,
                            "rescaled_g": None,
                            "tolerance_g": 2.7,
                            "delivered_g": 120.2,
                            "uncertainty_g": 0.084,
                            "final_g": 120.26,
                            "final_uncertainty_g": 0.052,
                            "error_g": 0.2,
                            "verdict": "within",
                            "cause": "target",
                            "jogs": 0,
                            "inflight_g": 3.1,
                            "peak_flow_g_per_s": 8.4,
                            "took_s": 16.9,
                            "cut_off_s": 14.2,
                        }
                    ],
                    "in_glass": {
                        "mass_g": 142.86,
                        "volume_ml": 141.1,
                        "strength_percent_vol": 0.0,
                        "ethanol_g": 0.0,
                        "standard_drinks": 0.0,
                        "sugar_g": 6.7,
                        "strength_known": True,
                        "sugar_known": True,
                        "allergens": [],
                        "allergens_unknown": [],
                        "by_hand": False,
                    },
                    "serving": None,
                    "steps": [
                        {"step": "taring", "from_s": -1.3, "to_s": 0.0, "dose": None, "cause": None},
                        {"step": "coarse_feed", "from_s": 0.0, "to_s": 13.1, "dose": 0, "cause": None},
                    ],
                    "journal": [
                        {
                            "seq": 412,
                            "kind": "pour_begun",
                            "at": "2031-03-14T19:42:10.120000Z",
                            "hash": "9f2c41d0a7e35b68c1f4d2907b6e8a35c0d9e1f2a3b4c5d6e7f8091a2b3c4d5e",
                        }
                    ],
                    "progress": None,
                    "alarms": [],
                    "links": {
                        "self": "/v1/pours/01959c44-7f7a-7000-8a52-0d7c4a1e93b1",
                        "trace": "/v1/pours/01959c44-7f7a-7000-8a52-0d7c4a1e93b1/trace",
                    },
                }
            ]
        }
    )

    id: str
    state: str = Field(
        description="procedural state while it runs, then complete, stopped, aborted or interrupted"
    )
    machine_id: str
    created_at: datetime
    ended_at: datetime | None
    origin: str
    purpose: str = Field(description="drink, prime, flush or purge")
    recipe: RecipeNoteView | None = Field(description="the recipe of the drink, if any")
    program_version: str
    cause: str | None = Field(description='"target", or the alarm or command that ended it')
    target_g: float
    delivered_g: float | None = Field(description="when it ended")
    uncertainty_g: float | None = Field(
        description="standard uncertainty of `delivered_g`; null: it was not at rest"
    )
    final_g: float | None = Field(description="with what dripped or was found afterwards")
    final_uncertainty_g: float | None = Field(description="standard uncertainty of `final_g`; null: unknown")
    glass_g: float | None
    found_later: FoundLaterView | None = Field(
        description="what was found in the glass after an abort or interruption"
    )
    doses: list[DoseView]
    progress: ProgressView | None
    alarms: list[AlarmEventView] | None = Field(description="all that it raised; null in lists")
    in_glass: InGlassView | None = Field(
        description="what the glass holds after a drink, of a round all of its pours; null: it is under way, "
        "or nobody knows, or in a list"
    )
    serving: ServingView | None = Field(description="the glass of a round that it serves")
    steps: list[TraceStepView] | None = Field(
        description="its states in order, with cut-offs, jogs and holds, as its trace has them; null in lists"
    )
    journal: list[SealView] | None = Field(description="entries that seal it; null in lists")
    links: dict[str, str]

    @classmethod
    def of(
        cls,
        record: PourRecord,
        progress: PourProgress | None = None,
        events: Sequence[StoredEvent] | None = None,
        steps: Sequence[StepSpan] | None = None,
        in_glass: InGlassView | None = None,
    ) -> Self:
        """From its record, its progress while it is under way, its events in the journal, its steps, and what
        its glass holds."""
        end, final = record.outcome, record.final
        link = f"/v1/pours/{record.id}"
        serving = None if record.recipe is None else serving_of(record.recipe.serving_id)
        running = None
        if progress is not None and end is None:
            running = ProgressView.of(progress, hold_of(events or ()))
        return cls(
            id=record.id,
            state=_state(record, progress),
            machine_id=record.machine_id,
            created_at=record.created_at,
            ended_at=None if end is None else end.ended_at,
            origin=record.origin,
            purpose=record.purpose,
            recipe=None if record.recipe is None else RecipeNoteView.of(record.recipe),
            program_version=record.program_version,
            cause=None if end is None else end.cause,
            target_g=round(record.target_g, 2),
            delivered_g=None if end is None or end.delivered_g is None else round(end.delivered_g, 2),
            uncertainty_g=None if end is None else _sure(end.uncertainty_g),
            final_g=None if final is None else round(final.mass_g, 2),
            final_uncertainty_g=None if final is None else _sure(final.uncertainty_g),
            glass_g=None if end is None or end.glass_g is None else round(end.glass_g, 2),
            found_later=None if record.found_later is None else FoundLaterView.of(record.found_later),
            doses=[DoseView.of(dose, record.final_of(dose)) for dose in record.doses],
            progress=running,
            alarms=None
            if events is None
            else [AlarmEventView.of(event) for event in events if event.kind == AlarmAct.RAISED],
            in_glass=in_glass,
            serving=None if serving is None else ServingView.of(serving, record.guest),
            steps=None if steps is None else [TraceStepView.of(step) for step in steps],
            journal=None
            if events is None
            else [SealView.of(event) for event in events if event.kind in SEALED],
            links={"self": link, "trace": f"{link}/trace"},
        )
