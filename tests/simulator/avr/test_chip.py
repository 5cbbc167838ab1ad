"""The emulated chip with a program that does what the firmware must not do: the board has to notice."""

import subprocess
from pathlib import Path

import pytest

from avr_desk import require_avr
from tarewell_avr.binding import Chip, EmulationError
from tarewell_avr.building import FIRMWARE, build_library

require_avr()

MS = 16_000
BYTE = 1389  # cycles for ten bits at 115200


@pytest.fixture(scope="session")
def probe(tmp_path_factory: pytest.TempPathFactory) -> Path:
    elf = tmp_path_factory.mktemp("probe") / "probe.elf"
    options = ["-mmcu=atmega328p", "-DF_CPU=16000000UL", "-Os", "-std=gnu11", "-Wall", f"-I{FIRMWARE}"]
    subprocess.run(["avr-gcc", *options, "-o", elf, Path(__file__).with_name("probe.c")], check=True)
    return elf


@pytest.fixture
def chip(probe: Path) -> Chip:
    made = Chip(build_library(), probe, boot_cycles=3 * MS)
    made.line_rate(BYTE)
    assert _run(made, 1) == b"1"  # MCUSR: power-up
    return made


def _run(chip: Chip, ms: float) -> bytes:
    until = chip.cycle + round(ms * MS)
    while chip.cycle < until:
        chip.run(until)
    return chip.sent()


def _do(chip: Chip, commands: bytes, ms: float = 2.0) -> bytes:
    chip.receive(commands, BYTE)
    return _run(chip, ms)


def test_bytes_come_one_by_one_and_go_the_same_way(chip: Chip) -> None:
    chip.receive(b"water", BYTE)
    assert _run(chip, 0.165) == b""  # a byte there and a byte back take 87 and 85 us
    assert [_run(chip, 0.087) for _ in range(5)] == [b"W", b"A", b"T", b"E", b"R"]


def test_a_deaf_program_loses_bytes_and_is_told(chip: Chip) -> None:
    # 500 us are almost six byte times: two wait in the buffer, the next ones overwrite each other
    answer = _do(chip, b"1abcdefgh", 3)
    assert answer.startswith(b"!AB")
    assert answer.endswith(b"GH")
    assert chip.figures().overruns == 9 - 1 - len(answer.strip(b"!"))


def test_bytes_at_another_rate_are_not_understood(chip: Chip) -> None:
    chip.receive(b"water", 640)  # 250000 baud
    answer = _run(chip, 2)
    assert b"W" not in answer
    assert chip.figures().garbled >= 5


@pytest.mark.parametrize("code", [0, 1, -1, 0x123456, -(2**23), 2**23 - 1])
def test_25_pulses_read_a_code(chip: Chip, code: int) -> None:
    chip.convert(code)
    assert _do(chip, b"2") == b"%06X" % (code & 0xFFFFFF)
    figures = chip.figures()
    assert (figures.reads, figures.power_downs, figures.stray) == (1, 0, 0)


def test_a_long_clock_pulse_powers_the_converter_down_for_four_conversions(chip: Chip) -> None:
    chip.convert(0x123456)
    assert _do(chip, b"3") != b"123456"
    assert chip.figures().power_downs == 1
    chip.receive(b"2", BYTE)
    for _ in range(4):
        chip.convert(7)
        assert _run(chip, 2) == b""
    chip.convert(8)
    assert _run(chip, 2) == b"000008"


def test_a_conversion_that_nobody_reads_is_replaced(chip: Chip) -> None:
    chip.convert(1)
    chip.convert(2)
    assert _do(chip, b"2") == b"000002"
    assert chip.figures().unread == 1


def test_speed_and_direction_make_the_drive(chip: Chip) -> None:
    _do(chip, b"8")  # clears what the shift register held at power-up
    _do(chip, b"6")
    assert chip.drives() == {}
    _do(chip, b"4")
    assert chip.drives() == {1: 0.5, 5: 0.5}
    _do(chip, b"6")
    assert chip.drives() == {}


def test_a_shift_register_that_nobody_cleared_shows(chip: Chip) -> None:
    _do(chip, b"5")
    assert chip.drives() == {1: 1.0, 2: 1.0, 5: 1.0, 6: 1.0, 7: 1.0, 8: 1.0}


def test_the_shift_registers_outputs_are_one_clock_behind(chip: Chip) -> None:
    _do(chip, b"7")
    assert chip.drives() == {}
    _do(chip, b"8")
    assert chip.drives() == {5: 1.0}


@pytest.mark.parametrize("bit", range(4))
def test_a_reset_lets_all_pins_go_at_once_and_tells_its_cause(chip: Chip, bit: int) -> None:
    _do(chip, b"5")
    chip.reset(bit)
    assert chip.drives() == {}
    assert _do(chip, b"lost in the boot loader", 2.9) == b""
    assert _run(chip, 1) == b"%d" % (1 << bit)


def test_a_hung_program_is_reset_by_its_watchdog(chip: Chip) -> None:
    _do(chip, b"5")
    _do(chip, b"9")
    assert chip.drives()
    assert _run(chip, 250) == b""
    assert chip.drives()
    assert _run(chip, 20) == b"8"  # 256 ms: 32768 cycles of 128 kHz; data sheet
    assert chip.drives() == {}


def test_a_hang_from_outside_needs_a_watchdog_too(chip: Chip) -> None:
    chip.faults.hang(interrupts=False)
    assert _do(chip, b"water", 500) == b""


def test_a_program_that_is_not_there_is_named() -> None:
    with pytest.raises(EmulationError, match=r"nothing\.elf cannot be loaded; build it"):
        Chip(build_library(), Path("nothing.elf"), 0)
