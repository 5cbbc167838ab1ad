"""The changes of a round, each one transaction: the intent, the outcome of each glass, the end.

For a round that was interrupted, the glasses' outcomes follow from its pours.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import asdict, replace

from sqlalchemy import func, insert, select
from sqlalchemy.orm import Session

from tarewell.machine.pour_record import PourRecord
from tarewell.machine.round_record import GlassRecord, NewRelease, NewRound, ReleaseRecord, RoundRecord
from tarewell.menu.delivered import Outcome
from tarewell.menu.drink import PlannedHand
from tarewell.orders.states import OrderEventKind
from tarewell.quantities.strength import DrinkStrength
from tarewell.rounds.attempt import held_by
from tarewell.rounds.events import Ending, GlassEnded
from tarewell.rounds.serving import serving_of

from .chain import GLASS_ENDED, GUEST_RELEASED, ROUND_BEGUN, ROUND_ENDED, canonical
from .errors import RoundOverError, UnknownRecordError
from .idempotency import earlier_id, require_both
from .order_changes import give_up_orders, take_orders, tell_order
from .pour_rows import load_records
from .round_rows import glass_values, liquids_text, load_rounds, strength_values
from .round_tables import GuestReleaseRow, RoundGlassOutcomeRow, RoundGlassRow, RoundOutcomeRow, RoundRow
from .tables import PourRow
from .transaction import Transaction
from .values import INTERRUPTED

_TOLD = {
    Ending.COMPLETE: OrderEventKind.GLASS_COMPLETE,
    Ending.SKIPPED: OrderEventKind.GLASS_SKIPPED,
    Ending.STOPPED: OrderEventKind.GLASS_GIVEN_UP,
    Ending.INTERRUPTED: OrderEventKind.GLASS_GIVEN_UP,
}
"""What the order of a glass is told of its end; a spoilt glass is begun again."""


def delivered_g(record: PourRecord) -> tuple[float, ...]:
    """The mass that each dose of a finished pour delivered, as far as it began, in g.

    Mass beyond the doses that ended came from the first that did not.
    """
    masses = [dose.outcome.delivered_g for dose in record.doses if dose.outcome is not None]
    whole_g = None if record.outcome is None else record.outcome.delivered_g
    if whole_g is not None and len(masses) < len(record.doses):
        masses.append(max(whole_g - sum(masses), 0.0))
    return tuple(masses)


def begin_round(transaction: Transaction, new: NewRound) -> RoundRecord:
    """Commit the intent of a round. With a key that was used before, the earlier round is returned, marked
    `replayed`.

    Raises:
        IdempotencyConflict: that key came with another fingerprint.
        UnexpectedOrderEvent: an order that a glass is for does not wait.
        ValueError: a key without a fingerprint.
    """
    require_both(new.idempotency_key, new.fingerprint)
    session = transaction.session
    earlier = earlier_round(session, new.idempotency_key, new.fingerprint)
    if earlier is not None:
        return earlier
    round_id = transaction.new_id()
    session.execute(
        insert(RoundRow).values(
            id=round_id,
            machine_id=transaction.machine_id,
            created_at=transaction.at,
            idempotency_key=new.idempotency_key,
            fingerprint=new.fingerprint,
            origin=new.origin,
            program_version=transaction.author.program_version,
            auto_start=new.plan.auto_start,
            liquids=liquids_text(new.plan),
        )
    )
    rows = glass_values(round_id, transaction.machine_id, new.plan)
    session.execute(insert(RoundGlassRow), rows)
    glasses = [
        {"recipe_id": glass.drink.recipe_id, "name": glass.drink.name, "guest": glass.guest}
        | ({} if glass.order is None else {"order": glass.order.number})
        for glass in new.plan.glasses
    ]
    body = {"round_id": round_id, "origin": new.origin, "glasses": glasses}
    transaction.append_sealed(ROUND_BEGUN, body, round_id)
    take_orders(transaction, round_id, new.plan)
    return round_record(session, round_id)


def end_glass(transaction: Transaction, round_id: str, ended: GlassEnded) -> None:
    """Commit the outcome of an attempt at a glass.

    Raises:
        UnknownRecordError: there is no such round.
        RoundOverError: it has ended.
    """
    _require_open(transaction.session, round_id)
    which = (ended.glass, ended.attempt)
    _end_glass(transaction, round_id, which, ended.ending, ended.pour_ids, ended.outcome.delivered)


def finish_round(transaction: Transaction, round_id: str, state: str) -> RoundRecord:
    """Commit the end of a round.

    Raises:
        UnknownRecordError: there is no such round.
        RoundOverError: it has ended before.
    """
    _require_open(transaction.session, round_id)
    _finish(transaction, round_id, state)
    return round_record(transaction.session, round_id)


def release_guest(transaction: Transaction, new: NewRelease) -> ReleaseRecord:
    """Append the release of a guest's glass: who released it, and why."""
    statement = insert(GuestReleaseRow).values(
        machine_id=transaction.machine_id, at=transaction.at, **asdict(new)
    )
    key = transaction.session.execute(statement.returning(GuestReleaseRow.id)).scalar_one()
    transaction.append_sealed(GUEST_RELEASED, {**asdict(new), "release_id": key}, key)
    return ReleaseRecord(**asdict(new), at=transaction.at)


