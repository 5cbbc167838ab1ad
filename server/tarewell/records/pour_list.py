"""The history in pages: by keys, so that new pours neither repeat nor hide a row."""

from datetime import datetime, timedelta

from sqlalchemy import ColumnElement, Text, cast, func, select
from sqlalchemy.orm import Session

from tarewell.dosing.plan import Purpose
from tarewell.dosing.tolerance import Verdict
from tarewell.machine.alarms import AlarmAct
from tarewell.machine.pour_record import OPEN
from tarewell.menu.outlook import WINDOW_S, DrawnLately

from .pour_rows import load_records
from .round_tables import RoundGlassRow
from .tables import DoseOutcomeRow, DoseRow, EventRow, PourOutcomeRow, PourRow
from .values import PourPage, PourQuery

ID_LENGTH = 36
"""Characters of a round's id at the beginning of a serving's."""


def list_pours(session: Session, query: PourQuery) -> PourPage:
    """The matching pours, newest first; ids sort in the order of beginning."""
    conditions = conditions_of(query)
    upward = query.after is not None
    found = select(PourRow).where(*conditions).limit(query.limit)
    if query.before is not None:
        found = found.where(PourRow.id < query.before)
    if query.after is not None:
        found = found.where(PourRow.id > query.after)
    rows = list(session.scalars(found.order_by(PourRow.id if upward else PourRow.id.desc())))
    if upward:
        rows.reverse()
    if not rows:
        return PourPage((), None, None)
    newest, oldest = rows[0].id, rows[-1].id
    return PourPage(
        pours=tuple(load_records(session, rows)),
        older=oldest if _any(session, [*conditions, PourRow.id < oldest]) else None,
        newer=newest if _any(session, [*conditions, PourRow.id > newest]) else None,
    )


def conditions_of(query: PourQuery) -> list[ColumnElement[bool]]:
    """What a pour must be like to match, whatever the limit and the cursors."""
    conditions: list[ColumnElement[bool]] = []
    if query.since is not None:
        conditions.append(PourRow.created_at >= query.since)
    if query.until is not None:
        conditions.append(PourRow.created_at < query.until)
    if query.channel is not None:
        doses = select(DoseRow.pour_id).where(DoseRow.pour_id == PourRow.id, DoseRow.channel == query.channel)
        conditions.append(doses.correlate(PourRow).exists())
    if query.state is not None:
        outcome = select(PourOutcomeRow.pour_id).where(PourOutcomeRow.pour_id == PourRow.id)
        if query.state == OPEN:
            conditions.append(~outcome.correlate(PourRow).exists())
        else:
            conditions.append(outcome.where(PourOutcomeRow.state == query.state).correlate(PourRow).exists())
    if query.recipe_id is not None:
        conditions.append(func.json_extract(PourRow.recipe, "$.recipe_id") == query.recipe_id)
    if query.guest is not None:
        conditions.append(_for_guest(query.guest))
    for wanted, condition in ((query.alarm, _with_alarm()), (query.out_of_tolerance, out_of_tolerance())):
        if wanted is not None:
            conditions.append(condition if wanted else ~condition)
    return conditions


def out_of_tolerance() -> ColumnElement[bool]:
    """A dose of the pour missed its tolerance."""
    missed = select(DoseOutcomeRow.pour_id).where(
        DoseOutcomeRow.pour_id == PourRow.id, DoseOutcomeRow.verdict.in_((Verdict.UNDER, Verdict.OVER))
    )
    return missed.correlate(PourRow).exists()


def _with_alarm() -> ColumnElement[bool]:
    raised = select(EventRow.seq).where(
        EventRow.pour_id == PourRow.id, EventRow.kind == AlarmAct.RAISED.value
    )
    return raised.correlate(PourRow).exists()


def _for_guest(guest: str) -> ColumnElement[bool]:
    """The pour serves a glass of a round that was for this guest."""
    serving_id = func.json_extract(PourRow.recipe, "$.serving_id")
    of_glass = RoundGlassRow.round_id + "/" + cast(RoundGlassRow.glass_index, Text) + "/"
    glass = select(RoundGlassRow.round_id).where(
        RoundGlassRow.round_id == func.substr(serving_id, 1, ID_LENGTH),
        RoundGlassRow.guest == guest,
        func.substr(serving_id, 1, func.length(of_glass)) == of_glass,
    )
    return glass.correlate(PourRow).exists()


def _any(session: Session, conditions: list[ColumnElement[bool]]) -> bool:
    return session.scalar(select(PourRow.id).where(*conditions).limit(1)) is not None


def drawn_lately(session: Session, now: datetime) -> DrawnLately:
    """What the drinks begun within `WINDOW_S` before `now` have had from each channel."""
    end = DoseOutcomeRow
    query = (
        select(DoseRow.channel, func.sum(end.delivered_g), func.min(PourRow.id))
        .join(PourRow, PourRow.id == DoseRow.pour_id)
        .join(end, (end.pour_id == DoseRow.pour_id) & (end.dose_index == DoseRow.dose_index))
        .where(PourRow.created_at > now - timedelta(seconds=WINDOW_S), PourRow.purpose == Purpose.DRINK.value)
        .group_by(DoseRow.channel)
    )
    rows = list(session.execute(query))
    if not rows:
        return DrawnLately({})
    began = session.scalar(select(PourRow.created_at).where(PourRow.id == min(row[2] for row in rows)))
    return DrawnLately({row[0]: row[1] for row in rows}, (now - (began or now)).total_seconds())
