"""A pour's trace: all of its events and outputs, each with the host's time.

A chunk is one version byte, then the entries as `sample_columns` packs them.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, get_args

from tarewell.sample_columns import pack, unpack
from tarewell.typed_json import dump, load
from tarewell_protocol.messages import Sample

from .events import PourCommanded, PourEvent, PourOutput, PourStateChanged, Weighed

VERSION = 2
"""Of what is written. Version 1, which is read too, knew fewer flags of a sample and no numbers of runs."""


@dataclass(frozen=True, slots=True)
class TraceEntry:
    """An event or output with its time: `now_s` is the host's monotonic clock in s."""

    now_s: float
    item: PourEvent | PourOutput


Trace = list[TraceEntry]


class TraceError(ValueError):
    """A chunk that cannot be read, or an entry that a chunk cannot hold."""


_NAMES: dict[type[Any], str] = {PourCommanded: "Ordered", PourStateChanged: "StateChanged"}
"""Kinds of entries that are stored under a former name of their class."""

KINDS: dict[str, type[Any]] = {
    _NAMES.get(kind, kind.__name__): kind
    for kind in (*get_args(PourEvent), *get_args(PourOutput))
    if kind is not Weighed
}
"""What a trace holds beside samples, by the name under which it is stored."""


def name_of(item: PourEvent | PourOutput) -> str:
    """The stored name of an entry's kind."""
    return _NAMES.get(type(item), type(item).__name__)


def encode(entries: Sequence[TraceEntry]) -> bytes:
    """One chunk.

    Raises:
        TraceError: a sample with a field that the wire cannot carry either.
    """
    items = (
        (entry.now_s, entry.item.sample)
        if isinstance(entry.item, Weighed)
        else (entry.now_s, [name_of(entry.item), dump(entry.item)])
        for entry in entries
    )
    try:
        return bytes((VERSION,)) + pack(list(items))
    except ValueError as error:
        raise TraceError(str(error)) from error


def decode(chunk: bytes) -> list[TraceEntry]:
    """The entries of one chunk.

    Raises:
        TraceError: a chunk of another version, or damaged.
    """
    if chunk[:1] not in (b"\1", bytes((VERSION,))):
        raise TraceError(
            f"a trace of version 1 to {VERSION} was expected, got {chunk[:1].hex() or 'nothing'}; "
            "read it with the program version that wrote it"
        )
    try:
        return [TraceEntry(now_s, _item(found)) for now_s, found in unpack(chunk[1:])]
    except (ValueError, KeyError, TypeError) as error:
        raise TraceError(f"the trace is damaged ({error}); restore it from a backup") from error


def _item(found: Any) -> PourEvent | PourOutput:
    if isinstance(found, Sample):
        return Weighed(found)
    name, fields = found
    item: PourEvent | PourOutput = load(KINDS[name], fields)
    return item
