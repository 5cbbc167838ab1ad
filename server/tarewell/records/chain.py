"""The hashes of the journal, computed over the stored values, so that `sqlite3` and any SHA-256 can check
them.

An event's hash covers its row and the previous hash. The event of an intent, an outcome or a calibration also
holds a seal: one hash over the rows that were written with it.
"""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

GENESIS = "0" * 64
"""The previous hash of the first event."""

Value = str | int | float | bytes | None


def canonical(value: Any) -> str:
    """JSON in one spelling: keys sorted, no spaces, ASCII, floats in their shortest exact form.

    Raises:
        ValueError: an infinity or NaN.
    """
    return json.dumps(value, sort_keys=True, separators=(",", ":"), allow_nan=False)


def event_hash(
    prev_hash: str, seq: int, machine_id: str, at: str, kind: str, pour_id: str | None, body: str
) -> str:
    """SHA-256 in hex over the canonical JSON array of the stored columns, in this order."""
    return sha256(canonical([prev_hash, seq, machine_id, at, kind, pour_id, body]).encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class SealedTable:
    """The columns of a table that a seal covers, in order, and how to find the rows of one key.

    `only` leaves out rows where these columns are empty. So a column that was added later gets an entry of
    its own, and earlier seals still hold.
    """

    name: str
    columns: tuple[str, ...]
    key: str
    order: str
    only: str = ""

    @property
    def select(self) -> str:
        """The query for the rows of one key."""
        only = f" AND ({self.only})" if self.only else ""
        columns = ", ".join(self.columns)
        return f"SELECT {columns} FROM {self.name} WHERE {self.key} = ?{only} ORDER BY {self.order}"


INTENT = (
    SealedTable(
        "pour",
        (
            "id",
            "machine_id",
            "created_at",
            "idempotency_key",
            "fingerprint",
            "setup",
            "origin",
            "program_version",
            "board_id",
            "board_firmware",
        ),
        "id",
        "id",
    ),
    SealedTable(
        "dose",
        (
            "pour_id",
            "dose_index",
            "machine_id",
            "channel",
            "liquid_id",
            "liquid_name",
            "density_g_per_ml",
            "abv_percent",
            "target_g",
        ),
        "pour_id",
        "dose_index",
    ),
    SealedTable("pour", ("id", "purpose", "recipe"), "id", "id", "purpose <> 'drink' OR recipe IS NOT NULL"),
)
MOVEMENT_COLUMNS = ("id", "machine_id", "at", "bottle_id", "kind", "change_g", "pour_id", "dose_index")
OUTCOME = (
    SealedTable(
        "pour_outcome",
        ("pour_id", "machine_id", "ended_at", "state", "cause", "delivered_g", "glass_g"),
        "pour_id",
        "pour_id",
    ),
    SealedTable(
        "dose_outcome",
        (
            "pour_id",
            "dose_index",
            "machine_id",
            "delivered_g",
            "inflight_g",
            "peak_flow_g_per_s",
            "jogs",
            "began_s",
            "cut_off_s",
            "ended_s",
            "verdict",
            "cause",
        ),
        "pour_id",
        "dose_index",
    ),
    SealedTable(
        "trace_chunk",
        ("pour_id", "number", "machine_id", "at", "entries", "last_delivered_g", "data"),
        "pour_id",
        "number",
    ),
    SealedTable(
        "dose_outcome",
        ("pour_id", "dose_index", "target_g"),
        "pour_id",
        "dose_index",
        "target_g IS NOT NULL",
    ),
    SealedTable("stock_movement", MOVEMENT_COLUMNS, "pour_id", "id", "kind <> 'found'"),
    SealedTable(
        "dose_balance",
        ("id", "machine_id", "pour_id", "dose_index", "added_g", "spilt_g", "doubt_g"),
        "pour_id",
        "id",
    ),
    SealedTable(
        "pour_outcome", ("pour_id", "uncertainty_g"), "pour_id", "pour_id", "uncertainty_g IS NOT NULL"
    ),
    SealedTable(
        "dose_outcome",
        ("pour_id", "dose_index", "uncertainty_g"),
        "pour_id",
        "dose_index",
        "uncertainty_g IS NOT NULL",
    ),
)
FOUND = (
    SealedTable(
        "found_later",
        ("pour_id", "machine_id", "at", "certainty", "found_g", "dose_index", "reason"),
        "pour_id",
        "pour_id",
    ),
    SealedTable("stock_movement", MOVEMENT_COLUMNS, "pour_id", "id", "kind = 'found'"),
)
DRIPS = (
    SealedTable(
        "late_drips",
        ("pour_id", "machine_id", "at", "dose_index", "dripped_g", "dose_uncertainty_g", "uncertainty_g"),
        "pour_id",
        "pour_id",
    ),
)
CALIBRATION = (
    SealedTable("calibration", ("id", "machine_id", "at", "zero_counts", "counts_per_g", "how"), "id", "id"),
)
MOVEMENT = (SealedTable("stock_movement", MOVEMENT_COLUMNS, "id", "id"),)

ROUND = (
    SealedTable(
        "round",
        (
            "id",
            "machine_id",
            "created_at",
            "idempotency_key",
            "fingerprint",
            "origin",
            "program_version",
            "auto_start",
            "liquids",
        ),
        "id",
        "id",
    ),
    SealedTable(
        "round_glass",
        ("round_id", "glass_index", "machine_id", "recipe_id", "guest", "plan"),
        "round_id",
        "glass_index",
    ),
)
GLASS_OUTCOME = (
    SealedTable(
        "round_glass_outcome",
        (
            "id",
            "machine_id",
            "round_id",
            "glass_index",
            "attempt",
            "ended_at",
            "ending",
            "pour_ids",
            "mass_g",
            "volume_ml",
            "contraction_ml",
            "ethanol_g",
            "sugar_g",
        ),
        "id",
        "id",
    ),
)
ROUND_OUTCOME = (
    SealedTable("round_outcome", ("round_id", "machine_id", "ended_at", "state"), "round_id", "round_id"),
)
RELEASE = (
    SealedTable(
        "guest_release",
        ("id", "machine_id", "at", "guest", "round_id", "glass_index", "released_by", "reason"),
        "id",
        "id",
    ),
)

ORDER_STATE_ROW = SealedTable(
    "drink_order_state",
    ("id", "machine_id", "at", "order_id", "state", "place", "reason", "round_id", "glass_index"),
    "id",
    "id",
)
ORDER = (
    SealedTable(
        "drink_order",
        (
            "id",
            "machine_id",
            "created_at",
            "idempotency_key",
            "fingerprint",
            "origin",
            "service_id",
            "number",
            "recipe_id",
            "guest",
            "wanted",
            "name",
            "ethanol_g",
            "strength_known",
            "takes_s",
            "price",
        ),
        "id",
        "id",
    ),
)

POUR_BEGUN = "pour_begun"
POUR_ENDED = "pour_ended"
POUR_INTERRUPTED = "pour_interrupted"
FOUND_LATER = "found_later"
LATE_DRIPS = "late_drips"
CALIBRATED = "calibrated"
STOCK_MOVED = "stock_moved"
ROUND_BEGUN = "round_begun"
GLASS_ENDED = "round_glass_ended"
ROUND_ENDED = "round_ended"
GUEST_RELEASED = "guest_released"
ORDER_PLACED = "order_placed"
ORDER_STATE = "order_state"

SEALED: dict[str, tuple[SealedTable, ...]] = {
    POUR_BEGUN: INTENT,
    POUR_ENDED: OUTCOME,
    POUR_INTERRUPTED: OUTCOME,
    FOUND_LATER: FOUND,
    LATE_DRIPS: DRIPS,
    CALIBRATED: CALIBRATION,
    STOCK_MOVED: MOVEMENT,
    ROUND_BEGUN: ROUND,
    GLASS_ENDED: GLASS_OUTCOME,
    ROUND_ENDED: ROUND_OUTCOME,
    GUEST_RELEASED: RELEASE,
    ORDER_PLACED: ORDER,
    ORDER_STATE: (ORDER_STATE_ROW,),
}
"""The tables that the seal of an event covers, by its kind."""


def seal(tables: Iterable[tuple[str, Iterable[Sequence[Value]]]]) -> str:
    """SHA-256 in hex over rows as SQLite stores them.

    Each row is one line: the canonical JSON array of its table's name and its values. A blob
    enters as the hex of its own SHA-256.
    """
    digest = sha256()
    for name, rows in tables:
        for row in rows:
            values = [sha256(value).hexdigest() if isinstance(value, bytes) else value for value in row]
            digest.update(canonical([name, *values]).encode() + b"\n")
    return digest.hexdigest()
