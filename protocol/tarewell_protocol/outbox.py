"""The queue of requests to the board: their order, numbers, retries, and which are dropped.

One request is under way at a time, so that a board needs to remember only its last four answers. Stops do
not queue: they are written at once and repeated until they are answered. Requests that they undo are dropped,
and while a stop is unanswered nothing is sent that could turn a pump, prolong a run or release a latch: so a
stop repeated after the board has forgotten it cannot stop a later run. A stale request that turns a pump or
prolongs a run is dropped rather than sent late.
"""

from collections import deque
from dataclasses import dataclass
from math import inf

from . import messages as m
from .codec import encode_request

REPLY_TIMEOUT_S = 0.06
TRIES = 5
HELLO_INTERVAL_S = 0.25
DEAF_S = 1.0
"""The link is closed when requests stay unanswered this long although the board still sends."""
KEEP_FRESH_S = 0.06
"""A lease renewal that could not be sent for this long is dropped: its sender may be stuck by now."""
RUN_FRESH_S = 0.4
"""A run is neither sent nor repeated when its request is older than this."""
WAITING_MAX = 16
"""Length of the queue behind the request under way; renewals and stops do not count."""


class QueueFullError(RuntimeError):
    """Too many requests wait already."""


@dataclass(frozen=True, slots=True)
class _Rule:
    """Tries of a request, the interval between them, and its maximum age."""

    tries: float = TRIES
    interval_s: float = REPLY_TIMEOUT_S
    fresh_s: float = inf


_RULES: dict[type[m.Command], _Rule] = {
    m.Hello: _Rule(tries=inf, interval_s=HELLO_INTERVAL_S),
    m.Run: _Rule(fresh_s=RUN_FRESH_S),
    m.Keep: _Rule(tries=1, fresh_s=KEEP_FRESH_S),
    m.Stop: _Rule(tries=inf),
    m.EmergencyStop: _Rule(tries=inf),
}
_OTHERS = _Rule()

_HELD_BY_STOPS = m.Run | m.Keep | m.ReleaseEmergencyStop


@dataclass(slots=True)
class Asked:
    """A request until it is answered or given up."""

    command: m.Command
    tickets: list[int]
    asked_s: float
    seq: int = 0
    line: bytes = b""
    due_s: float = inf
    tries: int = 0

    @property
    def rule(self) -> _Rule:
        """The rule for this kind of request."""
        return _RULES.get(type(self.command), _OTHERS)

    def is_fresh(self, now_s: float) -> bool:
        """Whether it may still be written."""
        return now_s < self.asked_s + self.rule.fresh_s

    def fits(self, body: m.ReplyBody) -> bool:
        """Whether `body` can be the answer to it."""
        if isinstance(self.command, m.Hello):
            if isinstance(body, m.Refused):  # any other reason belongs to an earlier session
                return body.reason in (m.Refusal.VERB, m.Refusal.ARGS)
            return isinstance(body, m.Identity | m.OtherVersion)
        return isinstance(body, (m.Refused, m.ANSWERS.get(type(self.command), m.Done)))


@dataclass(frozen=True, slots=True)
class GivenUp:
    """A request that was given up, and why."""

    asked: Asked
    reason: str


