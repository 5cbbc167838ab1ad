"""The events and outputs of a round. Masses in g."""

from dataclasses import dataclass
from enum import StrEnum

from tarewell.dosing.events import PourCommand
from tarewell.dosing.plan import PourPlan
from tarewell.menu.delivered import Outcome


class RoundCommand(StrEnum):
    """An operator's command to a round. START begins it, and later pours into the glass that is ready;
    CONFIRM completes a step by hand; SKIP leaves out the current glass."""

    START = "start"
    CONFIRM = "confirm"
    HOLD = "hold"
    RESTART = "restart"
    SKIP = "skip"
    STOP = "stop"


# In


@dataclass(frozen=True, slots=True)
class RoundCommanded:
    """The operator's command."""

    command: RoundCommand


@dataclass(frozen=True, slots=True)
class PlatformRead:
    """The load on the platform at rest."""

    gross_g: float


@dataclass(frozen=True, slots=True)
class PourBegun:
    """The requested pour has begun."""

    pour_id: str


@dataclass(frozen=True, slots=True)
class PourRefused:
    """The requested pour cannot begin; nothing was poured. `reason` says what to do."""

    reason: str


@dataclass(frozen=True, slots=True)
class PourChecked:
    """Whether the pour under way is held."""

    held: bool


@dataclass(frozen=True, slots=True)
class GlassPourEnded:
    """The pour is over, in a terminal state of a pour; `delivered_g` has one entry for each dose begun."""

    state: str
    cause: str
    delivered_g: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Released:
    """The operator lets the waiting glass of this guest be poured."""

    guest: str


@dataclass(frozen=True, slots=True)
class FoundInGlass:
    """So much more than was known had come from the dose of this index of a pour that was cut short."""

    pour_id: str
    dose_index: int
    found_g: float


RoundEvent = (
    RoundCommanded
    | PlatformRead
    | PourBegun
    | PourRefused
    | PourChecked
    | GlassPourEnded
    | Released
    | FoundInGlass
)


# Out


@dataclass(frozen=True, slots=True)
class BeginPour:
    """Pour this leg of a glass; answer with `PourBegun` or `PourRefused`."""

    glass: int
    attempt: int
    leg: int
    plan: PourPlan


@dataclass(frozen=True, slots=True)
class GivePourCommand:
    """Give this command to the pour under way."""

    pour_id: str
    command: PourCommand


@dataclass(frozen=True, slots=True)
class RoundStateChanged:
    """The round is in a state of `states.State`, at this glass (from 0); `detail` is for people."""

    state: str
    glass: int
    detail: str


class Ending(StrEnum):
    """How an attempt at a glass ended."""

    COMPLETE = "complete"
    SKIPPED = "skipped"
    SPOILT = "spoilt"
    """Its pour went wrong, and the glass is begun again."""
    STOPPED = "stopped"
    INTERRUPTED = "interrupted"
    """The program ended before the glass was done."""


@dataclass(frozen=True, slots=True)
class GlassEnded:
    """An attempt at a glass is over: its pours, and what it held as planned and as delivered."""

    glass: int
    attempt: int
    ending: Ending
    pour_ids: tuple[str, ...]
    outcome: Outcome


@dataclass(frozen=True, slots=True)
class RoundEnded:
    """The round is over, in a terminal state."""

    state: str


RoundOutput = BeginPour | GivePourCommand | RoundStateChanged | GlassEnded | RoundEnded
