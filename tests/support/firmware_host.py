"""The firmware's portable part, built for this computer and called from Python.

`HostBoard` has the methods of the simulator's `Board`, so that the same script runs on both.
"""

import ctypes
import os
import re
import shutil
import subprocess
from ctypes import POINTER, c_char_p, c_int, c_int32, c_int64, c_size_t, c_uint8, c_uint16, c_uint32, c_void_p
from enum import StrEnum
from functools import cache
from pathlib import Path
from typing import Any, get_args

import pytest

from tarewell_avr.building import FIRMWARE, ROOT, building
from tarewell_protocol import messages as m
from tarewell_protocol.fields import Channels, Kind, OrNone, Text, Word, YesNo, kinds_of

VERBS = get_args(m.Command)
"""As numbered in wire.h."""
SAYINGS = [said for said in (*get_args(m.ReplyBody), *get_args(m.EventBody)) if said.word != "hello"]
"""As numbered in wire.h."""
NUMBERED: dict[type[StrEnum], tuple[StrEnum | None, ...]] = {
    m.Refusal: (None, *m.Refusal),
    m.ResetCause: tuple(m.ResetCause),
    m.StopCause: (None, *m.StopCause),
    m.Press: tuple(m.Press),
    m.SelfTestVerdict: tuple(m.SelfTestVerdict),
    m.Direction: tuple(m.Direction),
}
"""Words as numbered in wire.h; None is `ok`, or `-`."""

_PACKAGES = {
    "make": "make",
    "cc": "gcc",
    "clang": "clang",
    "avr-gcc": "gcc-avr avr-libc binutils-avr",
    "avr-g++": "gcc-avr",
}


