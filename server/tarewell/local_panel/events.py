"""The dialogue's events and intents, as values."""

from dataclasses import dataclass

from tarewell.dosing.alarms import Alarm
from tarewell.dosing.states import PourState
from tarewell.dosing.tolerance import Verdict
from tarewell.rounds.events import RoundCommand
from tarewell.rounds.states import WAITING, RoundState
from tarewell_protocol.messages import Button, Knob

from .choices import Choice, ChosenPour

# In, besides the board's own reports of knob and button


@dataclass(frozen=True, slots=True)
class DisplayFound:
    """A board with a display has connected; the display's contents are unknown."""

    columns: int
    rows: int


@dataclass(frozen=True, slots=True)
class ChoicesRead:
    """The new choices."""

    choices: tuple[Choice, ...]


@dataclass(frozen=True, slots=True)
class PourShown:
    """The pour under way, whoever began it. `title` names what flows now; masses in g, volumes in ml."""

    pour_id: str
    title: str
    state: PourState
    delivered_g: float
    delivered_ml: float
    target_ml: float
    alarm: Alarm | None = None


@dataclass(frozen=True, slots=True)
class RoundShown:
    """The round under way, whoever began it. `title` names its glass, `leg` counts that glass's
    steps; `prompt` says what to do and `detail` what is wrong."""

    round_id: str
    title: str
    state: RoundState
    leg: int
    prompt: str
    detail: str

    @property
    def waits(self) -> bool:
        """Whether it waits for a person."""
        return self.state in WAITING

    @property
    def step(self) -> tuple[str, str, RoundState, int]:
        """Equal while the prompt is the same, whatever is wrong."""
        return self.round_id, self.title, self.state, self.leg


@dataclass(frozen=True, slots=True)
class MachineShown:
    """The machine at a glance: blockers, emergency stop, pour and round under way."""

    blockers: tuple[str, ...]
    latched: bool
    pour: PourShown | None
    round: RoundShown | None = None


@dataclass(frozen=True, slots=True)
class RoundCommandGiven:
    """The command has reached the round, whether or not the round accepted it."""


@dataclass(frozen=True, slots=True)
class PourAccepted:
    """The requested pour is under way."""

    pour: PourShown


@dataclass(frozen=True, slots=True)
class RequestRefused:
    """A request was refused; the reason says what to do."""

    title: str
    reason: str


@dataclass(frozen=True, slots=True)
class PourOver:
    """A pour's outcome is in the records. `verdict` is its worst dose's, None where one was not judged."""

    title: str
    state: str
    cause: str
    delivered_ml: float
    target_ml: float
    verdict: Verdict | None
    pour_id: str | None = None


@dataclass(frozen=True, slots=True)
class AlarmRaised:
    """An alarm while no pour is under way."""

    alarm: Alarm


PanelEvent = (
    Button
    | Knob
    | DisplayFound
    | ChoicesRead
    | MachineShown
    | RoundCommandGiven
    | PourAccepted
    | RequestRefused
    | PourOver
    | AlarmRaised
)

# Out


@dataclass(frozen=True, slots=True)
class AskForPour:
    """Begin a pour; exactly one for each press that asks for it."""

    chosen: ChosenPour


@dataclass(frozen=True, slots=True)
class StopPour:
    """Stop the pour, in order."""

    pour_id: str


@dataclass(frozen=True, slots=True)
class RestartPour:
    """Restart a held pour."""

    pour_id: str


@dataclass(frozen=True, slots=True)
class AskForRelease:
    """Release the latched emergency stop; starts nothing."""


@dataclass(frozen=True, slots=True)
class AlarmSeen:
    """Acknowledge this alarm."""

    alarm_id: str


@dataclass(frozen=True, slots=True)
class ResultSeen:
    """Acknowledge the alarms of this pour."""

    pour_id: str


@dataclass(frozen=True, slots=True)
class GiveRoundCommand:
    """Give a command to the round."""

    round_id: str
    command: RoundCommand


Intent = AskForPour | StopPour | RestartPour | AskForRelease | AlarmSeen | ResultSeen | GiveRoundCommand
