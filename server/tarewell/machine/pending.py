"""What the machine waits for: writes that an answer or a pour depends on, answers of the board."""

from dataclasses import dataclass

from tarewell.dosing.setup import PourSetup
from tarewell.weighing.calibration import Calibration
from tarewell_protocol import messages as m

from .events import Requested
from .requests import BeginRound, PourRequest


@dataclass(frozen=True, slots=True)
class PourCommit:
    """The intent of a pour is being written. `asked` is None for a pour of the round under way."""

    request: PourRequest
    setup: PourSetup
    asked: Requested | None


@dataclass(frozen=True, slots=True)
class RoundCommit:
    """The intent of a round is being written."""

    request: BeginRound
    asked: Requested


@dataclass(frozen=True, slots=True)
class ZeroCommit:
    """A new zero is being written."""

    calibration: Calibration
    asked: Requested


@dataclass(frozen=True, slots=True)
class CalibrationCommit:
    """A calibration by two points is being written."""

    calibration: Calibration
    empty_counts: float
    asked: Requested


@dataclass(frozen=True, slots=True)
class TubeCommit:
    """The change of a channel's tube is being written."""

    channel: int
    asked: Requested


@dataclass(frozen=True, slots=True)
class ReleaseCommit:
    """The release of a guest's glass is being written."""

    guest: str
    asked: Requested


@dataclass(frozen=True, slots=True)
class Lookup:
    """A pour or round of this key is looked up; where there is none, the request is refused."""

    error: Exception
    asked: Requested


Occupying = PourCommit | RoundCommit | ZeroCommit | CalibrationCommit | TubeCommit
"""While one of these is written nothing else may begin."""

Pending = Occupying | ReleaseCommit | Lookup


@dataclass(frozen=True, slots=True)
class BoardAnswerDue:
    """The board's answer to a command decides the answer to a request."""

    command: m.Command
    asked: Requested
