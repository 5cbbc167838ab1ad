"""The builds for the chip, by make and as a sketch, and a short run of the fuzzer."""

import re
import subprocess
from functools import cache
from pathlib import Path

import pytest

from firmware_host import FIRMWARE, ROOT, make, out_folder, require

AVR_HEADER = ("/usr/lib/avr/include/avr/io.h", "avr-libc")
CORE = ("/usr/share/arduino/hardware/arduino/avr/cores/arduino/main.cpp", "arduino-core-avr")
RAM, FLASH = 2048, 32768  # ATmega328P, its data sheet (from memory)


FAST = "-DTW_BAUD=250000UL -DTW_PWM_HZ=7812"
BARE = "-DTW_PWM_HZ=61 -DTW_CHANNELS=4 -DTW_REVERSE=0 -DTW_VARIABLE_SPEED=0 -DTW_KNOB=0 -DTW_DISPLAY_ROWS=0"
DIVIDER = {2: 8, 3: 32, 4: 64, 5: 128, 6: 256, 7: 1024}
"""Clock select of timer 2, ATmega328P, its data sheet (from memory)."""


@cache
def build(target: str, config: str = "") -> tuple[str, Path]:
    """What make printed and the folder of the result."""
    folder = out_folder("firmware", config)
    return make(target, OUT=str(folder), CONFIG=config), folder


def figures(text: str) -> tuple[int, int]:
    """Flash and static RAM, bytes, as make prints them."""
    found = re.search(r"flash (\d+) .*static RAM (\d+) ", text)
    assert found, text
    return int(found[1]), int(found[2])


@pytest.mark.parametrize(
    "config",
    [
        "",
        FAST,
        BARE,
        "-DTW_SOFT_START_MS=60 -DTW_DISPLAY_COLUMNS=16 -DTW_DISPLAY_ROWS=2",
    ],
    ids=["as it is", "250000 baud", "bare", "soft start"],
)
def test_every_configuration_compiles_without_warnings_and_leaves_half_the_ram_to_the_stack(
    config: str,
) -> None:
    require("make", "avr-gcc", files=AVR_HEADER)
    printed, folder = build("all", config)
    flash, ram = figures(printed)
    assert flash < FLASH // 2
    assert ram <= RAM // 2
    assert (folder / "tarewell.hex").read_text("ascii").startswith(":")


def test_a_value_out_of_range_is_told_at_compile_time() -> None:
    require("make", "avr-gcc", files=AVR_HEADER)
    with pytest.raises(pytest.fail.Exception, match="TW_LONGEST_LEASE_MS is 1 to 470"):
        build("all", "-DTW_LONGEST_LEASE_MS=471U")


@pytest.mark.parametrize(("config", "pwm_hz"), [("", 244), (FAST, 7812), (BARE, 61)])
def test_the_speed_line_is_pulsed_at_the_frequency_of_the_build(config: str, pwm_hz: int) -> None:
    """Fast PWM: the chip's clock, divided by the clock select's divider and by 256. TCCR2B is memory 0xb1."""
    require("make", "avr-gcc", files=AVR_HEADER)
    _, folder = build("all", config)
    command = ["avr-objdump", "-d", str(folder / "tarewell.elf")]
    code = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    (register,) = re.findall(r"sts\t0x00B1, (r\d+)", code)
    before = code[: code.index(f"sts\t0x00B1, {register}")]
    select = int(re.findall(rf"ldi\t{register}, 0x([0-9A-F]+)", before)[-1], 16)
    assert round(16e6 / DIVIDER[select] / 256) == pytest.approx(pwm_hz, abs=1)


def start_up(elf: Path) -> list[str]:
    """Instructions from the reset's target to the one that sets the stack pointer's low byte."""
    done = subprocess.run(["avr-objdump", "-d", str(elf)], capture_output=True, text=True, check=True)
    code = dict(re.findall(r"^ +([0-9a-f]+):\t[0-9a-f ]+\t(.*)$", done.stdout, re.MULTILINE))
    target = re.match(r"r?jmp\t(?:0x|\.)([0-9a-f+]+)", code["0"])
    assert target, code["0"]
    addresses = [address for address in code if int(address, 16) >= int(target[1], 16)]
    instructions = [code[address] for address in addresses]
    end = next(n for n, text in enumerate(instructions) if re.match(r"out\t0x3d,", text))
    return instructions[:end]


@pytest.mark.parametrize("kind", ["make", "sketch"])
def test_the_speed_line_is_low_before_there_is_a_stack_and_nothing_is_called_before(kind: str) -> None:
    """Bit 3 of port D: PORTD is I/O register 0x0b, DDRD 0x0a, TCCR2A memory 0xb0 (avr-libc's iom328p.h)."""
    require("make", "avr-gcc", "avr-g++", files=CORE if kind == "sketch" else AVR_HEADER)
    _, folder = build("sketch" if kind == "sketch" else "all")
    elf = folder / ("sketch/sketch.elf" if kind == "sketch" else "tarewell.elf")
    steps = [re.sub(r"\s+", " ", text.partition(";")[0]).strip() for text in start_up(elf)]
    assert not [step for step in steps if "call" in step]
    assert steps[0] == "cli"
    unit_off, low, output = (steps.index(step) for step in ("sts 0x00B0, r1", "cbi 0x0b, 3", "sbi 0x0a, 3"))
    assert unit_off < low < output <= 5


def test_the_folder_builds_as_a_sketch_of_about_the_same_size() -> None:
    require("make", "avr-gcc", "avr-g++", files=CORE)
    printed, folder = build("sketch")
    flash, ram = figures(printed)
    assert flash < FLASH // 2
    assert ram <= RAM // 2
    assert (folder / "sketch" / "sketch.elf").exists()


def test_the_fuzzer_breaks_no_promise_in_a_short_run(tmp_path: Path) -> None:
    require("make", "cc", "clang")
    _, folder = build("fuzz")
    seeds = ROOT / "protocol" / "firmware" / "fuzz" / "seeds"
    command = [
        str(folder / "fuzz"),
        "-runs=20000",
        "-seed=1",
        "-max_len=600",
        f"-dict={folder / 'words.dict'}",
    ]
    done = subprocess.run(
        [*command, f"-artifact_prefix={tmp_path}/", str(tmp_path), str(seeds)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-3000:]
    assert "Done 20000 runs" in done.stderr


def test_every_setting_counts_for_what_a_board_tells_of_its_build() -> None:
    """The answer to `check`; a setting left out would hide that two boards were built differently."""
    settings = set(re.findall(r"^#ifndef (TW_\w+)$", (FIRMWARE / "config.h").read_text(), re.MULTILINE))
    told = set(re.findall(r"\bTW_[A-Z0-9_]+\b", (FIRMWARE / "src" / "portable" / "build.c").read_text()))
    assert len(settings) > 15
    assert settings <= told
