"""The firmware's portable part, built for this computer and called from Python.

`HostBoard` has the methods of the simulator's `Board`, so that the same script plays on both.
"""

import ctypes
import os
import re
import shutil
import subprocess
from ctypes import POINTER, c_char_p, c_int, c_int32, c_int64, c_size_t, c_uint16, c_uint32, c_void_p
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from tarewell_protocol import messages as m

ROOT = Path(__file__).parents[2]
FIRMWARE = ROOT / "protocol" / "firmware"

VERBS = ("hello", "run", "keep", "stop", "estop", "clear", "show", "state", "stats", "limits")
"""As numbered in request.h."""
REASONS = (None, *m.Refusal)
"""As numbered in request.h; None is `ok`."""
RESETS = tuple(m.ResetCause)
"""As numbered in words.h."""
STOPS = (None, *m.StopCause)
"""As numbered in words.h."""

_PACKAGES = {
    "make": "make",
    "cc": "gcc",
    "clang": "clang",
    "avr-gcc": "gcc-avr avr-libc binutils-avr",
    "avr-g++": "gcc-avr",
}


def require(*programs: str, files: tuple[str, str] = ("", "")) -> None:
    """Leave the calling test out, in one line, where a program (or a file of a package) is missing.

    With TAREWELL_REQUIRE_AVR=1, which CI sets, the test fails instead.
    """
    packages = {_PACKAGES[program] for program in programs if not shutil.which(program)}
    path, package = files
    if path and not Path(path).exists():
        packages.add(package)
    if packages:
        reason = f"left out: the firmware's tools are missing; apt-get install {' '.join(sorted(packages))}"
        if os.environ.get("TAREWELL_REQUIRE_AVR") == "1":
            pytest.fail(reason, pytrace=False)
        pytest.skip(reason)


def make(target: str, **variables: str) -> str:
    """Runs make in the firmware's folder; what it printed. A failure is told with the compiler's words."""
    command = ["make", "-C", str(FIRMWARE), target, *(f"{name}={value}" for name, value in variables.items())]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.fail(f"{' '.join(command)}:\n{(done.stdout + done.stderr)[-3000:]}", pytrace=False)
    return done.stdout


def out_folder(kind: str, config: str = "") -> Path:
    """Where a build with these -D options goes; each has its own folder."""
    return ROOT / "build" / "-".join([kind, *re.findall(r"\w+=\w+", config)])


_SIGNATURES: dict[str, tuple[Any, list[Any]]] = {
    "tw_host_board": (c_void_p, [c_int, c_uint32]),
    "tw_host_free": (None, [c_void_p]),
    "tw_host_receive": (None, [c_void_p, c_char_p, c_size_t, c_uint32]),
    "tw_host_convert": (None, [c_void_p, c_int32, c_uint32]),
    "tw_host_press": (None, [c_void_p, c_int, c_uint32]),
    "tw_host_turn": (None, [c_void_p, c_int, c_uint32]),
    "tw_host_tick": (None, [c_void_p, c_uint32]),
    "tw_host_overrun": (None, [c_void_p, c_uint16]),
    "tw_host_output": (c_size_t, [c_void_p, c_char_p]),
    "tw_host_channel": (c_int, [c_void_p]),
    "tw_host_reverse": (c_int, [c_void_p]),
    "tw_host_speed": (c_int, [c_void_p]),
    "tw_host_left_ms": (c_uint32, [c_void_p, c_uint32]),
    "tw_host_display_next": (c_int, [c_void_p, c_uint32]),
    "tw_host_display_lost": (None, [c_void_p, c_uint32]),
    "tw_host_display_text": (None, [c_void_p, c_int, c_char_p]),
    "tw_host_request": (c_int, [c_char_p, POINTER(c_int32), c_char_p]),
    "tw_host_say": (c_size_t, [c_char_p, c_char_p, POINTER(c_int64), POINTER(c_char_p)]),
    "tw_host_knob": (c_void_p, []),
    "tw_host_knob_sample": (None, [c_void_p, c_int, c_int]),
    "tw_host_knob_take": (c_int, [c_void_p, c_uint32]),
    "tw_host_button": (c_void_p, []),
    "tw_host_button_sample": (c_int, [c_void_p, c_int]),
    "tw_host_crc": (c_uint16, [c_char_p, c_size_t]),
    "tw_host_counts": (c_int32, [c_uint32]),
}


