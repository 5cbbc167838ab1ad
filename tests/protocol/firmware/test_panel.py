"""Knob, button and display of the firmware."""

from collections.abc import Callable

import pytest

from firmware_host import HostBoard, library
from tarewell_protocol.framing import BOARD_LINE_MAX, HOST_LINE_MAX, LineReader, encode_frame

# The knob


class EncoderPins:
    """Samples are levels of A and B, 1 is open; a click to the right closes A first."""

    RIGHT = ("01", "00", "10", "11")
    LEFT = ("10", "00", "01", "11")

    def __init__(self) -> None:
        self._library = library()
        self._knob = self._library.tw_host_knob()

    def feed(self, *levels: str) -> None:
        for ab in levels:
            self._library.tw_host_knob_sample(self._knob, int(ab[0]), int(ab[1]))

    def take(self, now_ms: int) -> int:
        return int(self._library.tw_host_knob_take(self._knob, now_ms))


def test_a_click_is_one_step() -> None:
    knob = EncoderPins()
    knob.feed(*EncoderPins.RIGHT)
    assert knob.take(100) == 1
    knob.feed(*EncoderPins.LEFT, *EncoderPins.LEFT)
    assert knob.take(200) == -2
    assert knob.take(300) == 0


def test_bounce_of_either_contact_counts_nothing() -> None:
    knob = EncoderPins()
    knob.feed("01", "11", "01", "11", "01", "00", "01", "00", "10", "00", "10", "11", "10", "11")
    assert knob.take(100) == 1
    knob.feed("10", "11", "10", "11", "01", "11")
    assert knob.take(200) == 0


def test_half_a_click_and_back_is_none() -> None:
    knob = EncoderPins()
    knob.feed("01", "00", "01", "11")
    assert knob.take(100) == 0


def test_a_fast_knob_that_jumps_over_a_state_still_counts() -> None:
    knob = EncoderPins()
    knob.feed("01", "10", "11")
    assert knob.take(100) == 1


def test_reports_are_10_ms_apart_and_hold_127_steps_at_most() -> None:
    knob = EncoderPins()
    knob.feed(*EncoderPins.RIGHT * 200)
    assert knob.take(1000) == 127
    assert knob.take(1009) == 0
    assert knob.take(1010) == 73


# The button


def test_a_button_counts_when_it_was_still_for_eight_samples() -> None:
    call = library()
    button = call.tw_host_button()

    def feed(levels: str) -> list[int]:
        return [call.tw_host_button_sample(button, int(level)) for level in levels]

    assert feed("10110111") == [-1] * 8
    assert feed("11111") == [-1, -1, -1, -1, 1]
    assert feed("0101" + "0" * 7) == [-1] * 11
    assert feed("0") == [0]


@pytest.fixture
def board() -> HostBoard:
    """With an open session."""
    made = HostBoard()
    made.receive(encode_frame(">00 hello 2 0001", HOST_LINE_MAX), 0)
    made.output()
    return made


def said(board: HostBoard) -> list[str]:
    return list(LineReader(BOARD_LINE_MAX).feed(board.output()))


def test_a_long_press_is_told_once(board: HostBoard) -> None:
    board.press(True, 100)
    assert said(board) == ["!01 button down 100"]
    for now_ms in range(101, 3000):
        board.tick(now_ms)
    assert said(board) == ["!02 button long 1100"]
    board.press(False, 3000)
    assert said(board) == ["!03 button up 3000"]


# The display


class LcdGlass:
    """An HD44780 in 4-bit mode behind the expander: half bytes are taken when enable falls.

    Bits of the expander: 0 register select, 1 read, 2 enable, 3 backlight, 4 to 7 data. Instructions after
    the controller's data sheet (from memory).
    """

    def __init__(self, columns: int = 20, rows: int = 4) -> None:
        self.columns, self.rows = columns, rows
        self.memory = dict.fromkeys((*range(0x28), *range(0x40, 0x68)), " ")
        self.instructions: list[int] = []
        self._address = 0
        self._four_bits = False
        self._high: int | None = None
        self._last = 0
        self.on = False

    def write(self, byte: int) -> None:
        assert byte & 0x08, "the backlight went out"
        assert not byte & 0x02, "a read, to which nothing here listens"
        if byte & 0x04 and not self._last & 0x04:
            assert byte & 0x01 == self._last & 0x01 or not self._four_bits, "register select rose with enable"
        if self._last & 0x04 and not byte & 0x04:
            self._half(byte >> 4, bool(byte & 0x01))
        self._last = byte

    def _half(self, half: int, data: bool) -> None:
        if not self._four_bits:
            self._take(half << 4, data)
        elif self._high is None:
            self._high = half
        else:
            value, self._high = self._high << 4 | half, None
            self._take(value, data)

    def _take(self, value: int, data: bool) -> None:
        if data:
            self.memory[self._address] = chr(value)
            self._address += 1
            return
        self.instructions.append(value)
        if value & 0x80:
            self._address = value & 0x7F
        elif value & 0x20:
            self._four_bits = not value & 0x10
        elif value & 0x08:
            self.on = bool(value & 0x04)

    def text(self) -> list[str]:
        starts = (0x00, 0x40, self.columns, 0x40 + self.columns)[: self.rows]
        return ["".join(self.memory[start + n] for n in range(self.columns)) for start in starts]


