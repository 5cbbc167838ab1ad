"""Days as people count them: from midnight to midnight in the time zone of this computer.

SQLite and Python take the zone from the same place (`TZ`, else /etc/localtime), summer time included.
"""

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

from sqlalchemy import ColumnElement, Text, func
from sqlalchemy.orm import InstrumentedAttribute

MIN_DAY, MAX_DAY = date(2000, 1, 1), date(2200, 1, 1)
"""A day outside is a typing error."""


def bounds_of(day: date) -> tuple[datetime, datetime]:
    """When a day begins, and when the next one does, in UTC."""
    begin = datetime.combine(day, time())
    return begin.astimezone(UTC), (begin + timedelta(days=1)).astimezone(UTC)


def local_day(at: InstrumentedAttribute[datetime]) -> ColumnElement[Any]:
    """The day of a stored time as YYYY-MM-DD."""
    return func.date(at, "localtime", type_=Text)
