"""The pour's table is that of ISA-88; what it does not take is refused."""

from itertools import product

import pytest

from playbook import Playbook, Some, Wait
from tarewell.dosing import events as e
from tarewell.dosing.plan import DosePlan, PourPlan
from tarewell.dosing.setup import PourSetup
from tarewell.dosing.states import (
    TABLE,
    PourEventKind,
    PourState,
    UnexpectedPourEvent,
    procedural,
)
from tarewell.dosing.weighing_pour import WeighingPour
from tarewell.weighing.calibration import Calibration
from tarewell_protocol.messages import Sample, StopCause

PLAN = PourPlan((DosePlan(1, "house-water", 45.0),))
SETUP = PourSetup(PLAN, Calibration(0.0, 2000.0))
START = e.PourCommanded(e.PourCommand.START)

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
    pour = WeighingPour(SETUP)
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
    pour = Playbook(WeighingPour(SETUP))
    assert pour >> START << e.PourStateChanged("awaiting_glass")
    lost, over = Some(e.Raised), e.PourEnded("aborted", "link_lost", 0.0)
    assert pour >> e.LinkLost("cable out") << lost << e.PourStateChanged("aborted") << over
    assert (lost().alarm.name, lost().alarm.detail) == ("link_lost", "cable out")
    with pytest.raises(UnexpectedPourEvent, match="aborted does not take stop; it takes no more commands"):
        pour.feed(e.PourCommanded(e.PourCommand.STOP))


def test_a_glass_that_nobody_brings_ends_the_pour_after_the_set_time() -> None:
    pour = Playbook(WeighingPour(SETUP), tick=e.Tick())
    no_glass = Some(e.Raised)
    pour.feed(START)
    assert pour >> Wait(SETUP.settings.glass_wait_s - 0.01)
    assert (
        pour
        >> Wait(0.02)
        << no_glass
        << e.StopPumps()
        << e.PourStateChanged("stopping")
        >> Wait(10.0)
        << e.PourStateChanged("stopped")
        << e.PourEnded("stopped", "no_glass", 0.0)
    )
    assert no_glass().alarm.name == "no_glass"
