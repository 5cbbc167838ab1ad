"""The emulated board in its place: seconds become cycles of the chip, and fingers turn the knob."""

from collections.abc import Mapping
from functools import partial
from math import inf
from pathlib import Path
from random import Random

from tarewell_protocol.messages import ResetCause
from tarewell_sim.agenda import Agenda
from tarewell_sim.specs import Scenario

from .binding import CPU_HZ, Chip

_BITS_PER_BYTE = 10
_REFRESH_CYCLES = 800
_CAUSE_BITS = {
    ResetCause.POWER: 0,
    ResetCause.EXTERNAL: 1,
    ResetCause.BROWNOUT: 2,
    ResetCause.WATCHDOG: 3,
}
_LINE_STARTS = (0x00, 0x40, 0x14, 0x54)
"""Where a display's lines begin in its memory; the third goes on where the first ends. Common practice."""

# Contacts: no source, plausible for a cheap mechanical knob.
_PHASE_S = 0.004
_BOUNCES_S = (0.0, 0.00015, 0.0003)
_PRESS_BOUNCES_S = (0.0, 0.0004, 0.001, 0.0013, 0.0021)
_CLOCKWISE = (("a", True), ("b", True), ("a", False), ("b", False))
_COUNTER = (("b", True), ("a", True), ("b", False), ("a", False))


class EmulatedBoard:
    """Firmware in an emulated ATmega328P, as a `MountedBoard`."""

    line_baud = inf  # the chip's own serial line takes its time

    def __init__(self, scenario: Scenario, library: Path, elf: Path, seed: int = 0) -> None:
        spec = scenario.board
        self._hz = CPU_HZ * (1 + spec.clock_error_ppm * 1e-6)
        self._byte_cycles = round(_BITS_PER_BYTE * self._hz / spec.baud)
        self.chip = Chip(library, elf, round(spec.boot_ms / 1000 * self._hz))
        self.chip.attach_display(spec.display is not None)
        self.chip.line_rate(self._byte_cycles)
        columns, _, rows = (spec.display or "0x0").partition("x")
        self._columns, self._rows = int(columns), int(rows)
        self._rng = Random(f"{seed} contacts")
        self._agenda = Agenda()
        self._knob_free_s = 0.0
        self._contacts = {"a": False, "b": False, "button": False}
        self._late_s = 0.0
        self.drives: Mapping[int, float] = {}
        self.changed_s = 0.0
        """When `drives` last changed."""
        self.max_at_once = 0
        """Pumps that were under voltage at the same time."""

    @property
    def display(self) -> tuple[str, ...]:
        """The lines of the display; none while it is off or not there."""
        memory = self.chip.display()
        if memory is None:
            return ()
        lines = (memory[start : start + self._columns] for start in _LINE_STARTS[: self._rows])
        return tuple("".join(chr(code) if 0x20 <= code < 0x7F else "?" for code in line) for line in lines)

    def next_s(self, limit_s: float) -> float:
        """Run the firmware up to `limit_s`, or to where it changes an output or a line of its has left the
        chip, if that comes first."""
        while True:
            due_s = self._agenda.next_s
            stop_s = min(limit_s, due_s)
            if self.chip.run(round(stop_s * self._hz)):
                stopped_s = min(stop_s, self.chip.cycle / self._hz)
                return stopped_s if self._register_is_refreshed() else self._changed(stopped_s)
            if due_s > limit_s:
                return inf
            self._agenda.do_next()

    def receive(self, data: bytes, now_s: float) -> None:
        """Bytes from the host, which take their time from now on."""
        self.chip.receive(data, self._byte_cycles)

    def convert(self, counts: int, now_s: float) -> None:
        """The converter has a code; it comes later if the bench said so."""
        if self._late_s:
            self._agenda.at(now_s + self._late_s, partial(self.chip.convert, counts))
            self._late_s = 0.0
        else:
            self.chip.convert(counts)

    def act(self, now_s: float) -> None:
        """Nothing: it acts while time passes."""

    def output(self) -> bytes:
        """Bytes that have left the chip since the last call."""
        return self.chip.sent()

    def press(self, down: bool, now_s: float) -> None:
        """Press or release the button, whose contact bounces."""
        self._bounce(now_s, "button", down, _PRESS_BOUNCES_S)

    def turn(self, steps: int, now_s: float) -> None:
        """Turn the knob detent by detent; each is four changes of bouncing contacts."""
        start_s = max(now_s, self._knob_free_s)
        for name, closed in (_CLOCKWISE if steps > 0 else _COUNTER) * abs(steps):
            self._bounce(start_s, name, closed, _BOUNCES_S)
            start_s += _PHASE_S * self._rng.uniform(0.7, 1.3)
        self._knob_free_s = start_s

    def interlock(self, open_: bool, now_s: float) -> None:
        """This build has no such input."""

    def supply(self, off: bool, now_s: float) -> None:
        """This build does not sense it."""

    def restart(self, cause: ResetCause, now_s: float) -> None:
        """Pull reset, or let the supply fail; all pins are inputs at once."""
        self.chip.reset(_CAUSE_BITS[cause])
        self._changed(now_s)

    def hang(self, interrupts: bool) -> None:
        """Let the firmware hang."""
        self.chip.faults.hang(interrupts)

    def delay_conversion(self, by_s: float) -> None:
        """Let the next conversion come later."""
        self._late_s = by_s

    def _register_is_refreshed(self) -> bool:
        """Whether the pumps are off only while the shift register is written again: too short to matter."""
        if self.drives:
            over = self.chip.cycle + _REFRESH_CYCLES
            while not self.chip.drives() and self.chip.run(over):
                pass
        return self.drives == self.chip.drives()

    def _changed(self, now_s: float) -> float:
        self.drives, self.changed_s = self.chip.drives(), now_s
        self.max_at_once = max(self.max_at_once, len(self.drives))
        return now_s

    def _bounce(self, start_s: float, name: str, closed: bool, bounces_s: tuple[float, ...]) -> None:
        for n, after_s in enumerate(bounces_s):
            state = closed if n % 2 == 0 else not closed
            self._agenda.at(start_s + after_s, partial(self._contact, name, state))

    def _contact(self, name: str, closed: bool) -> None:
        self._contacts[name] = closed
        self.chip.knob(self._contacts["a"], self._contacts["b"], self._contacts["button"])
