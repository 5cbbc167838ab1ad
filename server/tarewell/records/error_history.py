"""The errors of one channel with one liquid in order of time, what changed meanwhile, and what it learned."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from sqlalchemy import Text, func, select, type_coerce
from sqlalchemy.orm import Session

from tarewell.dosing.plan import Purpose
from tarewell.machine.needs import TUBE_CHANGED

from .channels import CHANNEL_ASSIGNED
from .engine import Database
from .shelf import BOTTLE_MOUNTED
from .statistics import ERROR_G, JUDGED, OUTCOME_OF_DOSE, DoseFilter, Period
from .tables import CalibrationRow, DoseOutcomeRow, DoseRow, EventRow, InFlightRow, PourRow


@dataclass(frozen=True, slots=True)
class JudgedDose:
    """A dose that ended at its target; `dose` counts from 0."""

    pour_id: str
    dose: int
    at: datetime
    target_g: float
    error_g: float
    verdict: str


class ChangeKind(StrEnum):
    """What changed about a channel or its scale."""

    BOTTLE = "bottle"
    LIQUID = "liquid"
    TUBE = "tube"
    CALIBRATION = "calibration"
    PRIME = "prime"
    FLUSH = "flush"
    PURGE = "purge"


@dataclass(frozen=True, slots=True)
class NamedChange:
    """A change, and to what: the id of the bottle or the liquid, or of the pour that did it."""

    at: datetime
    kind: ChangeKind
    what: str | None


@dataclass(frozen=True, slots=True)
class Lesson:
    """What a stop taught: the in-flight time in s with its spread, and the flow at full speed in g/s (None:
    not measured yet)."""

    at: datetime
    lag_s: float
    spread_s: float
    flow_g_per_s: float | None


@dataclass(frozen=True, slots=True)
class ErrorHistory:
    """All in order of time, over the same time: from the first of the doses on."""

    doses: tuple[JudgedDose, ...]
    changes: tuple[NamedChange, ...]
    learned: tuple[Lesson, ...]


class ErrorHistories:
    """The store's errors in order of time."""

    def __init__(self, database: Database) -> None:
        self._database = database

    async def of(self, channel: int, liquid_id: str, period: Period, limit: int) -> ErrorHistory:
        """The newest `limit` doses of the period."""
        asked = DoseFilter(period, channel, liquid_id)
        return await self._database.read(lambda session: _history(session, asked, limit))


def _history(session: Session, asked: DoseFilter, limit: int) -> ErrorHistory:
    target_g = func.coalesce(DoseOutcomeRow.target_g, DoseRow.target_g)
    verdict = type_coerce(DoseOutcomeRow.verdict, Text)
    query = (
        select(DoseRow.pour_id, DoseRow.dose_index, PourRow.created_at, target_g, ERROR_G, verdict)
        .join(PourRow, PourRow.id == DoseRow.pour_id)
        .join(DoseOutcomeRow, OUTCOME_OF_DOSE)
        .where(JUDGED, *asked.conditions)
        .order_by(DoseRow.pour_id.desc(), DoseRow.dose_index.desc())
        .limit(limit)
    )
    doses = tuple(JudgedDose(*row) for row in session.execute(query))[::-1]
    since = asked.period.since
    if doses and len(doses) == limit:
        since = doses[0].at
    period = Period(since, asked.period.until)
    changes = sorted(_changes(session, asked.channel, period), key=lambda change: change.at)
    return ErrorHistory(doses, tuple(changes), tuple(_learned(session, asked, period)))


def _changes(session: Session, channel: int | None, period: Period) -> Iterator[NamedChange]:
    number = func.json_extract(EventRow.body, "$.channel")
    changed = select(EventRow.at, EventRow.kind, func.json_extract(EventRow.body, "$.id")).where(
        EventRow.kind.in_((BOTTLE_MOUNTED, TUBE_CHANGED)), number == channel, *period.of(EventRow.at)
    )
    for at, kind, bottle_id in session.execute(changed):
        yield NamedChange(at, ChangeKind.BOTTLE if kind == BOTTLE_MOUNTED else ChangeKind.TUBE, bottle_id)
    yield from _liquids(session, channel, period)
    adjusted = select(CalibrationRow.at).where(CalibrationRow.how == "two_point")
    for (at,) in session.execute(adjusted.where(*period.of(CalibrationRow.at))):
        yield NamedChange(at, ChangeKind.CALIBRATION, None)
    runs = (
        select(PourRow.created_at, PourRow.purpose, PourRow.id)
        .join(DoseRow, DoseRow.pour_id == PourRow.id)
        .where(DoseRow.channel == channel, PourRow.purpose != Purpose.DRINK.value)
    )
    for at, purpose, pour_id in session.execute(runs.where(*period.conditions)):
        yield NamedChange(at, ChangeKind(purpose), pour_id)


def _liquids(session: Session, channel: int | None, period: Period) -> Iterator[NamedChange]:
    """Each assignment of another liquid than before; a new name of the channel is none."""
    number, liquid_id = (func.json_extract(EventRow.body, path) for path in ("$.number", "$.liquid_id"))
    assigned = select(EventRow.at, liquid_id).where(EventRow.kind == CHANNEL_ASSIGNED, number == channel)
    before: str | None = None
    for at, liquid in session.execute(assigned.order_by(EventRow.seq)):
        if liquid != before and period.holds(at):
            yield NamedChange(at, ChangeKind.LIQUID, liquid)
        before = liquid


def _learned(session: Session, asked: DoseFilter, period: Period) -> Iterator[Lesson]:
    stops = select(InFlightRow).where(
        InFlightRow.channel == asked.channel,
        InFlightRow.liquid_id == asked.liquid_id,
        *period.of(InFlightRow.at),
    )
    for row in session.scalars(stops.order_by(InFlightRow.id)):
        yield Lesson(row.at, row.lag_s, row.spread_s, row.flow_g_per_s or None)
