"""Pours: requests, progress and records."""

from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime
from typing import Literal, Self

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, model_validator

from tarewell.dosing.pour import PourProgress
from tarewell.dosing.states import TABLE, procedural
from tarewell.records.values import (
    MAX_PAGE,
    DoseRecord,
    FoundRecord,
    PourQuery,
    PourRecord,
    RecipeNote,
    StoredEvent,
)

from . import Body, View
from .alarms import AlarmEventView, AlarmView


class DoseBody(Body):
    """One channel's share: exactly one of `amount_g` and `amount_ml`."""

    channel: int = Field(ge=1, le=255)
    amount_g: float | None = Field(default=None, gt=0, description="mass in g")
    amount_ml: float | None = Field(
        default=None,
        gt=0,
        description="volume in ml, converted to mass by the density of the channel's liquid",
    )

    @model_validator(mode="after")
    def _one_amount(self) -> Self:
        if (self.amount_g is None) == (self.amount_ml is None):
            raise ValueError("give exactly one of amount_g and amount_ml")
        return self


class PourBody(Body):
    """A pour: doses in order. `glass_holds_ml` guards against overfilling."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "doses": [{"channel": 1, "amount_g": 120}, {"channel": 4, "amount_ml": 20}],
                    "glass_holds_ml": 300,
                },
                {"doses": [{"channel": 2, "amount_ml": 30}, {"channel": 5, "amount_g": 90}]},
            ]
        }
    )

    doses: list[DoseBody] = Field(min_length=1, max_length=32)
    glass_holds_ml: float | None = Field(default=None, gt=0, description="what the glass holds, in ml")
    onto_contents: bool | None = Field(
        default=None, description="pour on top of what was poured last and is still on the platform"
    )


class PourFilter(BaseModel):
    """Filters for the list of pours, newest first."""

    model_config = ConfigDict(extra="forbid")

    since: AwareDatetime | None = Field(default=None, description="begun at or after, RFC 3339 with zone")
    until: AwareDatetime | None = Field(default=None, description="begun before, RFC 3339 with zone")
    state: Literal["open", "complete", "stopped", "aborted", "interrupted"] | None = None
    channel: int | None = Field(default=None, ge=1, description="with a dose from this channel")
    limit: int = Field(default=50, ge=1, le=MAX_PAGE)
    before: str | None = Field(default=None, description="cursor of a next link")
    after: str | None = Field(default=None, description="cursor of a prev link")

    @model_validator(mode="after")
    def _one_cursor(self) -> Self:
        if self.before is not None and self.after is not None:
            raise ValueError("give before or after, not both; follow the Link header as it is")
        return self

    def query(self) -> PourQuery:
        """The filter as a query of the store."""
        return PourQuery(**self.model_dump())


class ProgressView(View):
    """A pour under way. `step` is the step within `state`; `delivered_g` has one entry per dose begun."""

    state: str = Field(description="procedural state of ISA-88")
    step: str
    dose: int | None
    delivered_g: list[float]
    glass_g: float | None
    alarm: AlarmView | None

    @classmethod
    def of(cls, progress: PourProgress) -> Self:
        """From the pour's progress."""
        return cls(
            state=procedural(progress.state),
            step=progress.state,
            dose=progress.dose,
            delivered_g=[round(mass_g, 2) for mass_g in progress.delivered_g],
            glass_g=None if progress.glass_g is None else round(progress.glass_g, 2),
            alarm=None if progress.alarm is None else AlarmView.of(progress.alarm),
        )


class DoseView(View):
    """A dose: its target, and how it ended (null while it has not). Masses in g, times in s.

    `rescaled_g` is the target after an earlier dose had missed (null: unchanged).
    `verdict` compares with the tolerance of OIML R 61: within, under, over; null for a prime, flush or purge.
    """

    channel: int
    liquid_id: str
    liquid_name: str
    density_g_per_ml: float
    abv_percent: float | None
    target_g: float
    rescaled_g: float | None
    delivered_g: float | None
    error_g: float | None = Field(description="delivered minus final target")
    verdict: str | None
    cause: str | None
    jogs: int | None
    inflight_g: float | None
    peak_flow_g_per_s: float | None
    took_s: float | None

    @classmethod
    def of(cls, dose: DoseRecord) -> Self:
        """From the dose's record."""
        end = dose.outcome
        return cls(
            channel=dose.channel,
            liquid_id=dose.liquid_id,
            liquid_name=dose.liquid_name,
            density_g_per_ml=dose.density_g_per_ml,
            abv_percent=dose.abv_percent,
            target_g=round(dose.target_g, 2),
            rescaled_g=None if end is None or end.target_g is None else round(end.target_g, 2),
            delivered_g=None if end is None else round(end.delivered_g, 2),
            error_g=None if end is None else round(end.delivered_g - dose.poured_to_g, 2),
            verdict=None if end is None else end.verdict,
            cause=None if end is None else end.cause,
            jogs=None if end is None else end.jogs,
            inflight_g=None if end is None else round(end.inflight_g, 2),
            peak_flow_g_per_s=None if end is None else round(end.peak_flow_g_per_s, 2),
            took_s=None if end is None else round(end.ended_s - end.began_s, 2),
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
                            "delivered_g": 120.2,
                            "error_g": 0.2,
                            "verdict": "within",
                            "cause": "target",
                            "jogs": 0,
                            "inflight_g": 3.1,
                            "peak_flow_g_per_s": 8.4,
                            "took_s": 16.9,
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
    delivered_g: float | None
    glass_g: float | None
    found_later: FoundLaterView | None = Field(
        description="what was found in the glass after an abort or interruption"
    )
    doses: list[DoseView]
    progress: ProgressView | None
    alarms: list[AlarmEventView] | None = Field(description="all that it raised; null in lists")
    links: dict[str, str]

    @classmethod
    def of(
        cls,
        record: PourRecord,
        progress: PourProgress | None = None,
        alarms: Sequence[StoredEvent] | None = None,
    ) -> Self:
        """From its record, its progress while it is under way, and its alarms in the journal."""
        end = record.outcome
        link = f"/v1/pours/{record.id}"
        running = None if progress is None or end is not None else ProgressView.of(progress)
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
            glass_g=None if end is None or end.glass_g is None else round(end.glass_g, 2),
            found_later=None if record.found_later is None else FoundLaterView.of(record.found_later),
            doses=[DoseView.of(dose) for dose in record.doses],
            progress=running,
            alarms=None if alarms is None else [AlarmEventView.of(event) for event in alarms],
            links={"self": link, "trace": f"{link}/trace"},
        )
