"""Replays a stored pour and compares the decisions."""

from collections.abc import Iterable
from dataclasses import dataclass

from .events import PourEvent, PourOutput, Raised
from .pour import Pour
from .setup import PourSetup
from .states import UnexpectedPourEvent


@dataclass(frozen=True, slots=True)
class Difference:
    """A decision that differs at the host time `now_s`; None where one side decided nothing."""

    now_s: float
    recorded: PourOutput | None
    replayed: PourOutput | None


@dataclass(frozen=True, slots=True)
class ReplayReport:
    """The result of a replay; `complete` is False for a pour whose record breaks off."""

    events: int
    decisions: int
    complete: bool
    differences: tuple[Difference, ...]

    @property
    def same(self) -> bool:
        """Whether every decision came out as recorded."""
        return not self.differences


def replay(
    setup: PourSetup, entries: Iterable[tuple[float, PourEvent | PourOutput]], most: int = 20
) -> ReplayReport:
    """Run the events among `entries` through a new pour and compare its outputs with the recorded ones.

    Stops after `most` differences, since one early difference makes all that follows differ. Where the
    record breaks off, after a crash, the outputs of its last event may be missing and are not compared.
    """
    steps = _steps(entries)
    pour = Pour(setup)
    differences: list[Difference] = []
    decisions = 0
    for index, (now_s, event, recorded) in enumerate(steps):
        try:
            replayed = pour.handle(event, now_s)
        except UnexpectedPourEvent:
            replayed = []
        last = index == len(steps) - 1
        if last and not recorded and not pour.finished:
            break
        decisions += len(recorded)
        for position in range(max(len(recorded), len(replayed))):
            was = recorded[position] if position < len(recorded) else None
            now = replayed[position] if position < len(replayed) else None
            if _decision(was) != _decision(now):
                differences.append(Difference(now_s, was, now))
        if len(differences) >= most:
            break
    return ReplayReport(len(steps), decisions, pour.finished, tuple(differences[:most]))


def _decision(output: PourOutput | None) -> PourOutput | tuple[str, str] | None:
    """The output without an alarm's words for people, which a newer program may have improved."""
    return (output.alarm.name, output.alarm.reaction) if isinstance(output, Raised) else output


def _steps(
    entries: Iterable[tuple[float, PourEvent | PourOutput]],
) -> list[tuple[float, PourEvent, list[PourOutput]]]:
    """Each event with the outputs that were recorded after it."""
    steps: list[tuple[float, PourEvent, list[PourOutput]]] = []
    for now_s, item in entries:
        if isinstance(item, PourEvent):
            steps.append((now_s, item, []))
        elif not steps:
            raise ValueError("the record begins with a decision instead of an event, so it is incomplete")
        else:
            steps[-1][2].append(item)
    return steps
