"""Verifies the journal and the rows that it seals; needs only the file.

`python -m tarewell.records.verify PATH` prints the report as JSON.
"""

import json
import sqlite3
import sys
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from tarewell.typed_json import dump

from .chain import (
    CALIBRATED,
    FOUND_LATER,
    GENESIS,
    GLASS_ENDED,
    GUEST_RELEASED,
    LATE_DRIPS,
    ORDER_PLACED,
    ORDER_STATE,
    POUR_BEGUN,
    POUR_ENDED,
    POUR_INTERRUPTED,
    ROUND_BEGUN,
    ROUND_ENDED,
    SEALED,
    STOCK_MOVED,
    event_hash,
    seal,
)
from .engine import read_only
from .errors import StoreError, translated

Columns = dict[str, set[str]]
"""The names of the columns of each table."""


@dataclass(frozen=True, slots=True)
class ChainFault:
    """Where the chain breaks first; `seq` is None for a row without an event."""

    seq: int | None
    message: str


@dataclass(frozen=True, slots=True)
class ChainReport:
    """The number of intact events, the newest of them and its hash, and the first fault (None: all is
    intact).

    A copy of `last_hash` kept elsewhere can later prove that nothing up to `last_seq` was changed.
    """

    events: int
    last_seq: int
    last_hash: str
    fault: ChainFault | None

    @property
    def intact(self) -> bool:
        """Whether no fault was found."""
        return self.fault is None


def verify(path: Path) -> ChainReport:
    """Verify the whole database in one snapshot; blocks for about a third of a second per thousand pours.

    Raises:
        StoreError: the file cannot be read.
    """
    with translated(path), closing(read_only(path)) as connection:
        connection.execute("BEGIN")
        return _verify(connection)


def _verify(connection: sqlite3.Connection) -> ChainReport:
    seq, last_hash = 0, GENESIS
    known = _columns(connection)
    vouched: dict[str, set[str | int | None]] = {by: set() for _, _, by in _UNVOUCHED}
    for row in connection.execute(
        "SELECT seq, prev_hash, hash, machine_id, at, kind, pour_id, body FROM event ORDER BY seq"
    ):
        message = _fault_in_row(row, seq, last_hash)
        if message is None:
            table, key = _subject(row[5], row[6], row[7])
            if table is not None:
                message = _fault_in_seal(connection, known, row[5], key, row[7])
                vouched[table].add(key)
        if message is not None:
            return ChainReport(seq, seq, last_hash, ChainFault(seq + 1, message))
        seq, last_hash = row[0], row[2]
    fault = _fault_at_end(connection, seq) or next(_unvouched(connection, known, vouched), None)
    return ChainReport(seq, seq, last_hash, fault)


def _fault_in_row(
    row: tuple[int, str, str, str, str, str, str | None, str], seq: int, last: str
) -> str | None:
    found_seq, prev_hash, found_hash, machine_id, at, kind, pour_id, body = row
    if found_seq != seq + 1:
        return f"event {seq + 1} is missing, the next is {found_seq}; restore a backup to see what it said"
    if prev_hash != last:
        return f"event {found_seq} does not follow from the event before it; one of the two was changed"
    if event_hash(prev_hash, found_seq, machine_id, at, kind, pour_id, body) != found_hash:
        return f"event {found_seq} was changed after it was written; compare it with a backup"
    return None


def _subject(kind: str, pour_id: str | None, body: str) -> tuple[str | None, str | int | None]:
    """The table and key of the row that an event covers."""
    if kind == POUR_BEGUN:
        return "pour", pour_id
    if kind in (POUR_ENDED, POUR_INTERRUPTED):
        return "pour_outcome", pour_id
    if kind in (FOUND_LATER, LATE_DRIPS):
        return kind, pour_id
    if kind in _NAMED_IN_BODY:
        table, key = _NAMED_IN_BODY[kind]
        return table, json.loads(body).get(key)
    return None, None


