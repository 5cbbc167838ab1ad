"""A state machine's table: which events a state takes, and where each of them may lead.

Which of the allowed states comes next depends on masses and times, so the machine decides and the table
judges. An event that the state's row does not name must change nothing: the machine asks `takes` before it
acts. A step that the row does not allow is a fault in the program: the machine calls `check` after it acted.
"""

from collections.abc import Mapping
from enum import StrEnum
from typing import Generic, TypeVar

S = TypeVar("S", bound=StrEnum)
K = TypeVar("K", bound=StrEnum)


def to(*states: S) -> frozenset[S]:
    """Where an event may lead."""
    return frozenset(states)


class TableError(RuntimeError):
    """A machine tried a step that its table does not allow: a fault in the program."""


class StateTable(Generic[S, K]):
    """Rows by state, each with the allowed targets by kind of event; the first state is where it begins."""

    def __init__(self, rows: Mapping[S, Mapping[K, frozenset[S]]]) -> None:
        self.rows = rows
        self.terminal = frozenset(state for state, row in rows.items() if not row)
        """The states that take no event."""

    def takes(self, state: S, kind: K) -> bool:
        """Whether `state` takes the event."""
        return kind in self.rows[state]

    def check(self, before: S, kind: K, after: S) -> None:
        """Judge a step that was taken; to stay is always allowed.

        Raises:
            TableError: the row of `before` does not allow it.
        """
        if after is not before and after not in self.rows[before][kind]:
            raise TableError(f"{type(before).__name__}: {before} --{kind}--> {after} is not in the table")

    def diagram(self) -> str:
        """The table in Mermaid's notation, with one arrow for each pair of states."""
        arrows: dict[tuple[S, S], list[str]] = {}
        for state, row in self.rows.items():
            for kind, targets in row.items():
                for target in targets - {state}:
                    arrows.setdefault((state, target), []).append(kind.value)
        order = list(self.rows)
        lines = ["stateDiagram-v2", f"    [*] --> {order[0]}"]
        for (source, target), kinds in sorted(
            arrows.items(), key=lambda item: (order.index(item[0][0]), order.index(item[0][1]))
        ):
            lines.append(f"    {source} --> {target}: {', '.join(kinds)}")
        lines += [f"    {state} --> [*]" for state in order if state in self.terminal]
        return "\n".join(lines) + "\n"


class UnexpectedEvent(Exception, Generic[S, K]):  # noqa: N818 - it names what happened
    """An event that the present state does not take; nothing changed. The text says what it takes."""

    what: str
    """What the machine runs, as in "a round"."""
    table: StateTable[S, K]
    commands: Mapping[K, str]
    """What a person may do, in words."""

    def __init__(self, state: S, kind: K) -> None:
        *others, last = [
            word for command, word in self.commands.items() if self.table.takes(state, command)
        ] or ["no more commands"]
        taken = f"{', '.join(others)} or {last}" if others else last
        super().__init__(f"a {self.what} that is {state} does not take {kind}; it takes {taken}")
        self.state = state
        self.kind = kind