@cache
def library(config: str = "") -> ctypes.CDLL:
    """The library built with these -D options."""
    require("make", "cc")
    folder = out_folder("firmware", config)
    make("host", OUT=str(folder), CONFIG=config)
    loaded = ctypes.CDLL(str(folder / "libtarewell_portable.so"))
    for name, (result, arguments) in _SIGNATURES.items():
        function = getattr(loaded, name)
        function.restype, function.argtypes = result, arguments
    return loaded


class HostBoard:
    """A board of the firmware's code; the clock is that of the caller and wraps at 32 bits."""

    def __init__(self, config: str = "", cause: m.ResetCause = m.ResetCause.POWER, now_ms: int = 0) -> None:
        self._library = library(config)
        self._board = c_void_p(self._library.tw_host_board(RESETS.index(cause), now_ms & 0xFFFF_FFFF))

    def __del__(self) -> None:
        self._library.tw_host_free(self._board)

    def receive(self, data: bytes, now_ms: int) -> None:
        """Bytes from the host."""
        self._library.tw_host_receive(self._board, data, len(data), now_ms & 0xFFFF_FFFF)

    def convert(self, counts: int, now_ms: int) -> None:
        """A conversion has ended."""
        self._library.tw_host_convert(self._board, counts, now_ms & 0xFFFF_FFFF)

    def press(self, down: bool, now_ms: int) -> None:
        """The button went down or up."""
        self._library.tw_host_press(self._board, down, now_ms & 0xFFFF_FFFF)

    def turn(self, steps: int, now_ms: int) -> None:
        """The knob was turned, -127 to 127 steps."""
        self._library.tw_host_turn(self._board, steps, now_ms & 0xFFFF_FFFF)

    def tick(self, now_ms: int) -> None:
        """A millisecond has come."""
        self._library.tw_host_tick(self._board, now_ms & 0xFFFF_FFFF)

    def overrun(self, count: int) -> None:
        """The serial unit has lost bytes."""
        self._library.tw_host_overrun(self._board, count)

    def output(self) -> bytes:
        """What it wants to send since the last call."""
        buffer = ctypes.create_string_buffer(256)
        count = self._library.tw_host_output(self._board, buffer)
        return buffer.raw[:count]

    def drive(self) -> tuple[int, bool, int]:
        """Channel (0 for none), reverse, speed."""
        call = self._library
        return (
            call.tw_host_channel(self._board),
            bool(call.tw_host_reverse(self._board)),
            call.tw_host_speed(self._board),
        )

    def left_ms(self, now_ms: int) -> int:
        """For how long the pump may turn without another word."""
        return int(self._library.tw_host_left_ms(self._board, now_ms & 0xFFFF_FFFF))

    def display_next(self, now_ms: int) -> int | None:
        """The next byte for the display's expander."""
        byte = self._library.tw_host_display_next(self._board, now_ms & 0xFFFF_FFFF)
        return None if byte < 0 else int(byte)

    def display_lost(self, now_ms: int) -> None:
        """The display did not answer."""
        self._library.tw_host_display_lost(self._board, now_ms & 0xFFFF_FFFF)

    def display_text(self, row: int) -> str:
        """A line as the host wrote it."""
        buffer = ctypes.create_string_buffer(32)
        self._library.tw_host_display_text(self._board, row, buffer)
        return buffer.value.decode("ascii")