_NAMED_IN_BODY = {
    CALIBRATED: ("calibration", "calibration_id"),
    STOCK_MOVED: ("stock_movement", "movement_id"),
    ROUND_BEGUN: ("round", "round_id"),
    GLASS_ENDED: ("round_glass_outcome", "outcome_id"),
    ROUND_ENDED: ("round_outcome", "round_id"),
    GUEST_RELEASED: ("guest_release", "release_id"),
    ORDER_PLACED: ("drink_order", "order_id"),
    ORDER_STATE: ("drink_order_state", "state_id"),
}
"""The table of the row that an event covers, and where its body names the key."""


def _fault_in_seal(
    connection: sqlite3.Connection, known: Columns, kind: str, key: str | int | None, body: str
) -> str | None:
    tables = [table for table in SEALED[kind] if known.get(table.name, set()).issuperset(table.columns)]
    found = seal((table.name, connection.execute(table.select, (key,))) for table in tables)
    if found == json.loads(body).get("seal"):
        return None
    names = ", ".join(dict.fromkeys(table.name for table in tables))
    return f"the rows of {key} in {names} are not those that were written; compare them with a backup"


def _fault_at_end(connection: sqlite3.Connection, seq: int) -> ChainFault | None:
    given = connection.execute("SELECT seq FROM sqlite_sequence WHERE name = 'event'").fetchone()
    if given is not None and given[0] > seq:
        return ChainFault(
            seq + 1, f"the events {seq + 1} to {given[0]} were removed; restore a backup to see them"
        )
    return None


_UNVOUCHED = (
    ("pour", "SELECT id FROM pour ORDER BY id", "pour"),
    ("pour_outcome", "SELECT pour_id FROM pour_outcome ORDER BY pour_id", "pour_outcome"),
    ("calibration", "SELECT id FROM calibration ORDER BY id", "calibration"),
    (
        "stock_movement",
        "SELECT id FROM stock_movement WHERE pour_id IS NULL OR pour_id NOT IN "
        "(SELECT pour_id FROM pour_outcome) ORDER BY id",
        "stock_movement",
    ),
    (
        "stock_movement",
        "SELECT DISTINCT pour_id FROM stock_movement WHERE kind <> 'found' AND pour_id IN "
        "(SELECT pour_id FROM pour_outcome) ORDER BY pour_id",
        "pour_outcome",
    ),
    (
        "stock_movement",
        "SELECT DISTINCT pour_id FROM stock_movement WHERE kind = 'found' ORDER BY pour_id",
        "found_later",
    ),
    ("found_later", "SELECT pour_id FROM found_later ORDER BY pour_id", "found_later"),
    ("late_drips", "SELECT pour_id FROM late_drips ORDER BY pour_id", "late_drips"),
    ("round", "SELECT id FROM round ORDER BY id", "round"),
    ("round_glass_outcome", "SELECT id FROM round_glass_outcome ORDER BY id", "round_glass_outcome"),
    ("round_outcome", "SELECT round_id FROM round_outcome ORDER BY round_id", "round_outcome"),
    ("guest_release", "SELECT id FROM guest_release ORDER BY id", "guest_release"),
    ("drink_order", "SELECT id FROM drink_order ORDER BY id", "drink_order"),
    ("drink_order_state", "SELECT id FROM drink_order_state ORDER BY id", "drink_order_state"),
)
"""A table, the query for its keys that an event must cover, and the table whose covered keys count."""


def _unvouched(
    connection: sqlite3.Connection, known: Columns, vouched: dict[str, set[str | int | None]]
) -> Iterator[ChainFault]:
    for table, query, by in _UNVOUCHED:
        if table not in known:
            continue
        for (value,) in connection.execute(query):
            if value not in vouched[by]:
                yield ChainFault(None, f"no event covers {value} in {table}: the row was added from outside")


def _columns(connection: sqlite3.Connection) -> Columns:
    """The tables and columns of the file, which may be a backup from before some were added."""
    columns: dict[str, set[str]] = {}
    for table, column in connection.execute(
        "SELECT m.name, c.name FROM sqlite_master AS m JOIN pragma_table_info(m.name) AS c "
        "WHERE m.type = 'table'"
    ):
        columns.setdefault(table, set()).add(column)
    return columns


if __name__ == "__main__":
    try:
        json.dump(dump(verify(Path(sys.argv[1]))), sys.stdout)
    except StoreError as error:
        sys.exit(str(error))
