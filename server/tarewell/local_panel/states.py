"""The dialogue's screens and which event may lead where.

The table is the law: an event that a screen's row does not name changes nothing there (a press with nothing
to press), and a step that the table does not allow is a fault in the program. The machine's events take
precedence over a person's choosing: a pour, whoever began it, takes over the display from every screen, so
that a press stops it.
"""

from enum import StrEnum

from tarewell.table_machine import StateTable, to
from tarewell_protocol.messages import Knob

from .events import AlarmRaised, ChoicesRead, MachineShown, PanelEvent, PourAccepted, PourOver, RequestRefused


class Screen(StrEnum):
    """What the display shows, and what knob and button do."""

    CHOOSING = "choosing"
    """Turning scrolls through the choices."""
    MEASURE = "measure"
    """Turning scrolls through the measures; left out where a choice has one."""
    AMOUNT = "amount"
    """Turning sets the amount, a press pours it."""
    ASKED = "asked"
    """The pour was requested; no press requests another."""
    POURING = "pouring"
    """A pour is under way: a press stops it."""
    HELD = "held"
    """A pour is held: its alarm and cure to read, stop and restart to choose."""
    ROUND = "round"
    """A round waits for a glass, for a step by hand, or for a decision."""
    RESULT = "result"
    """What was delivered, until acknowledged."""
    NOTICE = "notice"
    """A refusal or an alarm outside a pour, until acknowledged."""
    BLOCKED = "blocked"
    """No pour can start, and why."""
    LATCHED = "latched"
    """The emergency stop is latched."""
    RELEASING = "releasing"
    """Holding the button releases the emergency stop."""


class PanelEventKind(StrEnum):
    """The events, as the table names them."""

    TURN = "turn"
    DOWN = "down"
    CLICK = "click"
    """The button came up on the screen on which it went down, before it was a long press."""
    LOST_DOWN = "lost_down"
    """The button came up, but no press down was reported."""
    LONG = "long"
    CHOICES = "choices"
    SEEN = "seen"
    BEGUN = "begun"
    REFUSED = "refused"
    OVER = "over"
    ALARM = "alarm"


Row = dict[PanelEventKind, frozenset[Screen]]

_S = Screen
_K = PanelEventKind

_POUR = to(_S.POURING, _S.HELD)
_CHOICE = to(_S.CHOOSING, _S.MEASURE, _S.AMOUNT)
_IDLE = _CHOICE | {_S.BLOCKED, _S.LATCHED}


def _row(screen: Screen, seen: frozenset[Screen], **steps: frozenset[Screen]) -> Row:
    """A row in which nothing is under way: a pour may appear or end, an alarm be raised, the choices
    change."""
    row: Row = {
        _K.CHOICES: to(screen),
        _K.SEEN: seen | _POUR | {_S.ROUND},
        _K.BEGUN: _POUR,
        _K.REFUSED: to(_S.NOTICE),
        _K.OVER: to(_S.RESULT),
        _K.ALARM: to(_S.NOTICE),
    }
    return row | {PanelEventKind(name): targets for name, targets in steps.items()}


_ROWS: dict[Screen, Row] = {
    _S.CHOOSING: _row(
        _S.CHOOSING,
        to(_S.CHOOSING, _S.BLOCKED, _S.LATCHED),
        turn=to(_S.CHOOSING),
        click=to(_S.CHOOSING, _S.MEASURE, _S.AMOUNT),
    ),
    _S.MEASURE: _row(
        _S.MEASURE,
        to(_S.MEASURE, _S.BLOCKED, _S.LATCHED),
        turn=to(_S.MEASURE),
        click=to(_S.AMOUNT),
        long=to(_S.CHOOSING),
        choices=to(_S.MEASURE, _S.CHOOSING),
    ),
    _S.AMOUNT: _row(
        _S.AMOUNT,
        to(_S.AMOUNT, _S.BLOCKED, _S.LATCHED),
        turn=to(_S.AMOUNT),
        click=to(_S.ASKED),
        long=to(_S.CHOOSING, _S.MEASURE),
        choices=to(_S.AMOUNT, _S.CHOOSING),
    ),
    _S.ASKED: _row(_S.ASKED, to(_S.ASKED)),
    _S.POURING: {
        _K.DOWN: to(_S.POURING),
        _K.LOST_DOWN: to(_S.POURING),
        _K.LONG: to(_S.POURING),
        _K.CHOICES: to(_S.POURING),
        _K.SEEN: _POUR | {_S.ROUND},
        _K.BEGUN: _POUR,
        _K.OVER: to(_S.RESULT),
    },
    _S.HELD: {
        _K.TURN: to(_S.HELD),
        _K.CLICK: to(_S.HELD),
        _K.LONG: to(_S.HELD),
        _K.CHOICES: to(_S.HELD),
        _K.SEEN: _POUR | {_S.ROUND},
        _K.BEGUN: _POUR,
        _K.OVER: to(_S.RESULT),
    },
    _S.ROUND: _row(
        _S.ROUND,
        _IDLE,
        turn=to(_S.ROUND),
        click=to(_S.ROUND),
        long=to(_S.ROUND),
        over=to(_S.ROUND),
    ),
    _S.RESULT: _row(
        _S.RESULT,
        to(_S.RESULT),
        turn=to(_S.RESULT),
        click=to(_S.CHOOSING),
        long=to(_S.CHOOSING),
    ),
    _S.NOTICE: _row(
        _S.NOTICE,
        to(_S.NOTICE),
        turn=to(_S.NOTICE),
        click=to(_S.CHOOSING),
        long=to(_S.CHOOSING),
    ),
    _S.BLOCKED: _row(_S.BLOCKED, _IDLE, turn=to(_S.BLOCKED)),
    _S.LATCHED: _row(
        _S.LATCHED,
        _IDLE,
        turn=to(_S.LATCHED),
        click=to(_S.LATCHED, _S.RELEASING),
    ),
    _S.RELEASING: _row(
        _S.RELEASING,
        _IDLE | {_S.RELEASING},
        turn=to(_S.LATCHED),
        click=to(_S.LATCHED),
        long=to(_S.LATCHED),
    ),
}

TABLE = StateTable(_ROWS)

CARDS = frozenset({_S.HELD, _S.ROUND, _S.RESULT, _S.NOTICE, _S.BLOCKED, _S.LATCHED})
"""Screens that show a text in pages, which turning scrolls through."""


def kind_of(event: PanelEvent) -> PanelEventKind | None:
    """The table's name for an event; None for the button's, which depend on its history, and the
    display's."""
    match event:
        case Knob():
            return _K.TURN
        case ChoicesRead():
            return _K.CHOICES
        case MachineShown():
            return _K.SEEN
        case PourAccepted():
            return _K.BEGUN
        case RequestRefused():
            return _K.REFUSED
        case PourOver():
            return _K.OVER
        case AlarmRaised():
            return _K.ALARM
        case _:
            return None
