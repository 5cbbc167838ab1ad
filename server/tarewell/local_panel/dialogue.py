"""The dialogue of knob, button and display: events and the time in, intents and lines out.

Nothing here reads a clock or knows where choices, pours and alarms come from. A press belongs to the screen
on which it began: a button that goes down on one screen and up on another does nothing.
"""

from collections.abc import Callable

from tarewell.dosing.alarm_kinds import ALARMS
from tarewell.dosing.states import PourState
from tarewell.rounds.events import RoundCommand
from tarewell_protocol.messages import Button, Knob, Press

from . import events as e
from .cards import (
    BY_PRESS,
    LATCHED,
    NO_CHOICES,
    RELEASING,
    ROUND_COMMANDS,
    Action,
    Card,
    alarm_card,
    asked_card,
    blocked_card,
    held_card,
    refused_card,
    result_card,
    round_card,
)
from .choices import Choice, ChosenPour, Measure
from .screens import MAX_COLUMNS, MAX_ROWS, CardView, ListView, PourScreen, View, draw, is_ending, pages
from .states import CARDS, TABLE, PanelEventKind, Screen, kind_of

RELEASE_WITHIN_S = 10.0
"""Timeout of the question whether to release the emergency stop."""

QUICK_S = 0.08
"""Reports of the knob closer together than this belong to one quick turn. Common practice, no source."""

FINE_STEPS = 4
"""The first steps of a quick turn that stay fine."""

_USED_UP = -1


