"""What the board promises under faults, in a few random phases each and both builds; `make bench` has 200."""

import re
from random import Random

import pytest

from avr_desk import require_avr
from chip_rig import ChipRig
from firmware_host import require
from last_defence import PROMISES, Promise
from tarewell_avr.building import FIRMWARE, LOADER_ADDRESS, LOADER_SOURCE, build_firmware, build_loader
from tarewell_protocol import messages as m

require_avr()

PHASES = 3


@pytest.mark.parametrize("sketch", [False, True], ids=["make", "sketch"])
@pytest.mark.parametrize("promise", PROMISES, ids=lambda promise: promise.name)
def test_the_worst_of_a_few_phases_keeps_the_promise(promise: Promise, sketch: bool) -> None:
    assert max(promise.figures(promise.elf(sketch), PHASES)) <= promise.worst


@pytest.mark.parametrize("sketch", [False, True], ids=["make", "sketch"])
def test_no_input_floats_when_its_wire_is_off(sketch: bool) -> None:
    header = (FIRMWARE / "pins.h").read_text("utf-8")
    inputs = re.findall(r'PIN\((\w+), (\w), (\d), "\w+", (?!OUT\b)\w+', header)
    rig = ChipRig(build_firmware(sketch=sketch), Random(1))
    floating = [name for name, port, bit in inputs if not rig.chip.faults.pulled_up(port, int(bit))]
    assert {"UART_RX", "ADC_DATA"} <= {name for name, *_ in inputs}
    assert not floating


@pytest.mark.parametrize("sketch", [False, True], ids=["make", "sketch"])
def test_behind_a_real_boot_loader_the_stop_is_kept_and_the_cause_is_not_guessed(sketch: bool) -> None:
    """It clears the cause, waits a second after an external reset, and starts the program by its watchdog."""
    require("avr-gcc", files=(str(LOADER_SOURCE), "arduino-core-avr"))
    rig = ChipRig(build_firmware(sketch=sketch), Random(1), boot_ms=0.0)
    rig.chip.faults.install_loader(build_loader(), LOADER_ADDRESS)
    rig.reset(m.ResetCause.POWER)
    assert rig.boot(1500.0) == m.Booted(m.ResetCause.POWER, latched=False)
    rig.open()
    assert rig.start(5)[0] == m.Done()
    assert rig.answer(m.EmergencyStop()) == m.Done()
    rig.reset(m.ResetCause.EXTERNAL)
    assert rig.boot(1500.0) == m.Booted(m.ResetCause.RESET, latched=True)
    rig.hang(interrupts=True)
    assert rig.boot(1500.0) == m.Booted(m.ResetCause.WATCHDOG, latched=True)
    rig.hang(interrupts=False)
    assert rig.boot(1500.0) == m.Booted(m.ResetCause.RESET, latched=True)
    assert rig.log[-1][1] == {}
