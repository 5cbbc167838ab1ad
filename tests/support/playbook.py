"""A script for a pure machine: events go in, and the effects they must have are written beside them.

    book = Playbook(machine)
    ended = Some(PourEnded, state="stopped")
    assert book >> STOP << StopPumps() << STOPPING >> AT_REST << STOPPED << ended
    assert ended().cause == "stop"

`>>` writes an event, `<<` an effect of the event before it. All of its effects are written, in their order;
an event with none must have none. The script is played once it is asserted, and the next one goes on from
there. A script that nobody asserted fails its test (`tests/conftest.py`).

The machine, a pour or a round also goes through JSON before each event: what comes back must do the same.

Any object with `handle(event, now_s)` that returns effects can be played. If it has `wakeup_s` too, and the
playbook a `tick` to wake it with, `Wait` lets time pass.
"""

import json
import operator
from collections.abc import Sequence
from dataclasses import dataclass, field, fields, is_dataclass, replace
from typing import Any, Generic, Protocol, TypeVar

from tarewell.state_json import dump_state, load_state

T = TypeVar("T")
Bound = dict["Some[Any]", Any]


class PureMachine(Protocol):
    """Events and the time in, effects out."""

    def handle(self, event: Any, now_s: float) -> Sequence[Any]: ...


M = TypeVar("M", bound=PureMachine)


class Some(Generic[T]):
    """Stands for any `kind` whose named fields match; calling it gives the one that came.

    From then on it stands for that one alone, in later effects as in later events. Fields may be `Some`
    too, and a `Some` may be a field of an effect that is written out.
    """

    def __init__(self, kind: type[T], /, **named: Any) -> None:
        if is_dataclass(kind) and (unknown := named.keys() - {each.name for each in fields(kind)}):
            raise TypeError(f"{kind.__name__} has no field {', '.join(sorted(unknown))}")
        self.kind, self.named = kind, named
        self.came: list[T] = []

    def __call__(self) -> T:
        if not self.came:
            raise ValueError(f"{self!r} has not come yet; assert the playbook first")
        return self.came[0]

    def __repr__(self) -> str:
        if self.came:
            return repr(self.came[0])
        return f"Some({', '.join([self.kind.__name__, *(f'{k}={v!r}' for k, v in self.named.items())])})"


@dataclass(frozen=True)
class After:
    """The event comes this many seconds after the one before it, instead of the playbook's step."""

    seconds: float
    event: Any


@dataclass(frozen=True)
class Wait:
    """Time passes; the machine is woken whenever it wants to be."""

    seconds: float


@dataclass
class Turn:
    """One line of the script, and what came of it."""

    event: Any
    expected: list[Any] = field(default_factory=list)
    came: list[Any] = field(default_factory=list)
    at_s: float = 0.0


_unplayed: list["Playbook[Any]"] = []


class Playbook(Generic[M]):
    """Plays scripts on `machine`, with an event each `step_s` seconds; `effects` has all that came so far."""

    def __init__(self, machine: M, now_s: float = 100.0, step_s: float = 1.0, tick: Any = None) -> None:
        self.machine = machine
        self.now_s = now_s
        self.effects: list[Any] = []
        self._step_s = step_s
        self._tick = tick
        self._script: list[Turn] = []

    def __rshift__(self, event: Any) -> "Playbook[M]":
        if not self._script:
            _unplayed.append(self)
        self._script.append(Turn(event))
        return self

    def __lshift__(self, effect: Any) -> "Playbook[M]":
        if not self._script:
            raise ValueError(f"{effect!r} has no event; begin with `>>`")
        self._script[-1].expected.append(effect)
        return self

    def __bool__(self) -> bool:
        """Play the script.

        Raises:
            AssertionError: other effects came; the text shows the script up to there, and the difference.
        """
        __tracebackhide__ = True
        script, self._script = self._script, []
        if not script:
            raise ValueError("the playbook has no events; write them with `>>`")
        if self in _unplayed:
            _unplayed.remove(self)
        for number, turn in enumerate(script):
            self._play(turn)
            bound: Bound = {}
            if not _match(turn.expected, turn.came, bound):
                raise AssertionError("\n".join(_told(script[: number + 1])))
            for some, value in bound.items():
                some.came.append(value)
        return True

    def feed(self, *events: Any) -> list[Any]:
        """Feed events whose effects are another test's concern, up to where this one begins."""
        turns = [Turn(event) for event in events]
        for turn in turns:
            self._play(turn)
        return [effect for turn in turns for effect in turn.came]

    def of(self, kind: type[T]) -> list[T]:
        """All effects of one kind so far."""
        return [effect for effect in self.effects if isinstance(effect, kind)]

    def _play(self, turn: Turn) -> None:
        match turn.event:
            case Wait(seconds):
                self._wait(self.now_s + seconds, turn)
            case After(seconds, event):
                self._handle(event, self.now_s + seconds, turn)
            case event:
                self._handle(event, self.now_s + self._step_s, turn)
        turn.at_s = self.now_s

    def _wait(self, until_s: float, turn: Turn) -> None:
        while (due_s := self._wakeup_s) is not None and due_s <= until_s:
            self._handle(self._tick, max(due_s, self.now_s), turn)
            if self._wakeup_s == due_s:
                raise AssertionError(f"woken at {due_s} s, it wants to be woken at {due_s} s again")
        self.now_s = until_s

    @property
    def _wakeup_s(self) -> float | None:
        if self._tick is None:
            return None
        wakeup_s: float | None = self.machine.wakeup_s  # type: ignore[attr-defined]
        return wakeup_s

    def _handle(self, event: Any, now_s: float, turn: Turn) -> None:
        self.now_s = now_s
        filled, before = _filled(event), _kept(self.machine)
        came = self.machine.handle(filled, now_s)
        if before is not None:
            _require_same(before, filled, now_s, came, self.machine)
        turn.came += came
        self.effects += came


