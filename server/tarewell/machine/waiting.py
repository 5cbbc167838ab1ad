"""Requests that wait: for a write, for the board's answer, or for another request's write."""

from collections import deque

from tarewell_protocol import messages as m

from . import pending as p
from .effects import Command, Effect
from .events import Requested
from .requests import OCCUPYING, PourRequest


class WaitingRequests:
    """While an `Occupying` write is under way, requests that want the machine are deferred, in order."""

    def __init__(self) -> None:
        self._writes: dict[str, p.Pending] = {}
        self._occupied_by: str | None = None
        self._deferred: deque[Requested] = deque()
        self._wanted: PourRequest | None = None
        self._at_board: dict[int, p.BoardAnswerDue] = {}
        self._last_write = 0
        self._last_ticket = 0

    @property
    def commits_pour(self) -> bool:
        """Whether the intent of a pour is being written."""
        occupying = None if self._occupied_by is None else self._writes[self._occupied_by]
        return isinstance(occupying, p.PourCommit)

    @property
    def releases(self) -> bool:
        """Whether the board was asked to release its emergency stop."""
        return any(isinstance(due.command, m.ReleaseEmergencyStop) for due in self._at_board.values())

    # For another request

    def defers(self, asked: Requested) -> bool:
        """Whether the request has to wait for its turn, which `next_turn` tells."""
        if self._occupied_by is None or not isinstance(asked.request, OCCUPYING):
            return False
        self._deferred.append(asked)
        return True

    def want(self, request: PourRequest) -> None:
        """The round under way asks for its next pour, which comes before what others ask for."""
        self._wanted = request

    def next_turn(self) -> Requested | PourRequest | None:
        """Whose turn has come: the pour that the round under way asks for, or a request that was deferred."""
        if self._occupied_by is not None:
            return None
        if (wanted := self._wanted) is not None:
            self._wanted = None
            return wanted
        return self._deferred.popleft() if self._deferred else None

    # For a write

    def key_for(self, pending: p.Pending) -> str:
        """The key by which the result comes back."""
        self._last_write += 1
        key = f"write {self._last_write}"
        self._writes[key] = pending
        return key

    def occupy(self, pending: p.Occupying) -> str:
        """The key for its write; until that is settled nothing else may begin."""
        self._occupied_by = self.key_for(pending)
        return self._occupied_by

    def settle(self, key: str) -> p.Pending | None:
        """The write of this key is over: what waited for it; None: nothing did."""
        if self._occupied_by == key:
            self._occupied_by = None
        return self._writes.pop(key, None)

    # For the board

    def for_board(self, due: p.BoardAnswerDue) -> Effect:
        """The command, with the ticket by which the answer comes back."""
        self._last_ticket += 1
        self._at_board[self._last_ticket] = due
        return Command(due.command, self._last_ticket)

    def take_at_board(self, ticket: int) -> p.BoardAnswerDue | None:
        """What waited for the answer of this ticket; None: nothing did."""
        return self._at_board.pop(ticket, None)

    def take_all_at_board(self) -> list[p.BoardAnswerDue]:
        """The link is gone: everything that waited for the board."""
        due, self._at_board = list(self._at_board.values()), {}
        return due
