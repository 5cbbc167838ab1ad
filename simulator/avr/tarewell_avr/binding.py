"""The library of `shim/` as Python sees it: an ATmega328P with everything that is soldered to it."""

import ctypes as c
from functools import cache
from pathlib import Path
from typing import Any, ClassVar

from .faults import Faults

CPU_HZ = 16_000_000
_CHANNELS = 8
_DDRAM_BYTES = 128
_RAM_END = 0x8FF
_READ_BYTES = 4096


class EmulationError(RuntimeError):
    """The chip has stopped for good, or its program cannot be loaded."""


class Figures(c.Structure):
    """Counts and longest times (cycles) since the start, or since they were last forgotten."""

    passes: int
    """Passes of the main loop, from one reset of the watchdog to the next."""
    longest_pass: int
    """Time awake within one of them, interrupts included."""
    longest_interrupt: int
    awake: int
    """Time not asleep since the start."""
    conversions: int
    reads: int
    unread: int
    collisions: int
    broken: int
    stray: int
    power_downs: int
    gain_changes: int
    longest_high: int
    """Of the converter's clock."""
    overruns: int
    garbled: int
    unheard: int
    """Bytes sent while nobody had listened for so long that there was no room."""
    display_bytes: int
    display_too_soon: int
    eeprom_writes: int
    resets: int

    _fields_: ClassVar = [
        (name, c.c_uint64)
        for name in (
            *("passes", "longest_pass", "longest_interrupt", "awake", "conversions", "reads", "unread"),
            *("collisions", "broken", "stray", "power_downs", "gain_changes", "longest_high", "overruns"),
            *("garbled", "unheard", "display_bytes", "display_too_soon", "eeprom_writes", "resets"),
        )
    ]


@cache
def _library(path: Path) -> c.CDLL:
    library = c.CDLL(str(path))
    board, u64, size = c.c_void_p, c.c_uint64, c.c_size_t
    signatures: dict[str, tuple[Any, list[Any]]] = {
        "tw_new": (board, [c.c_char_p, u64]),
        "tw_free": (None, [board]),
        "tw_run": (c.c_int, [board, u64]),
        "tw_cycle": (u64, [board]),
        "tw_pc": (c.c_uint32, [board]),
        "tw_reset": (None, [board, c.c_int]),
        "tw_knob": (None, [board, c.c_int, c.c_int, c.c_int]),
        "tw_receive": (size, [board, c.c_char_p, size, u64]),
        "tw_sent": (size, [board, c.c_char_p, size]),
        "tw_cut": (None, [board]),
        "tw_line_rate": (None, [board, u64]),
        "tw_convert": (None, [board, c.c_int32]),
        "tw_drives": (c.POINTER(c.c_double), [board]),
        "tw_display": (c.POINTER(c.c_uint8), [board]),
        "tw_attach_display": (None, [board, c.c_int]),
        "tw_figures": (c.POINTER(Figures), [board]),
        "tw_forget_figures": (None, [board]),
        "tw_deepest": (c.c_uint32, [board, c.c_uint32, c.c_uint8]),
        "tw_lose": (None, [board, c.c_int]),
        "tw_hang": (None, [board, c.c_int]),
        "tw_stall": (None, [board, u64, c.c_int]),
        "tw_stop_watchdog": (None, [board]),
        "tw_write_register": (None, [board, c.c_uint16, c.c_uint8]),
        "tw_stick_memory": (None, [board, c.c_uint16, c.c_uint8]),
        "tw_flip_flash": (None, [board, c.c_uint32, c.c_uint8]),
        "tw_loader_clears": (None, [board, c.c_int]),
        "tw_hold_speed": (None, [board, c.c_int]),
        "tw_hold_bus": (None, [board, c.c_int]),
        "tw_analog": (None, [board, c.c_int, c.c_uint32]),
        "tw_open_data": (None, [board, u64, u64, u64, c.c_int]),
        "tw_install_loader": (None, [board, c.c_char_p, c.c_uint32, c.c_uint32]),
        "tw_pulled_up": (c.c_int, [board, c.c_int]),
        "tw_short_data": (None, [board, c.c_int]),
        "tw_spurious_clocks": (None, [board, c.c_int]),
    }
    for name, (result, arguments) in signatures.items():
        function = getattr(library, name)
        function.restype, function.argtypes = result, arguments
    return library


