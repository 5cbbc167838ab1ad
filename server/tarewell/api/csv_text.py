"""Comma-separated values, RFC 4180."""

import csv
import io
from collections.abc import Iterable, Sequence

_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def csv_lines(rows: Iterable[Sequence[object]]) -> str:
    """Rows as text with CRLF; None is empty. Text that a spreadsheet would take for a formula is led by '."""
    buffer = io.StringIO()
    csv.writer(buffer, lineterminator="\r\n").writerows([_cell(value) for value in row] for row in rows)
    return buffer.getvalue()


def _cell(value: object) -> object:
    if isinstance(value, str) and value.startswith(_FORMULA_STARTS):
        return "'" + value
    return value
