"""The changes of a pour, each one transaction: the intent, the trace as it grows, the outcome."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from typing import Any

from sqlalchemy import func, insert, select
from sqlalchemy.orm import Session

from tarewell.dosing.events import Balanced, DoseEnded, PourEnded, Tared
from tarewell.dosing.plan import PlanError, check_plan
from tarewell.dosing.traces import TraceEntry, TraceError, decode, encode
from tarewell.machine.pour_record import NewPour, PourRecord
from tarewell.menu.readiness import check_ready
from tarewell.menu.values import Liquid
from tarewell.orders.states import OrderEventKind
from tarewell.rounds.serving import serving_of

from .chain import POUR_BEGUN, POUR_ENDED, POUR_INTERRUPTED
from .channels import all_channels, pour_from
from .errors import PourOverError, UnknownRecordError
from .idempotency import earlier_id, require_both
from .order_changes import tell_order
from .pour_rows import dose_outcome_values, dose_values, load_records, recipe_text, setup_text
from .set_up import LIQUIDS
from .stock import draw, draw_from
from .tables import DoseBalanceRow, DoseOutcomeRow, DoseRow, PourOutcomeRow, PourRow, TraceChunkRow
from .transaction import Transaction
from .values import INTERRUPTED

PROGRAM_ENDED = "program_ended"
"""Cause of an interrupted pour: the program or the computer ended before the pour."""


def begin_pour(transaction: Transaction, new: NewPour) -> PourRecord:
    """Commit the intent of a pour. Only then may a pump turn, and not if `replayed` is set.

    With an idempotency key that was used before, the earlier pour is returned, marked `replayed`.

    Raises:
        IdempotencyConflict: that key came with another fingerprint.
        PlanError: the plan does not match the channels' present liquids, or a channel needs something else
            first.
        ValueError: a key without a fingerprint.
    """
    require_both(new.idempotency_key, new.fingerprint)
    session = transaction.session
    earlier = earlier_pour(session, new.idempotency_key, new.fingerprint)
    if earlier is not None:
        return earlier
    liquids = _poured_liquids(session, new)
    pour_id = transaction.new_id()
    session.execute(insert(PourRow).values(_pour_values(pour_id, transaction, new)))
    doses = dose_values(new.setup.plan.doses, liquids)
    fixed = {"pour_id": pour_id, "machine_id": transaction.machine_id}
    session.execute(
        insert(DoseRow), [{**dose, **fixed, "dose_index": index} for index, dose in enumerate(doses)]
    )
    body = {
        "origin": new.origin,
        "purpose": new.purpose,
        "recipe": None if new.recipe is None else asdict(new.recipe),
        "doses": doses,
    }
    transaction.append_sealed(POUR_BEGUN, body, pour_id, pour_id)
    serving = serving_of(None if new.recipe is None else new.recipe.serving_id)
    if serving is not None:
        tell_order(transaction, serving.round_id, serving.glass, OrderEventKind.POUR_BEGUN)
    return pour_record(session, pour_id)


def _poured_liquids(session: Session, new: NewPour) -> dict[str, Liquid]:
    """All liquids, after checking that the plan's channels are assigned those of its doses, and may pour.

    Raises:
        PlanError: they are not, or may not.
    """
    plan, rating = new.setup.plan, new.setup.rating
    assigned = {
        channel.number: channel.liquid_id
        for channel in all_channels(session)
        if channel.liquid_id is not None
        and (new.board_channels is None or channel.number <= new.board_channels)
    }
    check_plan(plan, frozenset(assigned), rating.max_g)
    liquids = {liquid.id: liquid for liquid in LIQUIDS.all(session, retired=True)}
    for index, dose in enumerate(plan.doses):
        if assigned[dose.channel] != dose.liquid_id:
            raise PlanError(
                f"channel {dose.channel} holds {assigned[dose.channel]}, not {dose.liquid_id}; "
                "plan the drink again, or assign the liquid to the channel",
                index,
            )
        if dose.liquid_id not in liquids or not liquids[dose.liquid_id].active:
            raise PlanError(f"there is no liquid {dose.liquid_id} in use; add it first", index)
    check_ready(plan, new.tubes, liquids)
    return liquids


def _pour_values(pour_id: str, transaction: Transaction, new: NewPour) -> dict[str, Any]:
    return {
        "id": pour_id,
        "machine_id": transaction.machine_id,
        "created_at": transaction.at,
        "idempotency_key": new.idempotency_key,
        "fingerprint": new.fingerprint,
        "setup": setup_text(new.setup),
        "origin": new.origin,
        "program_version": transaction.author.program_version,
        "board_id": new.board_id,
        "board_firmware": new.board_firmware,
        "purpose": new.purpose,
        "recipe": recipe_text(new.recipe),
    }


def append_trace(
    transaction: Transaction, pour_id: str, entries: Sequence[TraceEntry], last_delivered_g: float | None
) -> None:
    """Commit the trace since the last chunk, with the mass delivered so far in g.

    Raises:
        UnknownRecordError: there is no such pour.
        PourOverError: it has ended.
        TraceError: an entry that cannot be stored.
    """
    require_open_pour(transaction.session, pour_id)
    _add_chunk(transaction, pour_id, entries, last_delivered_g)


def finish_pour(
    transaction: Transaction,
    pour_id: str,
    ended: PourEnded,
    doses: Sequence[DoseEnded],
    glass_g: float | None,
    entries: Sequence[TraceEntry] = (),
) -> PourRecord:
    """Commit the outcome, its doses' outcomes and the rest of the trace together.

    What each dose delivered, and was not drawn at a swap, is drawn from the bottle mounted now.

    Raises:
        UnknownRecordError: there is no such pour, or a dose that it does not have.
        ValueError: a figure that is not a number.
        PourOverError: it has ended before.
        TraceError: an entry that cannot be kept.
    """
    pour = require_open_pour(transaction.session, pour_id)
    if entries:
        _add_chunk(transaction, pour_id, entries, ended.delivered_g)
    outcome = {
        "ended_at": transaction.at,
        "state": ended.state,
        "cause": ended.cause,
        "delivered_g": ended.delivered_g,
        "glass_g": glass_g,
        "uncertainty_g": ended.uncertainty_g,
    }
    _add_outcome(transaction, POUR_ENDED, pour, outcome, doses)
    return pour_record(transaction.session, pour_id)


def earlier_pour(session: Session, key: str | None, fingerprint: str | None) -> PourRecord | None:
    """The pour that this key began, marked `replayed`; None if the key was never used.

    Raises:
        IdempotencyConflict: the key came with another fingerprint.
    """
    found = earlier_id(session, PourRow, key, fingerprint, "pour")
    return None if found is None else replace(pour_record(session, found), replayed=True)


def require_pour(session: Session, pour_id: str) -> PourRow:
    row = session.get(PourRow, pour_id)
    if row is None:
        raise UnknownRecordError(f"there is no pour {pour_id}; take an id from the list of pours")
    return row


def require_open_pour(session: Session, pour_id: str) -> PourRow:
    pour = require_pour(session, pour_id)
    outcome = session.get(PourOutcomeRow, pour_id)
    if outcome is not None:
        raise PourOverError(f"pour {pour_id} has ended, {outcome.state}; history is never changed")
    return pour


def pour_record(session: Session, pour_id: str) -> PourRecord:
    (record,) = load_records(session, [require_pour(session, pour_id)])
    return record


def trace_chunks(session: Session, pour_id: str) -> list[TraceChunkRow]:
    query = select(TraceChunkRow).where(TraceChunkRow.pour_id == pour_id).order_by(TraceChunkRow.number)
    return list(session.scalars(query))


def _add_chunk(
    transaction: Transaction, pour_id: str, entries: Sequence[TraceEntry], last_delivered_g: float | None
) -> None:
    query = select(func.count()).where(TraceChunkRow.pour_id == pour_id)
    number = transaction.session.scalar(query)
    transaction.session.execute(
        insert(TraceChunkRow).values(
            pour_id=pour_id,
            number=number,
            machine_id=transaction.machine_id,
            at=transaction.at,
            entries=len(entries),
            last_delivered_g=last_delivered_g,
            data=encode(entries),
        )
    )
    fixed = {"pour_id": pour_id, "machine_id": transaction.machine_id}
    balances = [asdict(entry.item) for entry in entries if isinstance(entry.item, Balanced)]
    if balances:
        rows = [{**fixed, "dose_index": balance.pop("index"), **balance} for balance in balances]
        transaction.session.execute(insert(DoseBalanceRow), rows)


def _add_outcome(
    transaction: Transaction, kind: str, pour: PourRow, outcome: dict[str, Any], doses: Sequence[DoseEnded]
) -> None:
    session, machine_id, pour_id = transaction.session, transaction.machine_id, pour.id
    known = set(session.scalars(select(DoseRow.dose_index).where(DoseRow.pour_id == pour_id)))
    if strangers := {dose.index for dose in doses} - known:
        raise UnknownRecordError(
            f"pour {pour_id} has the doses {sorted(known)}, got an outcome for {sorted(strangers)}"
        )
    session.execute(insert(PourOutcomeRow).values(pour_id=pour_id, machine_id=machine_id, **outcome))
    if doses:
        rows = [dose_outcome_values(pour_id, machine_id, dose) for dose in doses]
        session.execute(insert(DoseOutcomeRow), rows)
    lines = draw(transaction, pour_id, pour.purpose, outcome["delivered_g"], doses)
    figures = {name: value for name, value in outcome.items() if name != "ended_at"}
    body = {**figures, "doses": [asdict(dose) for dose in doses], "drawn": lines}
    transaction.append_sealed(kind, body, pour_id, pour_id)


def close_open_pours(transaction: Transaction) -> Sequence[PourRecord]:
    outcome = select(PourOutcomeRow.pour_id).where(PourOutcomeRow.pour_id == PourRow.id)
    query = select(PourRow).where(~outcome.exists()).order_by(PourRow.id)
    rows = list(transaction.session.scalars(query))
    for row in rows:
        _interrupt(transaction, row)
    return load_records(transaction.session, rows)


def draw_so_far(transaction: Transaction, bottle_id: str, channel: int) -> None:
    """Draw from the bottle on a channel what the pour under way, if any, has had from it by the last mass
    written; the pour's outcome draws the rest from the bottle that is mounted then."""
    if (pour_id := pour_from(transaction.session, channel)) is not None:
        pour = require_pour(transaction.session, pour_id)
        trace = _Trace.of(transaction.session, pour_id)
        draw_from(transaction, bottle_id, pour_id, pour.purpose, trace.delivered_g, trace.doses)


