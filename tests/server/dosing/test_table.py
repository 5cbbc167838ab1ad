"""The state table: complete, honest about ISA-88, and drawn in the docs."""

from itertools import product
from pathlib import Path

import pytest

from tarewell.dosing import events as e
from tarewell.dosing.plan import DosePlan, PourPlan
from tarewell.dosing.pour import Pour
from tarewell.dosing.setup import PourSetup
from tarewell.dosing.states import (
    TABLE,
    TERMINAL,
    PourEventKind,
    PourState,
    UnexpectedPourEvent,
    mermaid,
    procedural,
)
from tarewell.weighing.calibration import Calibration
from tarewell_protocol.messages import Sample, StopCause

PLAN = PourPlan((DosePlan(1, "house-water", 45.0),))
SETUP = PourSetup(PLAN, Calibration(0.0, 2000.0))

ORDERS = {
    PourEventKind.START: e.PourCommand.START,
    PourEventKind.HOLD: e.PourCommand.HOLD,
    PourEventKind.RESTART: e.PourCommand.RESTART,
    PourEventKind.STOP: e.PourCommand.STOP,
    PourEventKind.ABORT: e.PourCommand.ABORT,
}


def test_every_state_has_a_row_and_the_terminal_ones_an_empty_one() -> None:
    assert set(TABLE) == set(PourState)
    assert {PourState.COMPLETE, PourState.STOPPED, PourState.ABORTED} == TERMINAL


def test_every_state_can_be_reached_and_left() -> None:
    reached = {PourState.IDLE}
    while True:
        onward = {target for state in reached for targets in TABLE[state].values() for target in targets}
        if onward <= reached:
            break
        reached |= onward
    assert reached == set(PourState)


# Commands of ISA-88 / IEC 61512 and the states that take them, as restated in a PLC framework's text of the
# 2010 edition; this machine has no pause, and start is the only way out of idle.
ISA88 = {
    PourEventKind.START: {"idle"},
    PourEventKind.HOLD: {"running", "restarting"},
    PourEventKind.RESTART: {"held"},
    PourEventKind.STOP: {"running", "holding", "held", "restarting"},
    PourEventKind.ABORT: {"running", "holding", "held", "restarting", "stopping"},
}


@pytest.mark.parametrize(("state", "kind"), list(product(PourState, ISA88)))
def test_commands_are_taken_where_isa_88_takes_them(state: PourState, kind: PourEventKind) -> None:
    assert (kind in TABLE[state]) == (procedural(state) in ISA88[kind])


def test_an_event_out_of_place_is_refused_and_changes_nothing() -> None:
    pour = Pour(SETUP)
    before = (pour.state, pour.wakeup_s, pour.progress)
    for event in (
        e.PourCommanded(e.PourCommand.HOLD),
        e.Tick(),
        e.Weighed(Sample(0, 0, 0, 0)),
        e.BoardStopped(1, StopCause.HOST),
    ):
        with pytest.raises(UnexpectedPourEvent, match="a pour that is idle does not take"):
            pour.handle(event, 1.0)
    assert (pour.state, pour.wakeup_s, pour.progress) == before


def test_a_finished_pour_takes_nothing_any_more() -> None:
    pour = Pour(SETUP)
    pour.handle(e.PourCommanded(e.PourCommand.START), 0.0)
    pour.handle(e.LinkLost("cable out"), 1.0)
    assert pour.state is PourState.ABORTED
    with pytest.raises(UnexpectedPourEvent, match="takes nothing any more"):
        pour.handle(e.PourCommanded(e.PourCommand.STOP), 2.0)


def test_the_diagram_in_the_docs_is_the_table() -> None:
    page = Path(__file__).parents[3] / "docs" / "pour-states.md"
    assert mermaid() in page.read_text(), "docs/pour-states.md is out of date; run `make diagram`"