def take_unplayed() -> list[str]:
    """The events that were written and never asserted, which are forgotten with it."""
    told = [f"   >> {_short(turn.event)}" for book in _unplayed for turn in book._script]
    _unplayed.clear()
    return told


def _kept(machine: object) -> str | None:
    """The state as text; None for what is no part of the machine."""
    ours = type(machine).__module__.startswith(("tarewell.machine.", "tarewell.dosing.", "tarewell.rounds."))
    return json.dumps(dump_state(machine), allow_nan=False) if ours else None


def _require_same(before: str, event: Any, now_s: float, came: Sequence[Any], after: object) -> None:
    twin = load_state(json.loads(before))
    assert dump_state(twin.handle(event, now_s)) == dump_state(came), "after JSON it does something else"
    assert dump_state(twin) == dump_state(after), "after JSON it is in another state"


def _match(expected: Any, came: Any, bound: Bound) -> bool:
    """Whether `came` is as `expected`; each `Some` that it took goes into `bound`."""
    match expected:
        case Some() if expected.came or expected in bound:
            return bool(came == (bound[expected] if expected in bound else expected()))
        case Some(kind=kind, named=named):
            bound[expected] = came
            return isinstance(came, kind) and all(
                _match(value, getattr(came, name), bound) for name, value in named.items()
            )
        case tuple() | list():
            return (
                isinstance(came, type(expected))
                and len(expected) == len(came)
                and all(_match(one, other, bound) for one, other in zip(expected, came, strict=True))
            )
        case _ if is_dataclass(expected) and type(expected) is type(came):
            return all(
                _match(getattr(expected, each.name), getattr(came, each.name), bound)
                for each in fields(expected)
                if each.compare
            )
        case _:
            return bool(expected == came)


def _filled(event: Any) -> Any:
    """The event with what has come in place of each `Some`."""
    match event:
        case Some():
            return event()
        case tuple():
            items = tuple(map(_filled, event))
            return event if all(map(operator.is_, items, event)) else items
        case _ if is_dataclass(event) and not isinstance(event, type):
            values = {each.name: getattr(event, each.name) for each in fields(event) if each.init}
            filled = {name: _filled(value) for name, value in values.items()}
            changed = {name: value for name, value in filled.items() if value is not values[name]}
            return replace(event, **changed) if changed else event
        case _:
            return event


def _told(script: Sequence[Turn]) -> list[str]:
    """The script up to the turn that went wrong; `-` was expected and `+` came instead."""
    lines = ["the machine did something else (- expected, + came):"]
    *before, wrong = script
    for turn in before:
        lines += [_line(turn), *(f"   << {_short(effect)}" for effect in turn.came)]
    lines.append(_line(wrong))
    expected, came = wrong.expected, wrong.came
    most = min(len(expected), len(came))
    same, bound = 0, Bound()
    while same < most and _match(expected[same], came[same], bound):
        same += 1
    last = 0
    while last < most - same and _match(expected[-1 - last], came[-1 - last], dict(bound)):
        last += 1
    lines += [f"   << {_short(effect)}" for effect in came[:same]]
    differing = came[same : len(came) - last]
    for position, effect in enumerate(expected[same : len(expected) - last]):
        lines.append(f" - << {_short(effect)}")
        if position < len(differing):
            lines += _fields_that_differ(effect, differing[position])
    lines += [f" + << {_short(effect)}" for effect in differing]
    lines += [f"   << {_short(effect)}" for effect in came[len(came) - last :]]
    return lines


def _fields_that_differ(expected: Any, came: Any) -> list[str]:
    if isinstance(expected, Some) and isinstance(came, expected.kind):
        named = expected.named
    elif is_dataclass(expected) and type(expected) is type(came):
        named = {each.name: getattr(expected, each.name) for each in fields(expected) if each.compare}
    else:
        return []
    return [
        f" ?      {name}: {value!r} expected, {getattr(came, name)!r} came"
        for name, value in named.items()
        if not _match(value, getattr(came, name), {})
    ]


def _line(turn: Turn) -> str:
    return f"   >> {_short(turn.event)}  at {turn.at_s:g} s"


def _short(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 150 else f"{text[:147]}..."
