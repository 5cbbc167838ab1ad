"""The pour's table is that of ISA-88; what it does not take is refused."""

from itertools import product

import pytest

from tarewell.dosing import events as e
from tarewell.dosing.plan import DosePlan, PourPlan
from tarewell.dosing.pour import Pour
from tarewell.dosing.setup import PourSetup
from tarewell.dosing.states import (
    TABLE,
    PourEventKind,
    PourState,
    UnexpectedPourEvent,
    procedural,
)
from tarewell.weighing.calibration import Calibration
from tarewell_protocol.messages import Sample, StopCause

PLAN = PourPlan((DosePlan(1, "house-water", 45.0),))
SETUP = PourSetup(PLAN, Calibration(0.0, 2000.0))

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
    assert TABLE.takes(state, kind) == (procedural(state) in ISA88[kind])


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
    with pytest.raises(UnexpectedPourEvent, match="aborted does not take stop; it takes no more commands"):
        pour.handle(e.PourCommanded(e.PourCommand.STOP), 2.0)
