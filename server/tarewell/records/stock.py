"""The ledger of the bottles within a transaction: contents as sums, movements as new rows."""

from collections.abc import Iterable, Mapping, Sequence

from sqlalchemy import func, insert, select
from sqlalchemy.orm import Session

from tarewell.dosing.events import DoseEnded
from tarewell.dosing.plan import SMALLEST_DOSE_G
from tarewell.menu.ledger import Moved, drawn
from tarewell.menu.values import Movement

from .chain import STOCK_MOVED
from .tables import BottleRow, DoseRow, StockMovementRow
from .transaction import Transaction

_DIGITS = 6
"""Masses are stored to a millionth of a gram, so that a sum returns the number that was written."""

_KINDS = {"drink": Movement.POUR, "prime": Movement.PRIME, "purge": Movement.PURGE}
"""The movements from the mounted bottle, by the pour's purpose. A flush runs something else."""


def contents(session: Session, bottle_ids: Sequence[str] | None = None) -> dict[str, float]:
    """The contents of these bottles (None: of all) in g, by id."""
    movement = StockMovementRow
    query = select(movement.bottle_id, func.sum(movement.change_g)).group_by(movement.bottle_id)
    if bottle_ids is not None:
        query = query.where(movement.bottle_id.in_(bottle_ids))
    return {bottle_id: round(content_g, _DIGITS) for bottle_id, content_g in session.execute(query)}


def move(transaction: Transaction, bottle_id: str, moved: Moved) -> None:
    """Append a movement outside a pour, and the event that seals it."""
    _append(transaction, {"bottle_id": bottle_id, **_figures(moved)})


def draw(
    transaction: Transaction,
    pour_id: str,
    purpose: str,
    delivered_g: float | None,
    ended: Iterable[DoseEnded],
) -> list[dict[str, object]]:
    """Draw a pour's delivery from the mounted bottles; returns the movements, for the event that seals them.

    What was drawn before stays with the bottle that it came from. A bottle that was changed meanwhile and
    does not hold the dose's liquid is left alone.
    """
    lines = _not_yet_drawn(transaction.session, pour_id, purpose, delivered_g, ended)
    if lines:
        fixed = {"machine_id": transaction.machine_id, "at": transaction.at, "pour_id": pour_id}
        transaction.session.execute(insert(StockMovementRow), [{**line, **fixed} for line in lines])
    return lines


def draw_from(
    transaction: Transaction,
    bottle_id: str,
    pour_id: str,
    purpose: str,
    delivered_g: float | None,
    ended: Iterable[DoseEnded],
) -> None:
    """Draw from one mounted bottle what a pour under way has had from it, each movement with its event."""
    for line in _not_yet_drawn(transaction.session, pour_id, purpose, delivered_g, ended):
        if line["bottle_id"] == bottle_id:
            _append(transaction, line, pour_id)


def draw_found(
    transaction: Transaction, pour_id: str, dose_index: int, purpose: str, found_g: float
) -> list[dict[str, object]]:
    """Draw what was found after a pour from the bottle that gave its dose, or is mounted for it; returns the
    movements, for the event that seals them."""
    if purpose not in _KINDS:
        return []
    last = (
        select(StockMovementRow.bottle_id)
        .where(StockMovementRow.pour_id == pour_id, StockMovementRow.dose_index == dose_index)
        .order_by(StockMovementRow.id.desc())
        .limit(1)
    )
    bottle_id = transaction.session.scalar(last)
    if bottle_id is None:
        bottle_id = _mounted(transaction.session, pour_id).get(dose_index)
    figures = _figures(Moved(Movement.FOUND, -found_g))
    if bottle_id is None or not figures["change_g"]:
        return []
    line = {"bottle_id": bottle_id, **figures, "dose_index": dose_index}
    fixed = {"machine_id": transaction.machine_id, "at": transaction.at, "pour_id": pour_id}
    transaction.session.execute(insert(StockMovementRow).values(**line, **fixed))
    return [line]


def _append(transaction: Transaction, line: Mapping[str, object], pour_id: str | None = None) -> None:
    statement = insert(StockMovementRow).values(
        machine_id=transaction.machine_id, at=transaction.at, pour_id=pour_id, **line
    )
    key = (transaction.session.execute(statement.returning(StockMovementRow.id))).scalar_one()
    transaction.append_sealed(STOCK_MOVED, {**line, "movement_id": key}, key, pour_id)


def _figures(moved: Moved) -> dict[str, object]:
    return {"kind": moved.kind.value, "change_g": round(moved.change_g, _DIGITS)}


def _not_yet_drawn(
    session: Session, pour_id: str, purpose: str, delivered_g: float | None, ended: Iterable[DoseEnded]
) -> list[dict[str, object]]:
    """The movements that are missing, from the bottles that are mounted now."""
    kind = _KINDS.get(purpose)
    if kind is None:
        return []
    bottles = _mounted(session, pour_id)
    doses = session.scalar(select(func.count()).where(DoseRow.pour_id == pour_id)) or 0
    masses_g = _masses({dose.index: dose.delivered_g for dose in ended}, doses, delivered_g)
    drawn_g = _drawn_before(session, pour_id)
    lines: list[dict[str, object]] = [
        {
            "bottle_id": bottles[index],
            **_figures(drawn(kind, mass_g - drawn_g.get(index, 0.0))),
            "dose_index": index,
        }
        for index, mass_g in masses_g.items()
        if index in bottles
    ]
    return [line for line in lines if line["change_g"]]


def _mounted(session: Session, pour_id: str) -> dict[int, str]:
    """The bottle that is mounted now for each dose."""
    query = (
        select(DoseRow.dose_index, BottleRow.id)
        .join(BottleRow, (BottleRow.channel == DoseRow.channel) & (BottleRow.liquid_id == DoseRow.liquid_id))
        .where(DoseRow.pour_id == pour_id)
    )
    return {row.dose_index: row.id for row in session.execute(query)}


def _drawn_before(session: Session, pour_id: str) -> dict[int, float]:
    """What swaps have drawn already for each dose in g."""
    movement = StockMovementRow
    drawn_g = (-func.sum(movement.change_g)).label("drawn_g")
    query = select(movement.dose_index, drawn_g).where(movement.pour_id == pour_id)
    rows = session.execute(query.group_by(movement.dose_index))
    return {row.dose_index: row.drawn_g for row in rows}


def _masses(ended: Mapping[int, float], doses: int, delivered_g: float | None) -> dict[int, float]:
    """The mass that each dose delivered in g.

    Mass beyond the doses that ended came from the first that did not. Less than the smallest dose counts as
    drips and drift.
    """
    masses = dict(ended)
    if delivered_g is not None:
        under_way = next((index for index in range(doses) if index not in ended), None)
        rest_g = delivered_g - sum(ended.values())
        if under_way is not None and rest_g >= SMALLEST_DOSE_G:
            masses[under_way] = rest_g
    return masses
