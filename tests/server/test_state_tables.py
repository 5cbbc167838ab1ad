"""The tables of pour, round and panel: whole, and drawn in the docs; a step outside one is a fault."""

import runpy
from enum import StrEnum
from itertools import chain
from pathlib import Path
from typing import Any

import pytest

from tarewell.dosing import states as pour
from tarewell.local_panel import states as panel
from tarewell.orders import states as order
from tarewell.rounds import states as round_
from tarewell.table_machine import StateTable, TableError

DOCS = Path(__file__).parents[2] / "docs"

TABLES = {
    pour.PourState: (pour.TABLE, pour.PourEventKind, {"complete", "stopped", "aborted"}),
    round_.RoundState: (round_.TABLE, round_.RoundEventKind, {"complete", "stopped"}),
    order.OrderState: (order.TABLE, order.OrderEventKind, {"collected", "taken_back", "sent_back"}),
    panel.Screen: (panel.TABLE, panel.PanelEventKind, set()),
}


@pytest.mark.parametrize("states", TABLES)
def test_every_state_has_a_row_and_can_be_reached_and_every_event_is_taken_somewhere(states: Any) -> None:
    table, kinds, terminal = TABLES[states]
    assert list(table.rows) == list(states)
    assert table.terminal == terminal
    first, *_ = states
    reached = {first}
    while not reached >= (onward := set(chain(*(t for s in reached for t in table.rows[s].values())))):
        reached |= onward
    assert reached == set(states)
    assert {kind for row in table.rows.values() for kind in row} == set(kinds)


class Door(StrEnum):
    SHUT = "shut"
    AJAR = "ajar"
    GONE = "gone"


class Shove(StrEnum):
    PUSH = "push"
    PULL = "pull"


DOOR = StateTable(
    {
        Door.SHUT: {Shove.PUSH: frozenset({Door.AJAR}), Shove.PULL: frozenset({Door.AJAR})},
        Door.AJAR: {Shove.PULL: frozenset({Door.SHUT, Door.GONE})},
        Door.GONE: {},
    }
)


def test_a_step_outside_the_table_is_a_fault_and_staying_is_none() -> None:
    DOOR.check(Door.SHUT, Shove.PUSH, Door.AJAR)
    DOOR.check(Door.SHUT, Shove.PUSH, Door.SHUT)
    with pytest.raises(TableError, match="shut --push--> gone"):
        DOOR.check(Door.SHUT, Shove.PUSH, Door.GONE)


def test_the_diagram_has_one_arrow_for_each_pair_in_the_order_of_the_states() -> None:
    assert DOOR.diagram().splitlines() == [
        "stateDiagram-v2",
        "    [*] --> shut",
        "    shut --> ajar: push, pull",
        "    ajar --> shut: pull",
        "    ajar --> gone: pull",
        "    gone --> [*]",
    ]


def test_the_diagrams_in_the_docs_are_the_tables() -> None:
    for name, text in runpy.run_path(str(DOCS / "draw_states.py"))["PAGES"].items():
        assert (DOCS / name).read_text() == text, f"docs/{name} is out of date; run `make diagram`"