class Outbox:
    """Numbers, writes, repeats and drops requests; all times are seconds of the caller's monotonic clock.

    A request that is given up waits in `take_given_up`.
    """

    def __init__(self, first_seq: int, now_s: float) -> None:
        self.now_s = self.last_sent_s = now_s
        self._is_open = False
        self._last_ticket = 0
        self._given_up: list[GivenUp] = []
        self._next_seq = first_seq
        self._lines: list[bytes] = []
        self._under_way: Asked | None = None
        self._keep: Asked | None = None
        self._waiting: deque[Asked] = deque()
        self._stops: list[Asked] = []
        self._unanswered_since_s = inf
        self._unanswered_writes = 0

    def open(self) -> None:
        """The board has answered the greeting."""
        self._is_open = True

    def at(self, now_s: float) -> float:
        """The time, which is never earlier than the last."""
        self.now_s = max(self.now_s, now_s)
        return self.now_s

    @property
    def has_given_up(self) -> bool:
        """Whether `take_given_up` has anything to tell."""
        return bool(self._given_up)

    def take_given_up(self) -> list[GivenUp]:
        """The requests that were given up since the last call."""
        given_up, self._given_up = self._given_up, []
        return given_up

    @property
    def is_free(self) -> bool:
        """Whether no request other than a stop is under way."""
        return self._under_way is None

    def take_lines(self) -> bytes:
        """The bytes to write now; each is returned once."""
        data = b"".join(self._lines)
        self._lines.clear()
        return data

    def due_s(self) -> float:
        """When `repeat` is due; infinite for never."""
        due_s = self._under_way.due_s if self._under_way else inf
        for stop in self._stops:
            due_s = min(due_s, stop.due_s)
        return due_s

    def is_deaf(self, now_s: float) -> bool:
        """Whether the board has not answered for longer than a working one would.

        A few retries must have failed too, so that a host that was itself suspended does not blame the
        board.
        """
        stop_is_old = any(now_s >= stop.asked_s + DEAF_S and stop.tries >= TRIES for stop in self._stops)
        silent = now_s >= self._unanswered_since_s + DEAF_S and self._unanswered_writes >= TRIES
        return stop_is_old or (silent and self.due_s() < inf)

    def send(self, command: m.Command, now_s: float) -> None:
        """Write a request at once, ahead of the queue; only when `is_free`."""
        self._under_way = Asked(command, [self._take_ticket()], now_s)
        self._write(self._under_way, now_s)

    def ask(self, command: m.Command, now_s: float) -> int:
        """Queue a request: a stop is written at once, others in turn, a lease renewal before the rest.

        Returns its ticket.

        Raises:
            RuntimeError: no session is open.
            FrameError: a number or text that cannot be encoded.
            QueueFullError: `WAITING_MAX` requests wait already; never for a stop or a lease renewal.
        """
        if not self._is_open:
            raise RuntimeError("no session with the board is open; wait for it to answer hello")
        encode_request(m.Request(0, command))
        now_s, ticket = self.at(now_s), self._take_ticket()
        asked = Asked(command, [ticket], now_s)
        match command:
            case m.Stop() | m.EmergencyStop():
                self._drop_what_it_undoes(command)
                same = next((stop for stop in self._stops if stop.command == command), None)
                if same:  # nothing can have started since it was written, so its answer serves both
                    same.tickets.append(ticket)
                else:
                    self._stops.append(asked)
                    self._write(asked, now_s)
            case m.Keep():
                if self._keep:
                    self._give_up(self._keep, "a newer renewal takes its place")
                self._keep = asked
            case _:
                if len(self._waiting) >= WAITING_MAX:
                    raise QueueFullError(
                        f"{WAITING_MAX} requests wait for the board already; "
                        "wait for their answers before asking for more"
                    )
                self._waiting.append(asked)
        self.advance(now_s)
        return ticket

    def _drop_what_it_undoes(self, stop: m.Stop | m.EmergencyStop) -> None:
        undone = m.Run | m.ReleaseEmergencyStop if isinstance(stop, m.EmergencyStop) else m.Run
        dropped = [asked for asked in self._waiting if isinstance(asked.command, undone)]
        self._waiting = deque(asked for asked in self._waiting if not isinstance(asked.command, undone))
        if self._keep:
            dropped.append(self._keep)
            self._keep = None
        if self._under_way and isinstance(self._under_way.command, undone):
            dropped.append(self._under_way)
            self._end_under_way()
        for asked in dropped:
            self._give_up(asked, "a stop overtook it; ask again if it is still wanted")

    def answer(self, seq: int, body: m.ReplyBody) -> Asked | None:
        """The request that this answers, which is then done; None for an unexpected answer."""
        under_way = [self._under_way] if self._under_way else []
        candidates = (asked for asked in [*self._stops, *under_way] if asked.seq == seq)
        asked = next(candidates, None)
        if asked is None or not asked.fits(body):
            return None
        if asked is self._under_way:
            self._end_under_way()
        else:
            self._stops.remove(asked)
        self._unanswered_since_s, self._unanswered_writes = inf, 0
        return asked

    def repeat(self, now_s: float) -> None:
        """Retry the requests that are due, or give them up."""
        for stop in self._stops:
            if now_s >= stop.due_s:
                self._write(stop, now_s)
        asked = self._under_way
        if asked is None or now_s < asked.due_s:
            return
        if asked.tries < asked.rule.tries and asked.is_fresh(now_s):
            self._write(asked, now_s)
            return
        self._end_under_way()
        self._give_up(asked, f"no answer in {asked.tries} tries; it may have been carried out")

    def advance(self, now_s: float) -> None:
        """Write the next request if none is under way; drop those that waited too long."""
        while self._under_way is None and (asked := self._next_allowed()):
            if asked is self._keep:
                self._keep = None
            else:
                self._waiting.popleft()
            if asked.is_fresh(now_s):
                self._under_way = asked
                self._write(asked, now_s)
            else:
                self._give_up(asked, "it waited too long to be sent; ask again if still wanted")

    def _next_allowed(self) -> Asked | None:
        heads = [*([self._keep] if self._keep else []), *list(self._waiting)[:1]]
        held = _HELD_BY_STOPS if self._stops else ()
        return next((asked for asked in heads if not isinstance(asked.command, held)), None)

    def abandon(self, reason: str) -> None:
        """The session is over: give up everything, and forget unsent lines."""
        self._is_open = False
        under_way = [self._under_way] if self._under_way else []
        keep = [self._keep] if self._keep else []
        left = [*self._stops, *under_way, *keep, *self._waiting]
        self._stops, self._under_way, self._keep = [], None, None
        self._waiting.clear()
        self._lines.clear()
        for asked in left:
            self._give_up(asked, reason)

    def _give_up(self, asked: Asked, reason: str) -> None:
        self._given_up.append(GivenUp(asked, reason))

    def _write(self, asked: Asked, now_s: float) -> None:
        if not asked.tries:
            asked.seq = self._take_seq()
            asked.line = encode_request(m.Request(asked.seq, asked.command))
            self.last_sent_s = now_s
        asked.tries += 1
        asked.due_s = now_s + asked.rule.interval_s
        self._unanswered_since_s = min(self._unanswered_since_s, now_s)
        self._unanswered_writes += 1
        if asked.line not in self._lines:  # still unsent: a stalled port must not collect retries
            self._lines.append(asked.line)

    def _take_ticket(self) -> int:
        self._last_ticket += 1
        return self._last_ticket

    def _take_seq(self) -> int:
        taken = {stop.seq for stop in self._stops if stop.tries}
        while self._next_seq in taken:
            self._next_seq = (self._next_seq + 1) % 256
        seq = self._next_seq
        self._next_seq = (seq + 1) % 256
        return seq

    def _end_under_way(self) -> None:
        if self._under_way:
            self._lines = [line for line in self._lines if line != self._under_way.line]
            self._under_way = None
