"""Replays a stored pour and compares the decisions."""

from collections.abc import Iterable
from dataclasses import dataclass, fields, is_dataclass, replace
from math import isclose
from typing import Any

from .alarms import Alarm
from .events import DoseEnded, Learned, PourEnded, PourEvent, PourOutput, Tick
from .setup import PourSetup
from .states import UnexpectedPourEvent
from .weighing_pour import WeighingPour

ROUNDING = 1e-6
"""Numbers that differ by no more, relative or absolute, count as the same: the last digits of a sum depend on
how it is added up, which may change with the version of Python or of this program."""


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
        """Whether every decision came out as recorded, up to `ROUNDING`."""
        return not self.differences


def replay(
    setup: PourSetup, entries: Iterable[tuple[float, PourEvent | PourOutput]], most: int = 20
) -> ReplayReport:
    """Run the events among `entries` through a new pour and compare its outputs with the recorded ones.

    Stops after `most` differences, since one early difference makes all that follows differ. Where the
    record breaks off, after a crash, the outputs of its last event may be missing and are not compared.
    """
    steps = _steps(entries)
    pour = WeighingPour(setup)
    differences: list[Difference] = []
    decisions = 0
    for index, (now_s, event, recorded) in enumerate(steps):
        due_s = pour.wakeup_s
        if isinstance(event, Tick) and due_s is not None and 0 < due_s - now_s < ROUNDING:
            now_s = due_s  # it came when it was due, by the last digits of the time
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
            if not alike(was, _as_known(now, was)):
                differences.append(Difference(now_s, was, now))
        if len(differences) >= most:
            break
    return ReplayReport(len(steps), decisions, pour.finished, tuple(differences[:most]))


def _as_known(replayed: PourOutput | None, recorded: PourOutput | None) -> PourOutput | None:
    """Without what an older program did not record: uncertainty, and how a glass settles."""
    if isinstance(replayed, Learned) and isinstance(recorded, Learned) and not recorded.inflight.settling:
        return replace(replayed, inflight=replace(replayed.inflight, settling=()))
    if not isinstance(replayed, DoseEnded | PourEnded):
        return replayed
    unknown = isinstance(recorded, DoseEnded | PourEnded) and recorded.uncertainty_g is None
    return replace(replayed, uncertainty_g=None) if unknown else replayed


def alike(one: Any, other: Any) -> bool:
    """Whether two outputs, or parts of them, are the same up to rounding."""
    if type(one) is not type(other):
        return False
    match one:
        case Alarm():  # a newer program may have improved its words
            return (one.name, one.reaction) == (other.name, other.reaction)
        case float():
            return isclose(one, other, rel_tol=ROUNDING, abs_tol=ROUNDING)
        case tuple() | list():
            return len(one) == len(other) and all(map(alike, one, other))
        case dict():
            return one.keys() == other.keys() and all(alike(one[key], other[key]) for key in one)
        case Exception():
            return str(one) == str(other)
    if is_dataclass(one):
        return all(alike(getattr(one, field.name), getattr(other, field.name)) for field in fields(one))
    return bool(one == other)


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
