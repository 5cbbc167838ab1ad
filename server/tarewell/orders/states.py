"""An order's states and which event may lead where; `stepped` takes an order from one to the next.

An order waits in the queue until a round takes it. What becomes of its glass then decides: poured whole, it
is ready; skipped, stopped or interrupted, it waits again. Nothing but the guest and the bar ends an order.
"""

from dataclasses import dataclass, replace
from enum import StrEnum

from tarewell.table_machine import StateTable, UnexpectedEvent, to


class OrderState(StrEnum):
    """Where an order stands."""

    WAITING = "waiting"
    IN_ROUND = "in_round"
    """A round under way has a glass for it."""
    POURING = "pouring"
    READY = "ready"
    COLLECTED = "collected"
    TAKEN_BACK = "taken_back"
    """By the guest."""
    SENT_BACK = "sent_back"
    """By the bar, with a reason that the guest sees."""

    @property
    def is_poured(self) -> bool:
        """Whether its glass is full."""
        return self in (OrderState.READY, OrderState.COLLECTED)


class OrderEventKind(StrEnum):
    """The events, as the table names them."""

    POUR_NEXT = "pour_next"
    LATER = "later"
    TAKE_BACK = "take_back"
    SEND_BACK = "send_back"
    COLLECT = "collect"
    TAKEN = "taken"
    """A round takes it from the queue."""
    POUR_BEGUN = "pour_begun"
    GLASS_COMPLETE = "glass_complete"
    GLASS_SKIPPED = "glass_skipped"
    GLASS_GIVEN_UP = "glass_given_up"
    """The round ended without its glass."""


_S = OrderState
_K = OrderEventKind

_GIVEN_UP = {_K.GLASS_SKIPPED: to(_S.WAITING), _K.GLASS_GIVEN_UP: to(_S.WAITING)}

TABLE = StateTable(
    {
        _S.WAITING: {
            _K.POUR_NEXT: to(_S.WAITING),
            _K.LATER: to(_S.WAITING),
            _K.TAKE_BACK: to(_S.TAKEN_BACK),
            _K.SEND_BACK: to(_S.SENT_BACK),
            _K.TAKEN: to(_S.IN_ROUND),
        },
        _S.IN_ROUND: {
            _K.POUR_BEGUN: to(_S.POURING),
            _K.GLASS_COMPLETE: to(_S.READY),  # a glass filled by hand alone
            **_GIVEN_UP,
        },
        _S.POURING: {_K.POUR_BEGUN: to(_S.POURING), _K.GLASS_COMPLETE: to(_S.READY), **_GIVEN_UP},
        _S.READY: {_K.COLLECT: to(_S.COLLECTED)},
        _S.COLLECTED: {},
        _S.TAKEN_BACK: {},
        _S.SENT_BACK: {},
    }
)

IN_LINE = frozenset({_S.WAITING, _S.IN_ROUND, _S.POURING})
"""The states of an order that is still to be poured."""

_LEADS_TO = {
    _K.POUR_NEXT: _S.WAITING,
    _K.LATER: _S.WAITING,
    _K.TAKE_BACK: _S.TAKEN_BACK,
    _K.SEND_BACK: _S.SENT_BACK,
    _K.COLLECT: _S.COLLECTED,
    _K.TAKEN: _S.IN_ROUND,
    _K.POUR_BEGUN: _S.POURING,
    _K.GLASS_COMPLETE: _S.READY,
    _K.GLASS_SKIPPED: _S.WAITING,
    _K.GLASS_GIVEN_UP: _S.WAITING,
}


class UnexpectedOrderEvent(UnexpectedEvent[OrderState, OrderEventKind]):
    """An order's state does not take the event."""

    what = "drink order"
    table = TABLE
    commands = {  # noqa: RUF012 - as in the base
        _K.POUR_NEXT: "pour next",
        _K.LATER: "later",
        _K.TAKE_BACK: "to be taken back",
        _K.SEND_BACK: "to be sent back",
        _K.COLLECT: "to be collected",
    }


@dataclass(frozen=True, slots=True)
class OrderStanding:
    """A state of an order. `place` sorts those that wait; `reason` is why the bar sent it back; the round and
    its glass (from 0) are those that took it last."""

    state: OrderState
    place: int
    reason: str | None = None
    round_id: str | None = None
    glass: int | None = None


@dataclass(frozen=True, slots=True)
class OrderEvent:
    """Something happens to an order: SEND_BACK comes with a reason, TAKEN with a round and its glass."""

    kind: OrderEventKind
    reason: str | None = None
    round_id: str | None = None
    glass: int | None = None


@dataclass(frozen=True, slots=True)
class Places:
    """The lowest and the highest place in the queue."""

    first: int
    last: int


def stepped(before: OrderStanding, event: OrderEvent, places: Places) -> OrderStanding:
    """How the order stands after the event. An order that is given up keeps its place; a glass that somebody
    skipped goes behind the others.

    Raises:
        UnexpectedOrderEvent: its state does not take the event.
    """
    if not TABLE.takes(before.state, event.kind):
        raise UnexpectedOrderEvent(before.state, event.kind)
    after = replace(before, state=_LEADS_TO[event.kind])
    TABLE.check(before.state, event.kind, after.state)
    match event.kind:
        case _K.POUR_NEXT:
            return replace(after, place=places.first - 1)
        case _K.LATER | _K.GLASS_SKIPPED:
            return replace(after, place=places.last + 1)
        case _K.SEND_BACK:
            return replace(after, reason=event.reason)
        case _K.TAKEN:
            return replace(after, round_id=event.round_id, glass=event.glass)
    return after