def require(*programs: str, files: tuple[str, str] = ("", "")) -> None:
    """Skip the calling test where a program (or a file of a package) is missing.

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
    """Run make in the firmware's folder; returns its output. A failure shows the compiler's messages."""
    command = ["make", "-C", str(FIRMWARE), target, *(f"{name}={value}" for name, value in variables.items())]
    with building():
        done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.fail(f"{' '.join(command)}:\n{(done.stdout + done.stderr)[-3000:]}", pytrace=False)
    return done.stdout


def out_folder(kind: str, config: str = "") -> Path:
    """The folder of a build with these -D options."""
    return ROOT / "build" / "-".join([kind, *re.findall(r"\w+=\w+", config)])


_SIGNATURES: dict[str, tuple[Any, list[Any]]] = {
    "tw_host_board": (c_void_p, [c_int, c_int, c_int, c_uint32]),
    "tw_host_free": (None, [c_void_p]),
    "tw_host_receive": (None, [c_void_p, c_char_p, c_size_t, c_uint32]),
    "tw_host_convert": (None, [c_void_p, c_int32, c_uint32]),
    "tw_host_press": (None, [c_void_p, c_int, c_uint32]),
    "tw_host_turn": (None, [c_void_p, c_int, c_uint32]),
    "tw_host_interlock": (None, [c_void_p, c_int, c_uint32]),
    "tw_host_supply": (None, [c_void_p, c_int, c_uint32]),
    "tw_host_tick": (None, [c_void_p, c_uint32]),
    "tw_host_overrun": (None, [c_void_p, c_uint16]),
    "tw_host_output": (c_size_t, [c_void_p, c_char_p]),
    "tw_host_drives": (c_int, [c_void_p, c_char_p]),
    "tw_host_left_ms": (c_uint32, [c_void_p, c_uint32]),
    "tw_host_display_next": (c_int, [c_void_p, c_uint32]),
    "tw_host_display_lost": (None, [c_void_p, c_uint32]),
    "tw_host_display_text": (None, [c_void_p, c_int, c_char_p]),
    "tw_host_request": (c_int, [c_char_p, POINTER(c_int32), c_char_p]),
    "tw_host_say": (c_size_t, [c_char_p, c_uint8, c_int, POINTER(c_uint32)]),
    "tw_host_say_hello": (c_size_t, [c_char_p, c_uint8, POINTER(c_int32), POINTER(c_char_p)]),
    "tw_host_say_sample": (c_size_t, [c_char_p, POINTER(c_int64)]),
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

    def __init__(
        self,
        config: str = "",
        cause: m.ResetCause = m.ResetCause.POWER,
        now_ms: int = 0,
        *,
        latched: bool = False,
        verdict: m.SelfTestVerdict = m.SelfTestVerdict.OK,
    ) -> None:
        self._library = library(config)
        start = (_number(cause), latched, _number(verdict), now_ms & 0xFFFF_FFFF)
        self._board = c_void_p(self._library.tw_host_board(*start))

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

    def interlock(self, open_: bool, now_ms: int) -> None:
        """The interlock opened or closed."""
        self._library.tw_host_interlock(self._board, open_, now_ms & 0xFFFF_FFFF)

    def supply(self, off: bool, now_ms: int) -> None:
        """The pump supply went or came."""
        self._library.tw_host_supply(self._board, off, now_ms & 0xFFFF_FFFF)

    def tick(self, now_ms: int) -> None:
        """A millisecond has come."""
        self._library.tw_host_tick(self._board, now_ms & 0xFFFF_FFFF)

    def overrun(self, count: int) -> None:
        """The UART has lost bytes."""
        self._library.tw_host_overrun(self._board, count)

    def output(self) -> bytes:
        """The bytes to send since the last call."""
        buffer = ctypes.create_string_buffer(256)
        count = self._library.tw_host_output(self._board, buffer)
        return buffer.raw[:count]

    def drive(self) -> tuple[int, bool, int]:
        """Channel (0 for none), reverse, speed."""
        return self.drives("channel"), bool(self.drives("reverse")), self.drives("speed")

    def drives(self, what: str) -> int:
        """An output by its name in host.c."""
        return int(self._library.tw_host_drives(self._board, what.encode()))

    def left_ms(self, now_ms: int) -> int:
        """How long the pump may turn without a renewal."""
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
    """The firmware's decoding of a frame's body: number and command or refusal."""
    values, text = (c_int32 * 16)(), ctypes.create_string_buffer(64)
    reason = library().tw_host_request(body.encode("ascii"), values, text)
    if reason < 0:
        return None
    seq, verb, *numbers = values
    if reason:
        return seq, tuple(m.Refusal)[reason - 1]
    kinds = kinds_of(VERBS[verb])
    fields = {
        name: _value(kind, number, text.value.decode("ascii"))
        for (name, kind), number in zip(kinds.items(), numbers, strict=False)
    }
    return seq, VERBS[verb](**fields)


def _value(kind: Kind, number: int, text: str) -> Any:
    match kind:
        case Word(enumeration):
            return NUMBERED[enumeration][number]
        case YesNo():
            return bool(number)
        case OrNone():
            return number or None
        case Text():
            return text
    return number


def say(message: m.FromBoard) -> bytes:
    """The firmware's line for a message; it never sends `OtherVersion`."""
    line, call = ctypes.create_string_buffer(128), library()
    match message:
        case m.Sample():
            count = call.tw_host_say_sample(line, (c_int64 * 9)(*_numbers(message)))
        case m.Reply(seq, m.Identity() as identity):
            names = (c_char_p * 2)(identity.firmware.encode("ascii"), identity.board_id.encode("ascii"))
            count = call.tw_host_say_hello(line, seq, (c_int32 * 12)(*_identity(identity)), names)
        case m.Reply(number, body) | m.Event(number, body):
            values = (c_uint32 * 8)(*(value & 0xFFFF_FFFF for value in _numbers(body)))
            count = call.tw_host_say(line, number, SAYINGS.index(type(body)), values)
    return line.raw[:count]


def _identity(identity: m.Identity) -> list[int]:
    size = [int(number) for number in (identity.display or "0x0").split("x")]
    able = [letter in identity.abilities for letter in m.ABILITIES]
    return [
        identity.channels,
        round(10 * identity.sample_rate_hz),
        identity.filter_delay_ms,
        identity.full_scale_counts,
        *able,
        *size,
        _number(identity.cause),
    ]


def _numbers(message: Any) -> list[int]:
    return [_number(getattr(message, name), kind) for name, kind in kinds_of(type(message)).items()]


def _number(value: Any, kind: Kind | None = None) -> int:
    match kind, value:
        case Channels(), channels:
            return sum(1 << (channel - 1) for channel in channels)
        case OrNone(Word(enumeration)), _:
            return NUMBERED[enumeration].index(value)
        case _, StrEnum():
            return NUMBERED[type(value)].index(value)
    return int(value)
