"""The round's states and which event may lead where.

The names of ISA-88 / IEC 61512 are its procedural states; those of the first block are the steps within
RUNNING. A hold lets nothing new begin, and holds the pour under way; a pour that is held, refused or ended
early holds the round. STOPPING and SKIPPING wait for the end of the pour under way.
"""

from enum import StrEnum

from tarewell.table_machine import StateTable, UnexpectedEvent, to

from .events import (
    FoundInGlass,
    GlassPourEnded,
    PlatformRead,
    PourBegun,
    PourChecked,
    PourRefused,
    Released,
    RoundCommand,
    RoundCommanded,
    RoundEvent,
)


class RoundState(StrEnum):
    """Where a round stands."""

    IDLE = "idle"
    AWAITING_REMOVAL = "awaiting_removal"
    """The platform must be cleared before the next glass."""
    AWAITING_RELEASE = "awaiting_release"
    """The guest's limit is reached; the operator decides."""
    AWAITING_GLASS = "awaiting_glass"
    GLASS_READY = "glass_ready"
    """The right glass is ready, and a start is awaited."""
    BY_HAND = "by_hand"
    """A step by hand is shown until it is confirmed."""
    POURING = "pouring"
    SKIPPING = "skipping"
    HOLDING = "holding"
    HELD = "held"
    STOPPING = "stopping"
    STOPPED = "stopped"
    COMPLETE = "complete"


class RoundEventKind(StrEnum):
    """The events, as the table names them."""

    START = "start"
    CONFIRM = "confirm"
    HOLD = "hold"
    RESTART = "restart"
    SKIP = "skip"
    STOP = "stop"
    PLATFORM = "platform"
    POUR_BEGUN = "pour_begun"
    POUR_REFUSED = "pour_refused"
    POUR_SEEN = "pour_seen"
    POUR_ENDED = "pour_ended"
    RELEASED = "released"
    FOUND = "found"
    """More was found in a glass of a pour that had been cut short."""


Row = dict[RoundEventKind, frozenset[RoundState]]

_S = RoundState
_K = RoundEventKind


_TURN = to(_S.AWAITING_RELEASE, _S.AWAITING_GLASS)
"""The next glass has its turn."""

_ON = _TURN | {_S.AWAITING_REMOVAL, _S.COMPLETE}
"""The glass is finished, one way or the other."""


def _waiting(state: RoundState, **steps: frozenset[RoundState]) -> Row:
    """A row of RUNNING in which no pour is under way."""
    row = {
        _K.PLATFORM: to(state),
        _K.FOUND: to(state),
        _K.HOLD: to(_S.HELD),
        _K.SKIP: _ON,
        _K.STOP: to(_S.STOPPED),
    }
    return row | {RoundEventKind(kind): targets for kind, targets in steps.items()}


def _in_pour(state: RoundState, **steps: frozenset[RoundState]) -> Row:
    """A row in which a pour is under way or requested."""
    row = {
        _K.PLATFORM: to(state),
        _K.FOUND: to(state),
        _K.POUR_BEGUN: to(state),
        _K.POUR_SEEN: to(state),
        _K.STOP: to(_S.STOPPING),
    }
    return row | {RoundEventKind(kind): targets for kind, targets in steps.items()}


_ROWS: dict[RoundState, Row] = {
    _S.IDLE: {_K.START: _TURN | {_S.AWAITING_REMOVAL}},
    _S.AWAITING_REMOVAL: _waiting(_S.AWAITING_REMOVAL, platform=_TURN | {_S.AWAITING_REMOVAL}),
    _S.AWAITING_RELEASE: _waiting(_S.AWAITING_RELEASE, released=to(_S.AWAITING_GLASS)),
    _S.AWAITING_GLASS: _waiting(
        _S.AWAITING_GLASS, platform=to(_S.AWAITING_GLASS, _S.GLASS_READY, _S.BY_HAND, _S.POURING)
    ),
    _S.GLASS_READY: _waiting(
        _S.GLASS_READY,
        platform=to(_S.GLASS_READY, _S.AWAITING_GLASS),
        start=to(_S.BY_HAND, _S.POURING),
    ),
    _S.BY_HAND: _waiting(
        _S.BY_HAND, confirm=to(_S.BY_HAND, _S.AWAITING_GLASS, _S.AWAITING_REMOVAL, _S.COMPLETE)
    ),
    _S.POURING: _in_pour(
        _S.POURING,
        pour_seen=to(_S.POURING, _S.HELD),
        pour_refused=to(_S.HELD),
        pour_ended=to(_S.BY_HAND, _S.AWAITING_REMOVAL, _S.COMPLETE, _S.HELD),
        hold=to(_S.HOLDING),
        skip=to(_S.SKIPPING),
    ),
    _S.SKIPPING: _in_pour(_S.SKIPPING, pour_refused=_ON, pour_ended=_ON),
    _S.HOLDING: _in_pour(
        _S.HOLDING,
        pour_seen=to(_S.HOLDING, _S.HELD),
        pour_refused=to(_S.HELD),
        pour_ended=to(_S.HELD),
        skip=to(_S.SKIPPING),
    ),
    _S.HELD: {
        _K.PLATFORM: to(_S.HELD),
        _K.FOUND: to(_S.HELD),
        _K.POUR_SEEN: to(_S.HELD, _S.POURING),
        _K.POUR_ENDED: to(_S.HELD),
        _K.RESTART: to(
            _S.AWAITING_REMOVAL,
            _S.AWAITING_RELEASE,
            _S.AWAITING_GLASS,
            _S.BY_HAND,
            _S.POURING,
            _S.COMPLETE,
        ),
        _K.SKIP: _ON | {_S.SKIPPING},
        _K.STOP: to(_S.STOPPING, _S.STOPPED),
    },
    _S.STOPPING: {
        _K.PLATFORM: to(_S.STOPPING),
        _K.POUR_BEGUN: to(_S.STOPPING),
        _K.POUR_SEEN: to(_S.STOPPING),
        _K.POUR_REFUSED: to(_S.STOPPED),
        _K.POUR_ENDED: to(_S.STOPPED),
    },
    _S.STOPPED: {},
    _S.COMPLETE: {},
}

TABLE = StateTable(_ROWS)

RUNNING = frozenset(_S) - TABLE.terminal - {_S.IDLE, _S.HOLDING, _S.HELD, _S.STOPPING}

WAITING = (RUNNING - {_S.POURING, _S.SKIPPING}) | {_S.HELD}
"""The states that wait for a person."""


def procedural(state: RoundState) -> str:
    """The procedural state of ISA-88 / IEC 61512 that `state` belongs to."""
    return "running" if state in RUNNING else state.value


class UnexpectedRoundEvent(UnexpectedEvent[RoundState, RoundEventKind]):
    """A round's state does not take the event."""

    what = "round"
    table = TABLE
    commands = {RoundEventKind(command.value): command.value for command in RoundCommand} | {
        _K.RELEASED: "the release of the guest"
    }


def kind_of(event: RoundEvent) -> RoundEventKind:
    """The table's name for an event."""
    match event:
        case RoundCommanded(command):
            return RoundEventKind(command.value)
        case PlatformRead():
            return _K.PLATFORM
        case PourBegun():
            return _K.POUR_BEGUN
        case PourRefused():
            return _K.POUR_REFUSED
        case PourChecked():
            return _K.POUR_SEEN
        case GlassPourEnded():
            return _K.POUR_ENDED
        case Released():
            return _K.RELEASED
        case FoundInGlass():
            return _K.FOUND
