"""The history in pages: by keys, so that new pours neither repeat nor hide a row."""

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import Session

from .pour_rows import load_records
from .tables import DoseRow, PourOutcomeRow, PourRow
from .values import OPEN, PourPage, PourQuery


def list_pours(session: Session, query: PourQuery) -> PourPage:
    """The matching pours, newest first; ids sort in the order of beginning."""
    conditions = _conditions(query)
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


def _conditions(query: PourQuery) -> list[ColumnElement[bool]]:
    conditions: list[ColumnElement[bool]] = []
    if query.since is not None:
        conditions.append(PourRow.created_at >= query.since)
    if query.until is not None:
        conditions.append(PourRow.created_at < query.until)
    if query.channel is not None:
        doses = select(DoseRow.pour_id).where(DoseRow.pour_id == PourRow.id, DoseRow.channel == query.channel)
        conditions.append(doses.exists())
    if query.state is not None:
        outcome = select(PourOutcomeRow.pour_id).where(PourOutcomeRow.pour_id == PourRow.id)
        if query.state == OPEN:
            conditions.append(~outcome.exists())
        else:
            conditions.append(outcome.where(PourOutcomeRow.state == query.state).exists())
    return conditions


def _any(session: Session, conditions: list[ColumnElement[bool]]) -> bool:
    return session.scalar(select(PourRow.id).where(*conditions).limit(1)) is not None
