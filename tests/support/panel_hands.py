"""A person at knob, button and display, without a machine: drives the panel's dialogue in tests."""

from playbook import After, Playbook
from tarewell.dosing.alarms import Alarm
from tarewell.dosing.states import PourState
from tarewell.local_panel import events as e
from tarewell.local_panel.choices import Choice, Measure
from tarewell.local_panel.dialogue import Dialogue
from tarewell_protocol.messages import Button, Knob, Press

MILLILITRES = Measure("millilitres", "ml", 3, 500, 1, 40)


def choice(title: str, *measures: Measure) -> Choice:
    """A choice by its title."""
    return Choice(f"test:{title}", title, measures or (MILLILITRES,))


def picture(text: str) -> list[str]:
    """The lines of a picture such as `|House Water     |`, one a line."""
    return [line.strip() for line in text.strip().splitlines()]


def pour(
    state: PourState, delivered_ml: float = 0.0, alarm: Alarm | None = None, title: str = ""
) -> e.PourShown:
    """A pour of 40 ml of something that weighs 1.1 g a millilitre."""
    return e.PourShown("pour-1", title or "House Water", state, 1.1 * delivered_ml, delivered_ml, 40.0, alarm)


DOWN = Button(Press.DOWN, 0)
LONG = Button(Press.LONG, 0)
UP = After(0.2, Button(Press.UP, 0))


class PanelUser(Playbook[Dialogue]):
    """Acts, each after a second, and what the display says then."""

    def __init__(self, columns: int = 16, rows: int = 2) -> None:
        super().__init__(Dialogue())
        self.columns = columns
        self.feed(e.DisplayFound(columns, rows))

    def offer(self, *choices: Choice | str) -> None:
        """Set the choices."""
        self.feed(e.ChoicesRead(tuple(choice(c) if isinstance(c, str) else c for c in choices)))

    def see(
        self,
        *blockers: str,
        latched: bool = False,
        pour: e.PourShown | None = None,
        round_: e.RoundShown | None = None,
    ) -> None:
        """Set the machine's state."""
        self.feed(e.MachineShown(blockers, latched, pour, round_))

    def turn(self, steps: int, after_s: float = 1.0) -> None:
        """Turn the knob, reported in one piece."""
        self.feed(After(after_s, Knob(steps, 0)))

    def press(self) -> None:
        """Press and release the button."""
        self.feed(DOWN, UP)

    def hold(self) -> None:
        """Press long enough for a long press, and release."""
        self.feed(DOWN, LONG, UP)

    @property
    def display(self) -> list[str]:
        """The lines in a frame."""
        return [f"|{line:<{self.columns}}|" for line in self.machine.lines()]
