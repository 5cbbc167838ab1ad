"""The pour's states and which event may lead where.

The states in capitals of ISA-88 / IEC 61512 are its procedural states; those of the first block are the
steps within RUNNING. A hold, from the operator or an alarm, stops the pump first (HOLDING) and waits for
somebody (HELD); RESTARTING checks that the same glass is back. STOPPING ends the pour in order, with a
settled mass; ABORTING ends it at once. The table is the law: the machine refuses an event that a row does
not name, and a step that the table does not allow is a programming error that stops the pour.
"""

from enum import StrEnum

from tarewell.table_machine import StateTable, UnexpectedEvent, to
from tarewell.weighing.reading import Reading

from .events import (
    BoardRefused,
    BoardStopped,
    LinkLost,
    PourCommand,
    PourCommanded,
    PourInput,
    Tick,
    WatchRaised,
)


class PourState(StrEnum):
    """Where a pour stands."""

    IDLE = "idle"
    AWAITING_GLASS = "awaiting_glass"
    TARING = "taring"
    COARSE_FEED = "coarse_feed"
    FINE_FEED = "fine_feed"
    SETTLING = "settling"
    JOG_FEED = "jog_feed"
    SUCK_BACK = "suck_back"
    HOLDING = "holding"
    HELD = "held"
    RESTARTING = "restarting"
    STOPPING = "stopping"
    STOPPED = "stopped"
    ABORTING = "aborting"
    ABORTED = "aborted"
    COMPLETE = "complete"


class PourEventKind(StrEnum):
    """The events, as the table names them."""

    START = "start"
    HOLD = "hold"
    RESTART = "restart"
    STOP = "stop"
    ABORT = "abort"
    SAMPLE = "sample"
    BOARD_STOPPED = "board_stopped"
    BOARD_REFUSED = "board_refused"
    LINK_LOST = "link_lost"
    WATCH_RAISED = "watch_raised"
    TICK = "tick"


Row = dict[PourEventKind, frozenset[PourState]]

_S = PourState
_K = PourEventKind

_OUT = to(_S.HOLDING, _S.STOPPING, _S.ABORTING)


def _running(*steps: PourState) -> Row:
    """A row of RUNNING: a sample or the time leads to `steps` or, by an alarm, out of RUNNING."""
    onward = to(*steps) | _OUT
    return {
        _K.SAMPLE: onward,
        _K.TICK: onward,
        _K.BOARD_STOPPED: onward,
        _K.BOARD_REFUSED: _OUT,
        _K.WATCH_RAISED: _OUT,
        _K.HOLD: to(_S.HOLDING),
        _K.STOP: to(_S.STOPPING),
        _K.ABORT: to(_S.ABORTING),
        _K.LINK_LOST: to(_S.ABORTED),
    }


def _leaving(*targets: PourState, stop: bool = False) -> Row:
    """A row outside RUNNING: samples, time and reports lead to `targets`."""
    onward = to(*targets, _S.ABORTING)
    row: Row = {_K.STOP: to(_S.STOPPING)} if stop else {}
    return row | {
        _K.SAMPLE: onward,
        _K.TICK: onward,
        _K.BOARD_STOPPED: onward,
        _K.BOARD_REFUSED: onward,
        _K.WATCH_RAISED: to(_S.ABORTING),
        _K.ABORT: to(_S.ABORTING),
        _K.LINK_LOST: to(_S.ABORTED),
    }


_AFTER_DOSE = _S.SUCK_BACK, _S.SETTLING, _S.COARSE_FEED, _S.FINE_FEED, _S.JOG_FEED, _S.COMPLETE

_ROWS: dict[PourState, Row] = {
    _S.IDLE: {_K.START: to(_S.AWAITING_GLASS), _K.LINK_LOST: to(_S.ABORTED)},
    _S.AWAITING_GLASS: _running(_S.AWAITING_GLASS, _S.TARING),
    _S.TARING: _running(_S.AWAITING_GLASS, _S.TARING, _S.COARSE_FEED, _S.FINE_FEED, _S.JOG_FEED),
    _S.COARSE_FEED: _running(_S.COARSE_FEED, _S.FINE_FEED, _S.SETTLING),
    _S.FINE_FEED: _running(_S.FINE_FEED, _S.SETTLING),
    _S.SETTLING: _running(_S.SETTLING, _S.COARSE_FEED, _S.FINE_FEED, _S.JOG_FEED, _S.SUCK_BACK, _S.COMPLETE),
    _S.JOG_FEED: _running(_S.JOG_FEED, _S.SETTLING),
    _S.SUCK_BACK: _running(*_AFTER_DOSE) | {_K.BOARD_REFUSED: to(*_AFTER_DOSE) | _OUT},
    _S.HOLDING: _leaving(_S.HOLDING, _S.HELD, stop=True),
    _S.HELD: _leaving(_S.HELD, stop=True) | {_K.RESTART: to(_S.RESTARTING)},
    _S.RESTARTING: _leaving(_S.RESTARTING, _S.AWAITING_GLASS, _S.SETTLING, _S.HOLDING, stop=True)
    | {_K.HOLD: to(_S.HOLDING)},
    _S.STOPPING: _leaving(_S.STOPPING, _S.STOPPED),
    _S.STOPPED: {},
    _S.ABORTING: {
        _K.SAMPLE: to(_S.ABORTING, _S.ABORTED),
        _K.TICK: to(_S.ABORTING, _S.ABORTED),
        _K.BOARD_STOPPED: to(_S.ABORTING, _S.ABORTED),
        _K.BOARD_REFUSED: to(_S.ABORTING),
        _K.LINK_LOST: to(_S.ABORTED),
    },
    _S.ABORTED: {},
    _S.COMPLETE: {},
}

TABLE = StateTable(_ROWS)

FEEDING = frozenset({_S.COARSE_FEED, _S.FINE_FEED, _S.JOG_FEED})
"""The states in which a pump is commanded on forwards."""

COMMANDED = FEEDING | {_S.SUCK_BACK}
"""The states in which a pump is commanded on, forwards or back."""

RUNNING = COMMANDED | {_S.AWAITING_GLASS, _S.TARING, _S.SETTLING}


def procedural(state: PourState) -> str:
    """The procedural state of ISA-88 / IEC 61512 that `state` belongs to."""
    return "running" if state in RUNNING else state.value


class UnexpectedPourEvent(UnexpectedEvent[PourState, PourEventKind]):
    """A pour's state does not take the event."""

    what = "pour"
    table = TABLE
    commands = {PourEventKind(command.value): command.value for command in PourCommand}  # noqa: RUF012


def kind_of(event: PourInput) -> PourEventKind:
    """The table's name for an event."""
    match event:
        case Reading():
            return _K.SAMPLE
        case PourCommanded(command):
            return PourEventKind(command.value)
        case BoardStopped():
            return _K.BOARD_STOPPED
        case BoardRefused():
            return _K.BOARD_REFUSED
        case LinkLost():
            return _K.LINK_LOST
        case WatchRaised():
            return _K.WATCH_RAISED
        case Tick():
            return _K.TICK
