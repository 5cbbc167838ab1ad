"""Identifiers that sort in the order of their creation."""

import secrets
from datetime import datetime
from uuid import UUID

_RANDOM_BITS = 62
_LOW_BITS = 80  # version, counter, variant and random part


class IdSource:
    """Creates UUIDs of version 7 (RFC 9562, 5.7): Unix time in ms, then random bits.

    Within one ms, or when the clock was set back, the next identifier is the last one plus one step of its
    12-bit counter, carried into the time (RFC 9562, 6.2), so that text order is always the order of creation.
    """

    def __init__(self, last: str | None = None) -> None:
        self._last_head = 0 if last is None else _head(UUID(last))

    def next(self, at: datetime) -> str:
        """The identifier for something that happens at `at`, in the usual text form of 36 characters."""
        head = int(at.timestamp() * 1000) << 12 | secrets.randbits(8)
        self._last_head = max(head, self._last_head + 1)
        time_ms, counter = self._last_head >> 12, self._last_head & 0xFFF
        value = time_ms << _LOW_BITS | 0x7 << 76 | counter << 64 | 0b10 << 62 | secrets.randbits(_RANDOM_BITS)
        return str(UUID(int=value))


def _head(identifier: UUID) -> int:
    """Time and counter as one number."""
    return (identifier.int >> _LOW_BITS) << 12 | identifier.int >> 64 & 0xFFF