def close_open_rounds(transaction: Transaction) -> list[RoundRecord]:
    """Give every open round the outcome "interrupted", and the glass that was begun an outcome by its
    pours."""
    session = transaction.session
    over = select(RoundOutcomeRow.round_id).where(RoundOutcomeRow.round_id == RoundRow.id)
    rows = list(session.scalars(select(RoundRow).where(~over.exists()).order_by(RoundRow.id)))
    for record in load_rounds(session, rows):
        for attempt, pour_ids, held in _interrupted(session, record):
            _end_glass(transaction, record.id, attempt, Ending.INTERRUPTED, pour_ids, held.delivered)
        _finish(transaction, record.id, INTERRUPTED)
    return load_rounds(session, rows)


def earlier_round(session: Session, key: str | None, fingerprint: str | None) -> RoundRecord | None:
    """The round that this key began, marked `replayed`; None if the key was never used.

    Raises:
        IdempotencyConflict: the key came with another fingerprint.
    """
    found = earlier_id(session, RoundRow, key, fingerprint, "round")
    return None if found is None else replace(round_record(session, found), replayed=True)


def round_record(session: Session, round_id: str) -> RoundRecord:
    """One round.

    Raises:
        UnknownRecordError: there is no such round.
    """
    row = session.get(RoundRow, round_id)
    if row is None:
        raise UnknownRecordError(f"there is no round {round_id}; take an id from the list of rounds")
    (record,) = load_rounds(session, [row])
    return record


def _require_open(session: Session, round_id: str) -> None:
    record = round_record(session, round_id)
    if record.outcome_state is not None:
        raise RoundOverError(f"round {round_id} has ended, {record.outcome_state}; history is never changed")


def _end_glass(
    transaction: Transaction,
    round_id: str,
    which: tuple[int, int],
    ending: Ending,
    pour_ids: Sequence[str],
    delivered: DrinkStrength,
) -> None:
    glass, attempt = which
    statement = insert(RoundGlassOutcomeRow).values(
        machine_id=transaction.machine_id,
        round_id=round_id,
        glass_index=glass,
        attempt=attempt,
        ended_at=transaction.at,
        ending=ending.value,
        pour_ids=canonical(list(pour_ids)),
        **strength_values(delivered),
    )
    key = (transaction.session.execute(statement.returning(RoundGlassOutcomeRow.id))).scalar_one()
    body = {
        "round_id": round_id,
        "glass": glass,
        "attempt": attempt,
        "ending": ending.value,
        "pour_ids": list(pour_ids),
        "delivered": strength_values(delivered),
        "outcome_id": key,
    }
    transaction.append_sealed(GLASS_ENDED, body, key)
    if (told := _TOLD.get(ending)) is not None:
        tell_order(transaction, round_id, glass, told)


def _finish(transaction: Transaction, round_id: str, state: str) -> None:
    transaction.session.execute(
        insert(RoundOutcomeRow).values(
            round_id=round_id, machine_id=transaction.machine_id, ended_at=transaction.at, state=state
        )
    )
    transaction.append_sealed(ROUND_ENDED, {"round_id": round_id, "state": state}, round_id)
    give_up_orders(transaction, round_id)


def _interrupted(
    session: Session, record: RoundRecord
) -> list[tuple[tuple[int, int], tuple[str, ...], Outcome]]:
    """The attempts that were begun and never ended, by glass and number: their pours and contents."""
    serving_id = func.json_extract(PourRow.recipe, "$.serving_id")
    query = select(PourRow).where(serving_id.startswith(f"{record.id}/"))
    pours: dict[tuple[int, int], list[tuple[int, PourRecord]]] = defaultdict(list)
    for pour in load_records(session, list(session.scalars(query.order_by(PourRow.id)))):
        serving = serving_of(None if pour.recipe is None else pour.recipe.serving_id)
        if serving is not None:
            pours[serving.glass, serving.attempt].append((serving.leg, pour))
    over = {(glass.index, attempt.number) for glass in record.glasses for attempt in glass.attempts}
    return [
        (which, tuple(pour.id for _, pour in of), _held(record, record.glasses[which[0]], of))
        for which, of in pours.items()
        if which not in over
    ]


def _held(record: RoundRecord, glass: GlassRecord, pours: list[tuple[int, PourRecord]]) -> Outcome:
    """The contents of a glass; steps by hand before the last pour were confirmed, or it would not have
    begun."""
    last_leg = pours[-1][0]
    hands = [leg for leg in glass.plan.legs[:last_leg] if isinstance(leg, PlannedHand)]
    masses: list[float] = []
    by_leg = dict(pours)
    for number, leg in enumerate(glass.plan.legs[: last_leg + 1]):
        if not isinstance(leg, PlannedHand):
            of = delivered_g(by_leg[number]) if number in by_leg else ()
            masses += [*of, *(0.0 for _ in leg[len(of) :])]
    return held_by(glass.plan, masses, hands, record.liquids)