@dataclass(frozen=True, slots=True)
class _Trace:
    """What the trace of a pour says as far as it was written: masses in g, None before there is one."""

    at: datetime | None
    delivered_g: float | None
    glass_g: float | None
    doses: tuple[DoseEnded, ...]

    @classmethod
    def of(cls, session: Session, pour_id: str) -> "_Trace":
        chunks = trace_chunks(session, pour_id)
        masses = [chunk.last_delivered_g for chunk in chunks if chunk.last_delivered_g is not None]
        items = [entry.item for chunk in chunks for entry in _readable(chunk.data)]
        glasses = [item.glass_g for item in items if isinstance(item, Tared)]
        return cls(
            at=chunks[-1].at if chunks else None,
            delivered_g=masses[-1] if masses else None,
            glass_g=glasses[-1] if glasses else None,
            doses=tuple(item for item in items if isinstance(item, DoseEnded)),
        )


def _interrupt(transaction: Transaction, row: PourRow) -> None:
    trace = _Trace.of(transaction.session, row.id)
    outcome = {
        "ended_at": trace.at or row.created_at,
        "state": INTERRUPTED,
        "cause": PROGRAM_ENDED,
        "delivered_g": trace.delivered_g,
        "glass_g": trace.glass_g,
    }
    _add_outcome(transaction, POUR_INTERRUPTED, row, outcome, trace.doses)


def _readable(chunk: bytes) -> list[TraceEntry]:
    """The entries; none where the chunk is damaged, so that an old trace cannot prevent a restart."""
    try:
        return decode(chunk)
    except TraceError:
        return []
