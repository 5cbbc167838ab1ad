"""What tests break on the chip and on the wires to it."""

import ctypes as c

MS_CYCLES = 16_000


class Faults:
    """Faults of one chip; times are cycles of its clock."""

    def __init__(self, library: c.CDLL, board: int) -> None:
        self._library, self._board = library, board

    # The program

    def hang(self, interrupts: bool) -> None:
        """Let the program hang in an endless loop, with interrupts still served or not."""
        self._library.tw_hang(self._board, interrupts)

    def stall(self, cycles: int, interrupts: bool) -> None:
        """The same for a while; then it goes on where it was."""
        self._library.tw_stall(self._board, cycles, interrupts)

    def stop_watchdog(self) -> None:
        """The watchdog's oscillator stands still from now on."""
        self._library.tw_stop_watchdog(self._board)

    def write_register(self, address: int, value: int) -> None:
        """A register of a unit takes this value, as if the program had written it."""
        self._library.tw_write_register(self._board, address, value)

    # Memory and start

    def stick_memory(self, address: int, bits: int) -> None:
        """Bits of a byte of RAM that are always set; 0 for none. Slow."""
        self._library.tw_stick_memory(self._board, address, bits)

    def flip_flash(self, address: int, bits: int) -> None:
        """Bits of a byte of flash turn over."""
        self._library.tw_flip_flash(self._board, address, bits)

    def loader_clears(self, register_2: int) -> None:
        """From the next reset on the boot loader clears the cause, and leaves this in register 2."""
        self._library.tw_loader_clears(self._board, register_2)

    def install_loader(self, image: bytes, address: int) -> None:
        """A real boot loader, which every reset starts from now on."""
        self._library.tw_install_loader(self._board, image, len(image), address)

    # The wires

    def lose(self, count: int) -> None:
        """Lose the next bytes received to an overrun."""
        self._library.tw_lose(self._board, count)

    def open_data(self, hum_hz: float, phase: float, stiff: bool = False, low_ms: float = 0.0) -> None:
        """The converter's data wire is off and picks up hum of that frequency, 0 to put the wire back.

        `phase` is 0 to 1 of its period, half of which is low if `low_ms` does not say otherwise; stiff hum is
        stronger than the chip's pull-up.
        """
        period = round(1000 * MS_CYCLES / hum_hz) if hum_hz else 0
        low = round(low_ms * MS_CYCLES) or period // 2
        self._library.tw_open_data(self._board, period - low, low, 1 + int(period * phase), stiff)

    def short_data(self, after_pulses: int) -> None:
        """In the next read the data wire touches ground after so many pulses."""
        self._library.tw_short_data(self._board, after_pulses)

    def pulled_up(self, port: str, bit: int) -> bool:
        """Whether the chip's own pull-up holds a pin, such as bit 2 of port `D`."""
        return bool(self._library.tw_pulled_up(self._board, 8 * "BCD".index(port) + bit))

    def spurious_clocks(self, edges: int) -> None:
        """So many edges that nobody sent reach the shift register's clocks."""
        self._library.tw_spurious_clocks(self._board, edges)

    def hold_speed(self, held: bool) -> None:
        """Something holds the speed line high, stronger than the chip."""
        self._library.tw_hold_speed(self._board, held)

    def hold_bus(self, clocks: int) -> None:
        """Something holds the display's data line until it has seen so many clocks."""
        self._library.tw_hold_bus(self._board, clocks)

    def analog(self, channel: int, volts: float) -> None:
        """The voltage at an input of the chip's own converter."""
        self._library.tw_analog(self._board, channel, round(1000 * volts))
