"""The values of the records that the machine does not know.

Times are aware and in UTC; masses in g, densities in g/ml, strength in % by volume.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from tarewell.machine.pour_record import PourRecord
from tarewell.machine.round_record import RoundRecord
from tarewell.menu.values import Bottle, Glass, Liquid, Movement, Recipe
from tarewell.weighing.calibration import Calibration

INTERRUPTED = "interrupted"
"""State of a pour whose program ended before it did."""

MAX_PAGE = 500


@dataclass(frozen=True, slots=True)
class Change:
    """An item of the set-up before (None: it did not exist) and after a change."""

    before: "SetUpPart | None"
    after: "SetUpPart"


@dataclass(frozen=True, slots=True)
class Channel:
    """A pump with its tube, and the liquid assigned to it."""

    number: int
    liquid_id: str | None
    name: str


SetUpPart = Liquid | Glass | Recipe | Channel | Bottle


@dataclass(frozen=True, slots=True)
class StockMovement:
    """A line of a bottle's ledger: `change_g` is above 0 for liquid in, below 0 for liquid out.

    `pour_id` and `dose_index` name the dose behind it (None: there was no pour).
    """

    id: int
    bottle_id: str
    at: datetime
    kind: Movement
    change_g: float
    pour_id: str | None
    dose_index: int | None


@dataclass(frozen=True, slots=True)
class PourQuery:
    """A query for pours: begun from `since` on and before `until`, in a state, with a dose from a channel, of
    a recipe, for a guest of a round; with or without alarms, with or without a dose out of its tolerance.

    `before` and `after` are pour ids: only pours older, or newer, than that one; at most one of the two.

    Raises:
        ValueError: a limit outside 1 to `MAX_PAGE`, or both cursors.
    """

    since: datetime | None = None
    until: datetime | None = None
    state: str | None = None
    channel: int | None = None
    limit: int = 50
    before: str | None = None
    after: str | None = None
    recipe_id: str | None = None
    guest: str | None = None
    alarm: bool | None = None
    out_of_tolerance: bool | None = None

    def __post_init__(self) -> None:
        if not 1 <= self.limit <= MAX_PAGE:
            raise ValueError(f"a page holds 1 to {MAX_PAGE} pours, got {self.limit}")
        if self.before is not None and self.after is not None:
            raise ValueError("a page is before one pour or after one, not both; give one cursor")


@dataclass(frozen=True, slots=True)
class PourPage:
    """Pours, newest first; `older` is the next query's `before`, `newer` its `after`; None: no more."""

    pours: tuple[PourRecord, ...]
    older: str | None
    newer: str | None


@dataclass(frozen=True, slots=True)
class StoredEvent:
    """A row of the journal; `seq` counts from 1 without gaps."""

    seq: int
    machine_id: str
    at: datetime
    kind: str
    pour_id: str | None
    body: Mapping[str, Any]
    hash: str


@dataclass(frozen=True, slots=True)
class CalibrationRecord:
    """A calibration with when and how it was made: "two_point" or "zero"."""

    calibration: Calibration
    at: datetime
    how: str


MAX_ROUNDS = 200
"""Rounds on one page."""


@dataclass(frozen=True, slots=True)
class RoundPage:
    """Rounds, newest first; `older` is the next query's `before`; None: no more."""

    rounds: tuple[RoundRecord, ...]
    older: str | None
