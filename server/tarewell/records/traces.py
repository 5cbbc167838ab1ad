"""A pour's trace: all of its events and outputs, each with the host's time.

A chunk is one version byte, then zlib over: the number of entries and of samples, one byte for each entry (1:
a sample), the host times, the samples by column, and the rest as JSON. Every value comes back exactly, floats
bit for bit. Samples are by far the most, so growing columns are stored as differences, host times by their
bit patterns; with that and the order by column and byte, zlib compresses them well.
"""

import json
import struct
import zlib
from array import array
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate
from sys import byteorder
from typing import Any, get_args

from tarewell.dosing.events import PourCommanded, PourEvent, PourOutput, PourStateChanged, Weighed
from tarewell.typed_json import dump, load
from tarewell_protocol.messages import COUNTS_MAX, COUNTS_MIN, Sample

VERSION = 1


@dataclass(frozen=True, slots=True)
class TraceEntry:
    """An event or output with its time: `now_s` is the host's monotonic clock in s."""

    now_s: float
    item: PourEvent | PourOutput


Trace = list[TraceEntry]


class TraceError(ValueError):
    """A chunk that cannot be read, or an entry that a chunk cannot hold."""


_HEADER = struct.Struct("<II")
_NAMES: dict[type[Any], str] = {PourCommanded: "Ordered", PourStateChanged: "StateChanged"}
"""Kinds of entries that are stored under a former name of their class."""

_KINDS: dict[str, type[Any]] = {
    _NAMES.get(kind, kind.__name__): kind
    for kind in (*get_args(PourEvent), *get_args(PourOutput))
    if kind is not Weighed
}
_COLUMNS = (
    ("board_ms", "I", 0, 2**32 - 1),
    ("count", "H", 0, 2**16 - 1),
    ("counts", "I", COUNTS_MIN, COUNTS_MAX),
)
"""Field of a sample, type of the array that holds its differences, least and largest value."""


def name_of(item: PourEvent | PourOutput) -> str:
    """The stored name of an entry's kind."""
    return _NAMES.get(type(item), type(item).__name__)


def encode(entries: Sequence[TraceEntry]) -> bytes:
    """One chunk.

    Raises:
        TraceError: a sample with a field that the wire cannot carry either.
    """
    samples = [entry.item.sample for entry in entries if isinstance(entry.item, Weighed)]
    others = [
        [name_of(entry.item), dump(entry.item)] for entry in entries if not isinstance(entry.item, Weighed)
    ]
    kinds = bytes(isinstance(entry.item, Weighed) for entry in entries)
    try:
        running = bytes(sample.running for sample in samples)
        columns = [
            _steps(typecode, _within(least, most, [getattr(sample, name) for sample in samples]))
            for name, typecode, least, most in _COLUMNS
        ]
    except (ValueError, TypeError) as error:
        raise TraceError(f"a sample is outside the board's range ({error}); it is not stored") from error
    flags = bytes(sample.saturated | sample.latched << 1 | sample.lost << 2 for sample in samples)
    times = _steps("Q", array("Q", array("d", [entry.now_s for entry in entries]).tobytes()))
    tail = json.dumps(others, separators=(",", ":")).encode()
    payload = b"".join(
        (_HEADER.pack(len(entries), len(samples)), kinds, times, *columns, running, flags, tail)
    )
    return bytes((VERSION,)) + zlib.compress(payload, 6)


def decode(chunk: bytes) -> list[TraceEntry]:
    """The entries of one chunk.

    Raises:
        TraceError: a chunk of another version, or damaged.
    """
    if chunk[:1] != bytes((VERSION,)):
        raise TraceError(
            f"a trace of version {VERSION} was expected, got {chunk[:1].hex() or 'nothing'}; "
            "read it with the program version that wrote it"
        )
    try:
        return list(_decode(zlib.decompress(chunk[1:])))
    except (zlib.error, struct.error, ValueError, KeyError, IndexError, TypeError) as error:
        raise TraceError(f"the trace is damaged ({error}); restore it from a backup") from error


def _decode(payload: bytes) -> Iterator[TraceEntry]:
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
        if is_sample:
            yield TraceEntry(now_s, _weighed(*next(samples)))
        else:
            name, fields = next(rest)
            yield TraceEntry(now_s, load(_KINDS[name], fields))


def _weighed(board_ms: int, number: int, counts: int, running: int, flags: int) -> Weighed:
    return Weighed(
        Sample(board_ms, number, counts, running, bool(flags & 1), bool(flags & 2), bool(flags & 4))
    )


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
