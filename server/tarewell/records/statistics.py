"""Sums over the history: doses and their errors, use and waste. SQL adds up, `charts` judges.

Errors are those of drinks whose doses ended at their target: one that somebody stopped says nothing about the
channel. A day is one of `local_days`.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Select, Subquery, case, func, literal, select, union_all
from sqlalchemy.orm import InstrumentedAttribute, Session

from tarewell.charts.control_chart import LIMIT_FACTOR, ControlLimits, control_limits
from tarewell.dosing.plan import Purpose
from tarewell.machine.pour_record import Certainty

from .engine import Database
from .local_days import local_day
from .pour_list import conditions_of, out_of_tolerance
from .tables import (
    DoseBalanceRow,
    DoseOutcomeRow,
    DoseRow,
    FoundLaterRow,
    LiquidRow,
    PourOutcomeRow,
    PourRow,
)
from .values import INTERRUPTED, PourQuery

Conditions = Sequence[ColumnElement[bool]]
Mass = ColumnElement[Any] | InstrumentedAttribute[Any]

_DRINK = PourRow.purpose == Purpose.DRINK.value
OUTCOME_OF_DOSE = (DoseOutcomeRow.pour_id == DoseRow.pour_id) & (
    DoseOutcomeRow.dose_index == DoseRow.dose_index
)
ERROR_G = DoseOutcomeRow.delivered_g - func.coalesce(DoseOutcomeRow.target_g, DoseRow.target_g)
JUDGED = _DRINK & DoseOutcomeRow.verdict.is_not(None) & (DoseOutcomeRow.cause == "target")


@dataclass(frozen=True, slots=True)
class Period:
    """From `since` on, before `until`; None: no limit."""

    since: datetime | None = None
    until: datetime | None = None

    def holds(self, at: datetime) -> bool:
        """Whether a time lies in it."""
        return (self.since is None or at >= self.since) and (self.until is None or at < self.until)

    def of(self, at: InstrumentedAttribute[datetime]) -> list[ColumnElement[bool]]:
        """The same as conditions on a column."""
        since, until = self.since, self.until
        return [*(() if since is None else (at >= since,)), *(() if until is None else (at < until,))]

    @property
    def conditions(self) -> list[ColumnElement[bool]]:
        """Of a pour that began in it."""
        return self.of(PourRow.created_at)


@dataclass(frozen=True, slots=True)
class DoseSums:
    """The doses of a day from a channel with a liquid: `within`, `under` and `over` their tolerance."""

    day: str
    channel: int
    liquid_id: str
    liquid_name: str
    doses: int
    delivered_g: float
    delivered_ml: float
    mean_error_g: float
    min_error_g: float
    max_error_g: float
    within: int
    under: int
    over: int


@dataclass(frozen=True, slots=True)
class ErrorSummary:
    """The errors of a channel with a liquid; `beyond` doses lie outside the limits (None: too few doses)."""

    channel: int
    liquid_id: str
    liquid_name: str
    doses: int
    mean_error_g: float
    limits: ControlLimits | None
    beyond: int


@dataclass(slots=True)
class Usage:
    """What became of a liquid on a day.

    `poured` is in drinks that were completed, `unfinished` in others; `found_later` was weighed after a drink
    had ended. `primed` and `purged` went into a cup, `spilt` beside the glass. A flush ran water or cleaner.
    """

    day: str
    liquid_id: str
    liquid_name: str
    poured_ml: float = 0.0
    unfinished_ml: float = 0.0
    found_later_ml: float = 0.0
    primed_ml: float = 0.0
    purged_ml: float = 0.0
    spilt_ml: float = 0.0
    flushed_g: float = 0.0


@dataclass(frozen=True, slots=True)
class PourSums:
    """Of some pours: how many, and of the drinks among them how much they hold, with what was found later,
    and how many have a dose out of its tolerance."""

    pours: int
    drinks: int
    delivered_g: float
    delivered_ml: float
    out_of_tolerance: int


@dataclass(frozen=True, slots=True)
class DoseFilter:
    """Doses of a period, from a channel or with a liquid; None: any."""

    period: Period = field(default_factory=Period)
    channel: int | None = None
    liquid_id: str | None = None

    @property
    def conditions(self) -> list[ColumnElement[bool]]:
        """Of a dose with its pour."""
        asked: list[ColumnElement[bool]] = []
        if self.channel is not None:
            asked.append(DoseRow.channel == self.channel)
        if self.liquid_id is not None:
            asked.append(DoseRow.liquid_id == self.liquid_id)
        return [*self.period.conditions, *asked]


class Statistics:
    """The store's sums."""

    def __init__(self, database: Database) -> None:
        self._database = database

    async def doses(self, asked: DoseFilter) -> list[DoseSums]:
        """By day, the newest first, channel and liquid."""
        return await self._database.read(lambda session: _dose_sums(session, asked.conditions))

    async def errors(self, asked: DoseFilter) -> list[ErrorSummary]:
        """By channel and liquid."""
        return await self._database.read(lambda session: _error_summaries(session, asked.conditions))

    async def usage(self, period: Period) -> list[Usage]:
        """By day, the newest first, and liquid."""
        return await self._database.read(lambda session: _usage(session, period.conditions))

    async def sums(self, query: PourQuery) -> PourSums:
        """Of the matching pours; limit and cursors are ignored."""
        return await self._database.read(lambda session: _pour_sums(session, conditions_of(query)))


