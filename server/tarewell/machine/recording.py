"""A recorded stretch: the machine's state at its beginning, and all that it was told and answered since.

The bytes are one for the version, then parts, each after its length in four bytes: the state as packed JSON,
and stretches of entries as `sample_columns` packs them. A sample stands for itself; any other event, and what
was answered, is JSON by `state_json`, so only the version that wrote it is sure to read it.
"""

import json
import struct
import zlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from tarewell.sample_columns import Entry, pack, unpack
from tarewell.state_json import StateError, dump_state, load_state
from tarewell_protocol.messages import Sample
from tarewell_protocol.session import SampleArrived

from .effects import AppendTrace, Effect, FinishPour, Persist, Publish
from .events import MachineEvent

VERSION = 4

_LENGTH = struct.Struct("<I")


class RecordingError(ValueError):
    """A recording that cannot be read; the message says why and what to do."""


@dataclass(frozen=True, slots=True)
class Step:
    """An event with what the machine answered, live readings left out, at `now_s` of the host's clock."""

    now_s: float
    event: MachineEvent
    effects: tuple[Effect, ...] = ()


def kept(effects: Iterable[Effect]) -> tuple[Effect, ...]:
    """The effects as a recording keeps them: without live readings, and without the traces of pours, which
    hold the same events again."""
    return tuple(_without_trace(effect) for effect in effects if not isinstance(effect, Publish))


def _without_trace(effect: Effect) -> Effect:
    match effect:
        case Persist(AppendTrace() | FinishPour() as change):
            return replace(effect, change=replace(change, entries=()))
    return effect


def pack_state(machine: object) -> bytes:
    """The state of a machine, from which a recording may begin."""
    return zlib.compress(json.dumps(dump_state(machine), separators=(",", ":")).encode(), 1)


def pack_steps(steps: Iterable[Step]) -> bytes:
    """Some steps, one after the other."""
    return pack([entry for step in steps for entry in _entries(step)])


def joined(state: bytes, steps: Sequence[bytes]) -> bytes:
    """The data of a recording."""
    parts = [_LENGTH.pack(len(part)) + part for part in (state, *steps)]
    return b"".join((bytes((VERSION,)), *parts))


def read(data: bytes) -> tuple[Any, list[Step]]:
    """The machine as it was at the beginning, and all steps since.

    Raises:
        RecordingError: of another version, or damaged.
    """
    if data[:1] != bytes((VERSION,)):
        raise RecordingError(
            f"a recording of version {VERSION} was expected, got {data[:1].hex() or 'nothing'}; "
            "read it with the program version that wrote it"
        )
    try:
        state, *chunks = _parts(data)
        machine = load_state(json.loads(zlib.decompress(state)))
        return machine, list(_steps(entry for chunk in chunks for entry in unpack(chunk)))
    except (StateError, ValueError, zlib.error, struct.error) as error:
        raise RecordingError(
            f"the recording cannot be read ({error}); use the program version that wrote it, or restore it "
            "from a backup"
        ) from error


def _parts(data: bytes) -> Iterator[bytes]:
    at = 1
    while at < len(data):
        (length,) = _LENGTH.unpack_from(data, at)
        at += _LENGTH.size
        if at + length > len(data):
            raise ValueError("it is cut short")
        yield data[at : at + length]
        at += length


def _entries(step: Step) -> Iterator[Entry]:
    match step.event:
        case SampleArrived(sample, 0):
            yield step.now_s, sample
        case event:
            yield step.now_s, {"event": dump_state(event)}
    if step.effects:
        yield step.now_s, {"effects": dump_state(list(step.effects))}


def _steps(entries: Iterable[Entry]) -> Iterator[Step]:
    step: Step | None = None
    for now_s, item in entries:
        match item:
            case {"effects": effects} if step is not None:
                step = replace(step, effects=tuple(load_state(effects)))
                continue
            case Sample():
                event: MachineEvent = SampleArrived(item, 0)
            case {"event": state}:
                event = load_state(state)
            case other:
                raise ValueError(f"a step begins with {other!r}")
        if step is not None:
            yield step
        step = Step(now_s, event)
    if step is not None:
        yield step
