"""Idempotency keys: a key with the fingerprint of its request begins one thing, for ever."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from .errors import IdempotencyConflict
from .order_tables import OrderRow
from .round_tables import RoundRow
from .tables import PourRow


def require_both(key: str | None, fingerprint: str | None) -> None:
    """Check that a key comes with its fingerprint.

    Raises:
        ValueError: one without the other.
    """
    if (key is None) != (fingerprint is None):
        raise ValueError("an idempotency key and its fingerprint come together; give both or none")


def earlier_id(
    session: Session,
    table: type[PourRow | RoundRow | OrderRow],
    key: str | None,
    fingerprint: str | None,
    what: str,
) -> str | None:
    """The id of the row that this key began; None: the key was never used, or there is none.

    Raises:
        IdempotencyConflict: the key came with another fingerprint.
    """
    if key is None:
        return None
    found = session.execute(select(table.id, table.fingerprint).where(table.idempotency_key == key)).first()
    if found is None:
        return None
    if found.fingerprint != fingerprint:
        raise IdempotencyConflict(key, found.id, what)
    earlier: str = found.id
    return earlier