def _errors_of_doses(conditions: Conditions) -> Select[Any]:
    """The error of each judged dose, and how far it is from that of the dose before."""
    order = (DoseRow.pour_id, DoseRow.dose_index)
    before_g = func.lag(ERROR_G).over(partition_by=(DoseRow.channel, DoseRow.liquid_id), order_by=order)
    return (
        select(
            DoseRow.channel,
            DoseRow.liquid_id,
            ERROR_G.label("error_g"),
            func.abs(ERROR_G - before_g).label("range_g"),
        )
        .join(PourRow, PourRow.id == DoseRow.pour_id)
        .join(DoseOutcomeRow, OUTCOME_OF_DOSE)
        .where(JUDGED, *conditions)
    )


def _error_summaries(session: Session, conditions: Conditions) -> list[ErrorSummary]:
    each = _errors_of_doses(conditions).cte("each")
    whole = (
        select(
            each.c.channel,
            each.c.liquid_id,
            func.count().label("doses"),
            func.avg(each.c.error_g).label("mean_g"),
            func.avg(each.c.range_g).label("range_g"),
        )
        .group_by(each.c.channel, each.c.liquid_id)
        .cte("whole")
    )
    away = func.abs(each.c.error_g - whole.c.mean_g) > LIMIT_FACTOR * whole.c.range_g
    query = (
        select(whole, LiquidRow.name, func.count().filter(away).label("beyond"))
        .join(each, (each.c.channel == whole.c.channel) & (each.c.liquid_id == whole.c.liquid_id))
        .join(LiquidRow, LiquidRow.id == whole.c.liquid_id)
        .group_by(whole.c.channel, whole.c.liquid_id)
        .order_by(whole.c.channel, whole.c.liquid_id)
    )
    found = []
    for row in session.execute(query):
        limits = control_limits(row.mean_g, row.range_g or 0.0, row.doses)
        beyond = 0 if limits is None else row.beyond
        found.append(
            ErrorSummary(row.channel, row.liquid_id, row.name, row.doses, row.mean_g, limits, beyond)
        )
    return found


def _dose_sums(session: Session, conditions: Conditions) -> list[DoseSums]:
    day = local_day(PourRow.created_at).label("day")
    verdict = DoseOutcomeRow.verdict
    query = (
        select(
            day,
            DoseRow.channel,
            DoseRow.liquid_id,
            LiquidRow.name,
            func.count(),
            func.sum(DoseOutcomeRow.delivered_g),
            func.sum(DoseOutcomeRow.delivered_g / DoseRow.density_g_per_ml),
            func.avg(ERROR_G),
            func.min(ERROR_G),
            func.max(ERROR_G),
            *(func.count().filter(verdict == name) for name in ("within", "under", "over")),
        )
        .join(PourRow, PourRow.id == DoseRow.pour_id)
        .join(DoseOutcomeRow, OUTCOME_OF_DOSE)
        .join(LiquidRow, LiquidRow.id == DoseRow.liquid_id)
        .where(JUDGED, *conditions)
        .group_by(day, DoseRow.channel, DoseRow.liquid_id)
        .order_by(day.desc(), DoseRow.channel, DoseRow.liquid_id)
    )
    return [DoseSums(*row) for row in session.execute(query)]


