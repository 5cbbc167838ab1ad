"""Scheduled actions of the simulation."""

import heapq
from collections.abc import Callable
from math import inf


class Agenda:
    """Actions in the order of their times; those of equal times in the order of scheduling."""

    def __init__(self) -> None:
        self._waiting: list[tuple[float, int, Callable[[], object]]] = []
        self._entries = 0

    @property
    def next_s(self) -> float:
        """When the first action is due; infinity when there is none."""
        return self._waiting[0][0] if self._waiting else inf

    def at(self, at_s: float, action: Callable[[], object]) -> None:
        """Schedule an action."""
        self._entries += 1
        heapq.heappush(self._waiting, (at_s, self._entries, action))

    def do_next(self) -> None:
        """Run the first action; there must be one."""
        _, _, action = heapq.heappop(self._waiting)
        action()