class Dialogue:
    """Begins with nothing to choose, on a display of two lines until the board reports its own."""

    def __init__(self) -> None:
        self.screen = Screen.CHOOSING
        self._columns, self._rows = 16, 2
        self._choices: tuple[Choice, ...] = ()
        self._index = 0
        self._measure = 0
        self._amounts: dict[tuple[str, int], float] = {}
        self._back = Screen.CHOOSING
        self._pour: e.PourShown | None = None
        self._round: e.RoundShown | None = None
        self._command_under_way = False
        self._acknowledges: e.AlarmSeen | e.ResultSeen | None = None
        """What leaving the notice or the result acknowledges."""
        self._card = NO_CHOICES
        self._page = 0
        self._visit = 0
        self._down_visit: int | None = None
        self._entered_s = 0.0
        self._turned_s = float("-inf")
        self._quick = 0
        self._now_s = 0.0
        self._out: list[e.Intent] = []
        self._controls: dict[PanelEventKind, Callable[[], None]] = {
            PanelEventKind.DOWN: self._stop,
            PanelEventKind.LOST_DOWN: self._stop,
            PanelEventKind.CLICK: self._click,
            PanelEventKind.LONG: self._hold,
        }

    def handle(self, event: e.PanelEvent, now_s: float) -> list[e.Intent]:
        """Take one event at the host's monotonic `now_s`; returns the resulting intents.

        Raises:
            TableError: the dialogue tried a step outside its table.
        """
        self._now_s = now_s
        match event:
            case e.DisplayFound(columns, rows):
                self._columns, self._rows = min(columns, MAX_COLUMNS), min(rows, MAX_ROWS)
                return []
            case e.RoundCommandGiven():
                self._command_under_way = False
                return []
        kind = self._button(event.press) if isinstance(event, Button) else kind_of(event)
        before = self.screen
        if kind is None or not TABLE.takes(before, kind):
            return []
        self._take(event, kind)
        TABLE.check(before, kind, self.screen)
        out, self._out = self._out, []
        return out

    def lines(self) -> list[str]:
        """The lines for the display."""
        return draw(self._view(), self._columns, self._rows)

    def _button(self, press: Press) -> PanelEventKind | None:
        """The event behind a report of the button, by the screen on which it went down."""
        began = self._down_visit
        match press:
            case Press.DOWN:
                self._down_visit = self._visit
                return PanelEventKind.DOWN
            case Press.LONG:
                self._down_visit = _USED_UP
                return PanelEventKind.LONG if began in (None, self._visit) else None
            case Press.UP:
                self._down_visit = None
                if began is None:
                    return PanelEventKind.LOST_DOWN
                return PanelEventKind.CLICK if began == self._visit else None

    def _take(self, event: e.PanelEvent, kind: PanelEventKind) -> None:
        match event:
            case Button():
                self._controls[kind]()
            case Knob(steps):
                self._turn(steps)
            case e.ChoicesRead(choices):
                self._renew_choices(choices)
            case e.MachineShown():
                self._see(event)
            case e.PourAccepted(pour):
                self._follow(pour)
            case e.RequestRefused():
                self._acknowledges = None
                self._show(Screen.NOTICE, refused_card(event))
            case e.AlarmRaised(alarm):
                self._acknowledges = e.AlarmSeen(alarm.id)
                self._show(Screen.NOTICE, alarm_card(alarm))
            case e.PourOver():
                self._pour = None
                by_alarm = event.cause in ALARMS and event.pour_id is not None
                self._acknowledges = e.ResultSeen(event.pour_id or "") if by_alarm else None
                if self.screen is not Screen.ROUND:
                    self._show(Screen.RESULT, result_card(event))

    # Knob and button

    def _turn(self, steps: int) -> None:
        match self.screen:
            case Screen.CHOOSING if self._choices:
                self._index = (self._index + steps) % len(self._choices)
                self._measure = 0
            case Screen.MEASURE:
                self._measure = (self._measure + steps) % len(self._choice.measures)
            case Screen.AMOUNT:
                self._set_amount(self._way.moved(self._amount, steps, self._fine(steps)))
            case Screen.RELEASING:
                self._show(Screen.LATCHED, LATCHED)
            case screen if screen in CARDS:
                self._page = min(max(self._page + steps, 0), self._pages + len(self._card.actions) - 1)

    def _fine(self, steps: int) -> int:
        """How many of these steps stay fine: a long quick turn goes far, a turn back is fine."""
        goes_on = self._now_s - self._turned_s < QUICK_S and self._quick * steps >= 0
        before = self._quick if goes_on else 0
        self._quick, self._turned_s = before + steps, self._now_s
        return max(0, FINE_STEPS - abs(before))

    def _click(self) -> None:
        match self.screen:
            case Screen.CHOOSING if self._choices:
                self._enter(Screen.MEASURE if len(self._choice.measures) > 1 else Screen.AMOUNT)
            case Screen.MEASURE:
                self._enter(Screen.AMOUNT)
            case Screen.AMOUNT:
                self._out.append(e.AskForPour(ChosenPour(self._choice, self._measure, self._amount)))
                self._show(Screen.ASKED, asked_card(self._choice.title, self._amount_text))
            case Screen.RESULT | Screen.NOTICE:
                self._put_away()
            case Screen.RELEASING:
                self._show(Screen.LATCHED, LATCHED)
            case Screen.ROUND:
                self._act_on_round()
            case Screen.HELD | Screen.LATCHED:
                self._act()

    def _act(self) -> None:
        """Carry out the card's action; from its text, go to the first one."""
        if self._page < self._pages:
            self._page = self._pages
            return
        action = self._card.actions[self._page - self._pages]
        if action is Action.RELEASE:
            self._show(Screen.RELEASING, RELEASING)
        elif action is Action.STOP:
            self._stop()
        elif self._pour is not None:
            self._out.append(e.RestartPour(self._pour.pour_id))

    def _act_on_round(self) -> None:
        """Carry out the text's command, or the action; from other texts, go to the first action."""
        if self._round is None:
            return
        if self._page >= self._pages:
            self._command_round(ROUND_COMMANDS[self._card.actions[self._page - self._pages]])
        elif (command := BY_PRESS.get(self._round.state)) is not None:
            self._command_round(command)
        else:
            self._page = self._pages

    def _command_round(self, command: RoundCommand) -> None:
        """One command at a time: two quick presses do not confirm two steps."""
        if self._round is not None and not self._command_under_way:
            self._command_under_way = True
            self._out.append(e.GiveRoundCommand(self._round.round_id, command))

    def _hold(self) -> None:
        match self.screen:
            case Screen.ROUND:
                self._command_round(RoundCommand.STOP)
            case Screen.POURING | Screen.HELD:
                self._stop()
            case Screen.RELEASING:
                self._out.append(e.AskForRelease())
                self._show(Screen.LATCHED, LATCHED)
            case Screen.AMOUNT if len(self._choice.measures) > 1:
                self._enter(Screen.MEASURE)
            case Screen.RESULT | Screen.NOTICE:
                self._put_away()
            case _:
                self._enter(Screen.CHOOSING)

    def _put_away(self) -> None:
        if self._acknowledges is not None:
            self._out.append(self._acknowledges)
            self._acknowledges = None
        self._enter(Screen.CHOOSING)

    def _stop(self) -> None:
        if self._pour is not None and not is_ending(self._pour):
            self._out.append(e.StopPour(self._pour.pour_id))

    # The machine's events

    def _see(self, seen: e.MachineShown) -> None:
        if seen.pour is not None:
            self._follow(seen.pour)
        elif self.screen is Screen.RELEASING:
            if not seen.latched or self._now_s - self._entered_s > RELEASE_WITHIN_S:
                self._rest(seen)
        elif seen.round is not None and not seen.latched and self.screen is not Screen.NOTICE:
            self._see_round(seen.round)
        elif self.screen is Screen.ROUND:
            self._round, self._back = None, Screen.CHOOSING
            self._rest(seen)
        elif self.screen in (Screen.CHOOSING, Screen.MEASURE, Screen.AMOUNT):
            self._back = self.screen
            self._rest(seen)
        elif self.screen in (Screen.BLOCKED, Screen.LATCHED):
            self._rest(seen)

    def _see_round(self, seen: e.RoundShown) -> None:
        """A round takes the display while it waits for a person."""
        if not seen.waits:
            return
        before, self._round = self._round, seen
        if before is not None and before.step != seen.step:
            self._visit += 1
        elif self.screen is Screen.ROUND:
            self._rewrite(round_card(seen))
            return
        self._show(Screen.ROUND, round_card(seen))

    def _rest(self, seen: e.MachineShown) -> None:
        """The screen while no pour is under way."""
        if seen.latched:
            self._show(Screen.LATCHED, LATCHED)
        elif seen.blockers:
            self._show(Screen.BLOCKED, blocked_card(seen.blockers))
        else:
            self._enter(self._back)

    def _follow(self, pour: e.PourShown) -> None:
        self._pour = pour
        if pour.state is PourState.HELD:
            self._show(Screen.HELD, held_card(pour))
        else:
            self._enter(Screen.POURING)

    def _show(self, screen: Screen, card: Card) -> None:
        if screen is not self.screen or card != self._card:
            self._card, self._page = card, 0
        self._enter(screen)

    def _rewrite(self, card: Card) -> None:
        """Replace the card's text; the page or action shown stays."""
        action = self._page - self._pages
        self._card = card
        self._page = self._pages + action if action >= 0 else min(self._page, self._pages - 1)

    def _enter(self, screen: Screen) -> None:
        if screen is self.screen:
            return
        self.screen = screen
        self._visit += 1
        self._entered_s = self._now_s

    # Choices

    def _renew_choices(self, choices: tuple[Choice, ...]) -> None:
        """Stay on the same choice, wherever it is now; where it is gone, start over."""
        chosen = self._choice if self._choices else None
        self._choices = choices
        keys = [choice.key for choice in choices]
        if chosen is not None and chosen.key in keys:
            self._index = keys.index(chosen.key)
            if self._measure < len(self._choice.measures):
                return
        else:
            self._index = min(self._index, max(0, len(choices) - 1))
        self._measure = 0
        self._back = Screen.CHOOSING
        if self.screen in (Screen.MEASURE, Screen.AMOUNT):
            self._enter(Screen.CHOOSING)

    @property
    def _choice(self) -> Choice:
        return self._choices[self._index]

    @property
    def _way(self) -> Measure:
        return self._choice.measures[self._measure]

    @property
    def _amount(self) -> float:
        """The amount last set for this choice, within its present limits."""
        amount = self._amounts.get((self._choice.key, self._measure), self._way.default)
        return self._way.within(amount)

    def _set_amount(self, amount: float) -> None:
        self._amounts[self._choice.key, self._measure] = amount

    @property
    def _pages(self) -> int:
        return len(pages(self._card, self._columns, self._rows))

    # Display

    def _view(self) -> View:
        match self.screen:
            case Screen.CHOOSING if not self._choices:
                return CardView(NO_CHOICES, 0)
            case Screen.CHOOSING:
                titles = tuple(choice.title for choice in self._choices)
                place = f"{self._index + 1}/{len(titles)}"
                return ListView("Drink", titles, self._index, "next", back=False, corner=place)
            case Screen.MEASURE:
                ways = tuple(measure.title for measure in self._choice.measures)
                return ListView(self._choice.title, ways, self._measure, "next", back=True)
            case Screen.AMOUNT:
                return ListView(self._choice.title, (self._amount_text,), 0, "pour", back=True)
            case Screen.POURING if self._pour is not None:
                return PourScreen(self._pour)
            case _:
                return CardView(self._card, self._page)

    @property
    def _amount_text(self) -> str:
        return f"{self._amount:g} {self._way.unit}"