def _usage(session: Session, conditions: Conditions) -> list[Usage]:
    parts = _parts(conditions)
    query = (
        select(
            parts.c.day,
            parts.c.liquid_id,
            LiquidRow.name,
            parts.c.what,
            func.sum(parts.c.mass_g),
            func.sum(parts.c.volume_ml),
        )
        .join(LiquidRow, LiquidRow.id == parts.c.liquid_id)
        .group_by(parts.c.day, parts.c.liquid_id, parts.c.what)
        .order_by(parts.c.day.desc(), LiquidRow.name, parts.c.liquid_id)
    )
    found: dict[tuple[str, str], Usage] = {}
    for day, liquid_id, name, what, mass_g, volume_ml in session.execute(query):
        usage = found.setdefault((day, liquid_id), Usage(day, liquid_id, name))
        if what == "flushed":
            usage.flushed_g = mass_g
        else:
            setattr(usage, f"{what}_ml", volume_ml)
    return list(found.values())


def _pour_sums(session: Session, conditions: Conditions) -> PourSums:
    pours, drinks = session.execute(
        select(func.count(), func.count().filter(_DRINK)).select_from(PourRow).where(*conditions)
    ).one()
    parts = _parts([_DRINK, *conditions])
    delivered_g, delivered_ml = session.execute(
        select(
            func.coalesce(func.sum(parts.c.mass_g), 0.0), func.coalesce(func.sum(parts.c.volume_ml), 0.0)
        ).where(parts.c.what != "spilt")
    ).one()
    missed = select(func.count()).select_from(PourRow).where(*conditions, out_of_tolerance())
    return PourSums(pours, drinks, delivered_g, delivered_ml, session.scalar(missed) or 0)


def _parts(conditions: Conditions) -> Subquery:
    """Each mass that the doses of the matching pours moved, with its day, its liquid and what it was."""
    what = case(
        (_DRINK & (PourOutcomeRow.state == "complete"), "poured"),
        (_DRINK, "unfinished"),
        (PourRow.purpose == Purpose.PRIME.value, "primed"),
        (PourRow.purpose == Purpose.PURGE.value, "purged"),
        else_="flushed",
    )
    ended = _part(what, DoseOutcomeRow.delivered_g, conditions)
    found = _part(literal("found_later"), FoundLaterRow.found_g, [_DRINK, *conditions])
    spilt = _part(literal("spilt"), DoseBalanceRow.spilt_g, conditions)
    return union_all(
        ended.join(DoseOutcomeRow, OUTCOME_OF_DOSE),
        _cut_short(what, conditions),
        found.join(
            FoundLaterRow,
            (FoundLaterRow.pour_id == DoseRow.pour_id) & (FoundLaterRow.dose_index == DoseRow.dose_index),
        ).where(FoundLaterRow.certainty == Certainty.WEIGHED.value),
        spilt.join(
            DoseBalanceRow,
            (DoseBalanceRow.pour_id == DoseRow.pour_id) & (DoseBalanceRow.dose_index == DoseRow.dose_index),
        ).where(DoseBalanceRow.spilt_g != 0),
    ).subquery("parts")


def _part(what: ColumnElement[str], mass_g: Mass, conditions: Conditions) -> Select[Any]:
    return (
        select(
            local_day(PourRow.created_at).label("day"),
            DoseRow.liquid_id.label("liquid_id"),
            what.label("what"),
            mass_g.label("mass_g"),
            (mass_g / DoseRow.density_g_per_ml).label("volume_ml"),
        )
        .select_from(PourRow)
        .join(DoseRow, DoseRow.pour_id == PourRow.id)
        .join(PourOutcomeRow, PourOutcomeRow.pour_id == PourRow.id)
        .where(*conditions)
    )


def _cut_short(what: ColumnElement[str], conditions: Conditions) -> Select[Any]:
    """What an interrupted pour had delivered beyond the doses that ended: it came from the next one."""
    of_pour = DoseOutcomeRow.pour_id == PourRow.id
    count = select(func.count()).select_from(DoseOutcomeRow).where(of_pour).correlate(PourRow)
    ended_g = (
        select(func.coalesce(func.sum(DoseOutcomeRow.delivered_g), 0.0)).where(of_pour).correlate(PourRow)
    )
    rest_g = PourOutcomeRow.delivered_g - ended_g.scalar_subquery()
    return _part(what, rest_g, conditions).where(
        PourOutcomeRow.state == INTERRUPTED, DoseRow.dose_index == count.scalar_subquery(), rest_g > 0
    )
