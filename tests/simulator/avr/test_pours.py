"""Doses by the real firmware, also over a line on which one byte in a hundred is damaged, both ways."""

from random import Random

import pytest

from avr_desk import require_avr
from rig import Rig
from tarewell.dosing import events as e
from tarewell.dosing.setup import DosingSettings
from tarewell.dosing.states import PourState
from tarewell.dosing.tolerance import Verdict, permissible_deviation_g
from tarewell_avr.machine import EmulatedMachine
from tarewell_protocol.session import Phase

require_avr()

DRIPS_S = 2.5
POURS, RIGS = 24, 4


def _rig(seed: int) -> Rig:
    return Rig(seed=seed, make=EmulatedMachine)


def _max_at_once(rig: Rig) -> int:
    machine = rig.machine
    assert isinstance(machine, EmulatedMachine)
    return machine.emulated.max_at_once


def test_two_channels_make_one_drink() -> None:
    rig = _rig(31)
    rig.begin([(2, 20.0), (1, 30.0)])
    result = rig.finish()
    rig.run_for(DRIPS_S)
    assert result.ended.state == "complete"
    assert [dose.verdict for dose in result.doses] == [Verdict.WITHIN, Verdict.WITHIN]
    delivered_g = rig.machine.truth.delivered_g
    assert delivered_g[2] == pytest.approx(20.0, abs=1.0)
    assert delivered_g[1] == pytest.approx(30.0, abs=1.0)
    assert _max_at_once(rig) == 1


@pytest.mark.parametrize("seed", range(300, 300 + RIGS))
def test_damaged_bytes_change_nothing_in_the_glass(seed: int) -> None:
    random, rig, undisturbed = Random(seed), _rig(seed), 0
    rig.machine.bench.wire(byte_error_rate=0.01)
    for _ in range(POURS // RIGS):
        if rig.session.phase is not Phase.OPEN:
            rig.reconnect()
        channel, target_g = random.choice((1, 2, 4, 5)), round(random.uniform(15, 45), 1)
        before_g = rig.machine.truth.delivered_g[channel]
        result = rig.begin([(channel, target_g)])
        pour = rig.pour
        assert pour is not None
        rig.until(lambda pour=pour: pour.finished or pour.state is PourState.HELD, 90.0)
        if not pour.finished:
            rig.command(e.PourCommand.ABORT)
            rig.until(lambda pour=pour: pour.finished, 30.0)
        rig.run_for(DRIPS_S)
        assert rig.machine.truth.pump_on == frozenset()
        delivered_g = rig.machine.truth.delivered_g[channel] - before_g
        allowed_g = permissible_deviation_g(target_g, DosingSettings().accuracy_class)
        if not result.alarms:
            undisturbed += 1
            assert result.ended.state == "complete"
            assert abs(delivered_g - target_g) <= allowed_g
    assert undisturbed >= POURS // RIGS // 3
    assert _max_at_once(rig) == 1