def refresh(board: HostBoard, glass: LcdGlass, now_ms: int, ms: int = 400, bytes_per_ms: int = 10) -> int:
    """Lets the display be written for some time, ten bytes a millisecond as I2C at 100 kHz does."""
    for _ in range(ms):
        now_ms += 1
        board.tick(now_ms)
        for _ in range(bytes_per_ms):
            byte = board.display_next(now_ms)
            if byte is None:
                break
            glass.write(byte)
    return now_ms


def padded(*lines: str) -> list[str]:
    return [line.ljust(20) for line in (*lines, "", "", "", "")[:4]]


def test_without_a_host_the_board_says_so() -> None:
    board, glass = HostBoard(), LcdGlass()
    refresh(board, glass, 0)
    assert glass.on
    assert glass.text() == padded("No host", "Pumps are off")


def test_the_set_up_starts_with_three_resets_by_instruction_and_waits_between() -> None:
    """By instruction, 4-bit interface: over 4.1 ms after the first (its data sheet, from memory)."""
    board, glass = HostBoard(), LcdGlass()
    assert board.display_next(49) is None
    taken_ms = []
    for now_ms in range(50, 100):
        before = len(glass.instructions)
        while (byte := board.display_next(now_ms)) is not None and len(glass.instructions) < 8:
            glass.write(byte)
        taken_ms += [now_ms] * (len(glass.instructions) - before)
    assert glass.instructions[:7] == [0x30, 0x30, 0x30, 0x20, 0x28, 0x0C, 0x06]
    assert taken_ms[1] - taken_ms[0] > 5


def test_a_line_of_the_host_is_shown_padded(board: HostBoard) -> None:
    glass = LcdGlass()
    now_ms = refresh(board, glass, 0)
    board.receive(encode_frame(">01 show 2 Elderflower  200 ml", HOST_LINE_MAX), now_ms)
    now_ms = refresh(board, glass, now_ms)
    assert glass.text() == padded("", "", "Elderflower  200 ml")
    board.receive(encode_frame(">02 show 2 Lime", HOST_LINE_MAX), now_ms)
    refresh(board, glass, now_ms)
    assert glass.text() == padded("", "", "Lime")


def test_only_what_has_changed_is_written(board: HostBoard) -> None:
    glass = LcdGlass()
    now_ms = refresh(board, glass, 0)
    board.receive(encode_frame(">01 show 0  12 g", HOST_LINE_MAX), now_ms)
    now_ms = refresh(board, glass, now_ms)
    board.receive(encode_frame(">02 show 0  13 g", HOST_LINE_MAX), now_ms)
    sent = [byte for _ in range(100) if (byte := board.display_next(now_ms)) is not None]
    assert len(sent) == 10  # an address and a character, five bytes each


def test_a_host_that_falls_silent_is_told_and_its_lines_come_back(board: HostBoard) -> None:
    glass = LcdGlass()
    board.receive(encode_frame(">01 show 0 Ginger beer", HOST_LINE_MAX), 10)
    now_ms = refresh(board, glass, 10, 1400)
    assert glass.text() == padded("Ginger beer")
    now_ms = refresh(board, glass, now_ms, 400)
    assert glass.text() == padded("No host", "Pumps are off")
    board.receive(encode_frame(">02 state", HOST_LINE_MAX), now_ms)
    refresh(board, glass, now_ms)
    assert glass.text() == padded("Ginger beer")


def test_without_a_host_a_latched_stop_is_told() -> None:
    board, glass = HostBoard(), LcdGlass()
    board.receive(encode_frame(">01 estop", HOST_LINE_MAX), 10)
    refresh(board, glass, 10)
    assert glass.text() == padded("No host", "Emergency stop")


def lose_and_replace(board: HostBoard, now_ms: int) -> None:
    board.display_lost(now_ms)


def open_another_session(board: HostBoard, now_ms: int) -> None:
    board.receive(encode_frame(">02 hello 2 0002", HOST_LINE_MAX), now_ms)


@pytest.mark.parametrize("heal", [lose_and_replace, open_another_session])
def test_a_display_that_lost_its_place_heals(
    board: HostBoard, heal: Callable[[HostBoard, int], None]
) -> None:
    glass = LcdGlass()
    now_ms = refresh(board, glass, 0)
    for byte in (0x08, 0x0C, 0x08):
        glass.write(byte)  # half a byte too many: from here on everything is read shifted
    heal(board, now_ms)
    now_ms = refresh(board, glass, now_ms, 1300)
    board.receive(encode_frame(">03 show 1 Lemon", HOST_LINE_MAX), now_ms)
    refresh(board, glass, now_ms)
    assert glass.text() == padded("", "Lemon")


def test_a_small_display_shows_what_fits() -> None:
    board, glass = HostBoard("-DTW_DISPLAY_COLUMNS=16 -DTW_DISPLAY_ROWS=2"), LcdGlass(16, 2)
    board.receive(encode_frame(">00 hello 2 0001", HOST_LINE_MAX), 0)
    board.receive(encode_frame(">01 show 1 Elderflower  200 ml", HOST_LINE_MAX), 0)
    refresh(board, glass, 0)
    assert glass.text() == [" " * 16, "Elderflower  200"]


def test_a_board_without_a_display_writes_nothing() -> None:
    board = HostBoard("-DTW_DISPLAY_ROWS=0")
    assert {board.display_next(now_ms) for now_ms in range(200)} == {None}
