"""Samples and other entries in the order of time, packed small.

The bytes are zlib over: the number of entries and of samples, one byte for each entry (1: a sample), the
host times, the samples by column, and the rest as JSON. Every value comes back exactly, floats bit for bit.
Samples are by far the most, so growing columns are stored as differences, host times by their bit patterns;
with that and the order by column and byte, zlib compresses them well.
"""

import json
import struct
import zlib
from array import array
from collections.abc import Iterable, Iterator, Sequence
from itertools import accumulate
from sys import byteorder
from typing import Any

from tarewell_protocol.messages import COUNTS_MAX, COUNTS_MIN, Sample

_HEADER = struct.Struct("<II")
_COLUMNS = (
    ("board_ms", "I", 0, 2**32 - 1),
    ("count", "H", 0, 2**16 - 1),
    ("counts", "I", COUNTS_MIN, COUNTS_MAX),
)
"""Field of a sample, type of the array that holds its differences, least and largest value."""


_FLAGS = ("saturated", "latched", "lost", "interlock_open", "supply_off")
"""Flags of a sample, from bit 0 up."""

Entry = tuple[float, Any]
"""The host's time in s, and a `Sample` or a value for JSON."""


def pack(entries: Sequence[Entry]) -> bytes:
    """The entries as bytes.

    Raises:
        ValueError: a sample with a field that the wire cannot carry either.
    """
    samples = [item for _, item in entries if isinstance(item, Sample)]
    others = [item for _, item in entries if not isinstance(item, Sample)]
    kinds = bytes(isinstance(item, Sample) for _, item in entries)
    try:
        running = bytes(sample.running for sample in samples)
        columns = [
            _steps(typecode, _within(least, most, [getattr(sample, name) for sample in samples]))
            for name, typecode, least, most in _COLUMNS
        ]
    except (ValueError, TypeError) as error:
        raise ValueError(f"a sample is outside the board's range ({error}); it is not stored") from error
    flags = bytes(sum(getattr(sample, name) << bit for bit, name in enumerate(_FLAGS)) for sample in samples)
    times = _steps("Q", array("Q", array("d", [now_s for now_s, _ in entries]).tobytes()))
    tail = json.dumps(others, separators=(",", ":")).encode()
    payload = b"".join(
        (_HEADER.pack(len(entries), len(samples)), kinds, times, *columns, running, flags, tail)
    )
    return zlib.compress(payload, 6)


def unpack(data: bytes) -> list[Entry]:
    """The entries that `pack` was given.

    Raises:
        ValueError: damaged bytes.
    """
    try:
        return list(_unpack(zlib.decompress(data)))
    except (zlib.error, struct.error, ValueError, IndexError, TypeError) as error:
        raise ValueError(f"damaged: {error}") from error


def _unpack(payload: bytes) -> Iterator[Entry]:
    total, count = _HEADER.unpack_from(payload)
    at = _HEADER.size

    def take(size: int) -> bytes:
        nonlocal at
        at += size
        if at > len(payload):
            raise ValueError("it is cut short")
        return payload[at - size : at]

    kinds = take(total)
    times = array("d", array("Q", _sums(_from_planes("Q", take(8 * total)))).tobytes())
    board_ms, numbers, raw = (
        _sums(_from_planes(typecode, take(array(typecode).itemsize * count)))
        for _, typecode, _, _ in _COLUMNS
    )
    counts = [value - (value >> 31 << 32) for value in raw]
    samples = zip(board_ms, numbers, counts, take(count), take(count), strict=True)
    others = json.loads(payload[at:])
    if kinds.count(1) != count or kinds.count(0) != len(others) or count + len(others) != total:
        raise ValueError("its numbers of entries disagree")
    rest = iter(others)
    for now_s, is_sample in zip(times, kinds, strict=True):
        yield now_s, _sample(*next(samples)) if is_sample else next(rest)


def _sample(board_ms: int, number: int, counts: int, running: int, flags: int) -> Sample:
    set_ = {name: bool(flags >> bit & 1) for bit, name in enumerate(_FLAGS)}
    return Sample(board_ms, number, counts, running, **set_)


def _within(least: int, most: int, values: list[int]) -> list[int]:
    for value in (min(values, default=least), max(values, default=least)):
        if not least <= value <= most:
            raise ValueError(f"{value} is not within {least} to {most}")
    return values


def _steps(typecode: str, values: Iterable[int]) -> bytes:
    """The differences, of the first from 0, modulo the size of the type."""
    steps = array(typecode)
    mask = (1 << 8 * steps.itemsize) - 1
    before = 0
    for value in values:
        steps.append((value - before) & mask)
        before = value
    return _planes(steps)


def _sums(steps: "array[int]") -> list[int]:
    mask = (1 << 8 * steps.itemsize) - 1
    return list(accumulate(steps, lambda total, step: (total + step) & mask))


def _planes(values: "array[Any]") -> bytes:
    """All first bytes, then all second ones, ..., little-endian, so that similar bytes are adjacent."""
    if byteorder == "big":
        values.byteswap()
    data = values.tobytes()
    return b"".join(data[plane :: values.itemsize] for plane in range(values.itemsize))


def _from_planes(typecode: str, data: bytes) -> "array[Any]":
    values: array[Any] = array(typecode)
    size = values.itemsize
    count = len(data) // size
    mixed = bytearray(len(data))
    for plane in range(size):
        mixed[plane::size] = data[plane * count : (plane + 1) * count]
    values.frombytes(mixed)
    if byteorder == "big":
        values.byteswap()
    return values