def read_request(body: str) -> tuple[int, m.Command | m.Refusal] | None:
    """What the firmware understands of a frame's body: number and command or refusal."""
    fields, text = (c_int32 * 9)(), ctypes.create_string_buffer(32)
    reason = library().tw_host_request(body.encode("ascii"), fields, text)
    if reason < 0:
        return None
    seq, verb, *n = fields
    if refusal := REASONS[reason]:
        return seq, refusal
    match VERBS[verb]:
        case "hello":
            return seq, m.Hello(n[1], n[0])
        case "run":
            direction = m.Direction.REVERSE if n[1] else m.Direction.FORWARD
            return seq, m.Run(n[0], direction, n[2], n[3], n[5], n[6], bool(n[4]))
        case "keep":
            return seq, m.Keep(n[0])
        case "stop":
            return seq, m.Stop(n[0] or None)
        case "show":
            return seq, m.Show(n[0], text.value.decode("ascii"))
        case word:
            bare: dict[str, m.Command] = {
                "estop": m.EmergencyStop(),
                "clear": m.Clear(),
                "state": m.AskState(),
                "stats": m.AskStats(),
                "limits": m.AskLimits(),
            }
            return seq, bare[word]


def say(message: m.FromBoard) -> bytes:
    """The line that the firmware writes for a message; it has no other version to be of (`OtherVersion`)."""
    kind, numbers, names = _flat(message)
    line = ctypes.create_string_buffer(128)
    count = library().tw_host_say(
        line,
        kind.encode(),
        (c_int64 * 12)(*numbers),
        (c_char_p * 2)(*(name.encode("ascii") for name in names)),
    )
    return line.raw[:count]


def _flat(message: m.FromBoard) -> tuple[str, list[int], list[str]]:
    match message:
        case m.Sample(board_ms, count, counts, running, saturated, latched, lost):
            return "sample", [board_ms, count, counts, running, saturated, latched, lost], []
        case m.Event(number, m.Stopped(channel, cause, board_ms, ran_ms)):
            return "stopped", [number, channel, STOPS.index(cause), board_ms, ran_ms], []
        case m.Event(number, m.Button(press, board_ms)):
            return "button", [number, tuple(m.Press).index(press), board_ms], []
        case m.Event(number, m.Knob(steps, board_ms)):
            return "knob", [number, steps, board_ms], []
        case m.Event(number, m.Booted(cause)):
            return "boot", [number, RESETS.index(cause)], []
        case m.Reply(seq, answer):
            return _flat_answer(seq, answer)
    raise ValueError(f"the firmware has no such message: {message!r}")


def _flat_answer(seq: int, answer: m.ReplyBody) -> tuple[str, list[int], list[str]]:
    match answer:
        case m.Done():
            return "plain", [seq, 0], []
        case m.Refused(reason):
            return "plain", [seq, REASONS.index(reason)], []
        case m.Identity():
            columns, rows = answer.display.split("x") if answer.display else ("0", "0")
            able = ["r" in answer.abilities, "v" in answer.abilities, "k" in answer.abilities]
            numbers = [seq, answer.protocol, answer.channels, answer.sample_rate_hz, answer.full_scale_counts]
            numbers += [*able, int(columns), int(rows), RESETS.index(answer.cause)]
            return "hello", numbers, [answer.firmware, answer.board_id]
        case m.BoardState(running, latched, last_channel, last_cause, next_event):
            mask = sum(1 << (channel - 1) for channel in running)
            return "state", [seq, mask, latched, last_channel, STOPS.index(last_cause), next_event], []
        case m.BoardStats():
            counts = [answer.frames, answer.bad_crc, answer.overlong, answer.overruns]
            return (
                "stats",
                [seq, *counts, answer.conversions_lost, answer.conversions_late, answer.saturated],
                [],
            )
        case m.BoardLimits(lease_ms, run_ms, low, high):
            return "limits", [seq, lease_ms, run_ms, low, high], []
    raise ValueError(f"the firmware has no such answer: {answer!r}")