class Chip:
    """One chip and its surroundings; time is its count of cycles."""

    def __init__(self, library: Path, elf: Path, boot_cycles: int) -> None:
        """Power up with the program in `elf`; after later resets a boot loader holds it for `boot_cycles`.

        Raises:
            EmulationError: no such program.
        """
        self._library = _library(library)
        self._board = self._library.tw_new(str(elf).encode(), boot_cycles)
        if not self._board:
            raise EmulationError(
                f"{elf} cannot be loaded; build it: make -C protocol/firmware; if it is there, libsimavr is "
                "not the version that simulator/avr was written for, 1.6"
            )
        self.faults = Faults(self._library, self._board)
        self._buffer = c.create_string_buffer(_READ_BYTES)

    def __del__(self) -> None:
        if getattr(self, "_board", None):
            self._library.tw_free(self._board)

    @property
    def cycle(self) -> int:
        """Cycles since power-up."""
        return int(self._library.tw_cycle(self._board))

    def run(self, until_cycle: int) -> bool:
        """Run up to a cycle, or stop earlier where a pump's drive changes or a line has been sent: then True.

        Raises:
            EmulationError: the program sleeps with interrupts off, or has left its memory.
        """
        answer = self._library.tw_run(self._board, until_cycle)
        if answer < 0:
            where = self._library.tw_pc(self._board)
            raise EmulationError(
                f"the chip stopped for good at {where:#x}, cycle {self.cycle}: asleep with interrupts off, "
                "or outside its program; look there with avr-objdump -d"
            )
        return bool(answer)

    def reset(self, cause_bit: int) -> None:
        """Reset; `cause_bit` is that of MCUSR. Power-up and brown-out lose what memory held."""
        self._library.tw_reset(self._board, cause_bit)

    def knob(self, a_closed: bool, b_closed: bool, pressed: bool) -> None:
        """Set the contacts of knob and button."""
        self._library.tw_knob(self._board, a_closed, b_closed, pressed)

    def receive(self, data: bytes, byte_cycles: int) -> None:
        """Bytes from a host that takes `byte_cycles` for each.

        Raises:
            EmulationError: they are more than may be under way.
        """
        taken = self._library.tw_receive(self._board, data, len(data), byte_cycles)
        if taken < len(data):
            raise EmulationError(f"{len(data) - taken} bytes too many at once; let time pass in between")

    def sent(self) -> bytes:
        """Bytes whose stop bit is over, each once.

        Raises:
            EmulationError: nobody has asked for so long that some are gone.
        """
        if lost := self.figures().unheard:
            raise EmulationError(f"{lost} bytes were sent and not read; read them at least once a second")
        data = b""
        while length := self._library.tw_sent(self._board, self._buffer, _READ_BYTES):
            data += self._buffer.raw[:length]
        return data

    def cut(self) -> None:
        """Pull the cable: bytes on the way are gone."""
        self._library.tw_cut(self._board)

    def line_rate(self, byte_cycles: int) -> None:
        """The rate at which the host listens, before it has said anything."""
        self._library.tw_line_rate(self._board, byte_cycles)

    def convert(self, counts: int) -> None:
        """The converter has finished a conversion."""
        self._library.tw_convert(self._board, counts)

    def drives(self) -> dict[int, float]:
        """Share of the full voltage by channel, negative in reverse; those at rest are left out."""
        shares = self._library.tw_drives(self._board)
        return {n + 1: shares[n] for n in range(_CHANNELS) if shares[n]}

    def attach_display(self, attached: bool) -> None:
        """Whether a display answers on the I2C bus."""
        self._library.tw_attach_display(self._board, attached)

    def display(self) -> bytes | None:
        """The display's memory; None while it is off."""
        memory = self._library.tw_display(self._board)
        return bytes(memory[:_DDRAM_BYTES]) if memory else None

    def figures(self) -> Figures:
        """A copy of the figures."""
        return Figures.from_buffer_copy(self._library.tw_figures(self._board).contents)

    def forget_figures(self) -> None:
        """Start all figures from zero."""
        self._library.tw_forget_figures(self._board)

    def deepest_stack(self, variables_end: int, paint: int) -> int:
        """Bytes of stack used at most since the start-up code painted the memory after the variables."""
        return _RAM_END + 1 - int(self._library.tw_deepest(self._board, variables_end, paint))
