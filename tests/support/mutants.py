"""Faults built into the firmware's source, one at a time: the promise that each breaks has to notice.

A mutant that lives is a test that is missing.
"""

import shutil
from dataclasses import dataclass
from pathlib import Path

from last_defence import PROMISES, Promise
from tarewell_avr.binding import EmulationError
from tarewell_avr.building import FIRMWARE, build_folder, build_in

PHASES = 10


@dataclass(frozen=True)
class Mutant:
    """One place of the source, what stands there instead, and the promise that breaks."""

    file: str
    text: str
    instead: str
    promise: str

    @property
    def source(self) -> Path:
        """The file that it changes."""
        return FIRMWARE / self.file

    def lives(self, folder: Path, phases: int = PHASES) -> bool:
        """Build it in an empty folder and let it keep its promise, or not."""
        promise = next(found for found in PROMISES if found.name == self.promise)
        elf = self._built(folder, promise)
        try:
            return max(promise.figures(elf, phases)) <= promise.worst
        except (AssertionError, EmulationError):
            return False

    def _built(self, folder: Path, promise: Promise) -> Path:
        """Only what the change concerns is compiled again."""
        promise.elf(sketch=False)
        shutil.copytree(FIRMWARE, folder / "protocol" / "firmware")
        built = build_folder(promise.baud, more=promise.settings)
        shutil.copytree(built, folder / "build", ignore=shutil.ignore_patterns("sketch", "corpus"))
        (folder / "build" / "tarewell.elf").unlink()
        changed = folder / "protocol" / "firmware" / self.file
        changed.write_text(changed.read_text("utf-8").replace(self.text, self.instead), "utf-8")
        return build_in(
            folder / "protocol" / "firmware", folder / "build", promise.baud, more=promise.settings
        )


BAD = "case TW_FRAME_BAD:\n        tw_count(&board->counters.bad_crc, 1);\n        "
PULLED = "PORT##port {} _BV(bit)\n/* The"
MUTANTS = [
    Mutant("src/board/tick.c", "        drive_cut();\n", "", "watchdog_dead"),
    Mutant(
        "src/firmware.c", "    read_adc(now_ms);\n", "    hal_feed();\n    read_adc(now_ms);\n", "clock_dead"
    ),
    Mutant("src/firmware.c", "if (hal_was_cut())", "if (false)", "stalled"),
    Mutant("src/board/reset.c", "    wdt_disable();\n", "", "hung_with_interrupts"),
    Mutant("src/board/chip.c", "WDTO_15MS", "WDTO_250MS", "hung_without_interrupts"),
    Mutant("src/board/chip.c", "    wdt_enable(WATCHDOG);\n", "", "hung_without_interrupts"),
    Mutant("src/board/adc.c", "if (!ADC_DATA_is_high())", "if (false)", "data_shorted"),
    Mutant(
        "src/board/adc.c", "return !only_rises(code)", "return true || !only_rises(code)", "data_with_spikes"
    ),
    Mutant("src/board/pin.h", PULLED.format("|="), PULLED.format("&= (uint8_t)~"), "data_open"),
    Mutant("src/board/i2c.c", "clock < 9U", "clock < 1U", "held_bus"),
    Mutant("src/board/latch.c", "        EECR |= _BV(EEPE);\n", "", "latch_over_reset"),
    Mutant(
        "src/board/drive.c",
        "if (TW_CHANNELS > 4 && now_ms",
        "if (TW_CHANNELS > 8 && now_ms",
        "spurious_clock",
    ),
    Mutant("src/board/drive.c", "return !high;", "return !high || true;", "gate_held"),
    Mutant("src/board/drive.c", "((uint16_t)(speed << 8)", "((uint16_t)(255U << 8)", "soft_start"),
    Mutant("src/board/reset.c", "    marker_hung = true;\n", "", "hidden_cause"),
    Mutant("src/board/reset.c", "    marker_key = MARKER_KEY;\n", "", "hidden_cause"),
    Mutant("src/board/reset.c", '"or r26, r23', '"or r26, r1', "memory_fails"),
    Mutant("src/board/image.c", "return *crc == expected ?", "return expected ?", "program_fails"),
    Mutant("src/board/analog.c", "return !is_high(&supply", "return is_high(&supply", "supply_lost"),
    Mutant(
        "src/board/analog.c", "return is_high(&interlock", "return !is_high(&interlock", "interlock_opened"
    ),
    Mutant("src/portable/board.c", f"{BAD}return false;", f"{BAD}return true;", "flood"),
    Mutant("src/portable/outputs.c", "stopped_ms < TW_REVERSAL_MS", "stopped_ms < 2U", "reversal"),
]
