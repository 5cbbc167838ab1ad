"""Texts longer than the display: alarms with their cures, blockers, results, each with its actions."""

from dataclasses import dataclass
from enum import StrEnum

from tarewell.dosing.alarm_kinds import ALARMS, Reaction
from tarewell.dosing.alarms import Alarm
from tarewell.dosing.tolerance import Verdict
from tarewell.rounds.events import RoundCommand
from tarewell.rounds.states import RoundState

from .events import PourOver, PourShown, RequestRefused, RoundShown


class Action(StrEnum):
    """An action of a card, as the display names it."""

    STOP = "Stop pour"
    RESTART = "Restart"
    RELEASE = "Release"
    STOP_ROUND = "Stop round"
    SKIP = "Skip glass"


@dataclass(frozen=True, slots=True)
class Card:
    """A title, a text in pages, then its actions, one a page. `press` says what a press on the text does.

    `about` is a line above the text where the display has room for it.
    """

    title: str
    text: str
    press: str = ""
    actions: tuple[Action, ...] = ()
    about: str = ""


NO_CHOICES = Card("No drinks yet", "Add at computer")
LATCHED = Card(
    "Emergency stop",
    "Remove the cause, then release it here or at a computer.",
    press="choose",
    actions=(Action.RELEASE,),
)
RELEASING = Card("Release it?", "Hold the button", press="back", about="Nothing starts then.")

_VERDICTS = {
    Verdict.WITHIN: "in tolerance",
    Verdict.UNDER: "below tolerance",
    Verdict.OVER: "above tolerance",
}
_NOTES = {Verdict.UNDER: "under_target", Verdict.OVER: "over_target"}


def volume(volume_ml: float) -> str:
    """A delivered volume for people, in ml; tenths below 100 ml."""
    volume_ml = max(volume_ml, 0.0)
    return f"{volume_ml:.1f} ml" if volume_ml < 99.95 else f"{volume_ml:.0f} ml"


def short_name(name: str) -> str:
    """An alarm's name for people."""
    return name.replace("_", " ").capitalize()


def asked_card(title: str, amount: str) -> Card:
    """A pour was requested and is not under way yet."""
    return Card(title, f"{amount} ...")


def alarm_card(alarm: Alarm) -> Card:
    """An alarm outside a pour."""
    return Card(short_name(alarm.name), alarm.advice, press="ok")


def held_card(pour: PourShown) -> Card:
    """A held pour. The stop comes first: two panicked presses stop it."""
    actions = (Action.STOP, Action.RESTART)
    alarm = pour.alarm
    if alarm is None or alarm.reaction is not Reaction.HOLD:
        return Card("Held", "The pour was held: stop or restart it.", "choose", actions)
    return Card(short_name(alarm.name), alarm.advice, "choose", actions)


BY_PRESS = {RoundState.BY_HAND: RoundCommand.CONFIRM, RoundState.GLASS_READY: RoundCommand.START}
"""The command that a press on a round's text gives."""

ROUND_COMMANDS = {
    Action.STOP_ROUND: RoundCommand.STOP,
    Action.RESTART: RoundCommand.RESTART,
    Action.SKIP: RoundCommand.SKIP,
}
_PRESS = {RoundState.BY_HAND: "done", RoundState.GLASS_READY: "start"}


def round_card(seen: RoundShown) -> Card:
    """A round's prompt. The stop comes first, as with a held pour."""
    actions = [Action.STOP_ROUND, Action.SKIP]
    if seen.state is RoundState.HELD:
        actions.insert(1, Action.RESTART)
    text = seen.detail or seen.prompt
    text = f"{text[:1].upper()}{text[1:]}."
    return Card(seen.title, text, _PRESS.get(seen.state, "choose"), tuple(actions))


def blocked_card(blockers: tuple[str, ...]) -> Card:
    """Why no pour can start."""
    text = "; ".join(blockers)
    return Card("Not ready", text[:1].upper() + text[1:] + ".")


def refused_card(refused: RequestRefused) -> Card:
    """A request was refused."""
    return Card(refused.title, refused.reason[:1].upper() + refused.reason[1:] + ".", press="ok")


def result_card(over: PourOver) -> Card:
    """How a pour ended."""
    delivered, about = volume(over.delivered_ml), over.title
    kind = ALARMS.get(over.cause)
    if kind is not None:
        text = f"{kind.cure} ({over.state.capitalize()} at {delivered}.)"
        return Card(short_name(kind.name), text, press="ok", about=about)
    if over.state != "complete":
        by_hand = over.cause in ("stop", "abort")
        text = f"of {over.target_ml:.0f} ml" if by_hand else f"{short_name(over.cause)}. See the log."
        return Card(f"{over.state.capitalize()}, {delivered}", text, press="ok", about=about)
    if over.verdict is None:
        text = "not judged"
    elif over.verdict is Verdict.WITHIN:
        text = _VERDICTS[over.verdict]
    else:
        text = f"{_VERDICTS[over.verdict]}. {ALARMS[_NOTES[over.verdict]].cure}"
    return Card(f"Done, {delivered}", text, press="ok", about=about)
