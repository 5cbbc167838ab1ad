"""A recording of the flight recorder, line by line as the trace of a pour.

Keys of requests and their fingerprints are left out: no other answer of the API shows them.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass, replace
from datetime import datetime
from enum import Enum
from typing import Any

from tarewell.machine.effects import AddCalibration, Write
from tarewell.machine.events import WriteDone
from tarewell.machine.recording import Step, read
from tarewell.machine.requests import PourRequest
from tarewell.weighing.calibration import Calibration
from tarewell_protocol.session import SampleArrived

from .errors import IdempotencyConflict
from .exports import TraceLine, sample_line

_LEFT_OUT = frozenset({"idempotency_key", "request_key", "fingerprint"})


def recording_lines(data: bytes) -> Iterator[TraceLine]:
    """Every event, and after it what the machine answered, which has the same time.

    Raises:
        RecordingError: it cannot be read.
    """
    machine, steps = read(data)
    # the state of another version may lack what this one looks for
    calibration: Calibration | None = getattr(machine, "calibration", None)
    writing: dict[str, Calibration] = {}
    for step in steps:
        match step.event:
            case WriteDone(key) if key in writing:
                calibration = writing.pop(key)
        yield _event_line(step, calibration)
        for effect in step.effects:
            match effect:
                case Write(key, AddCalibration(new)):
                    writing[key] = new
            yield TraceLine(step.now_s, type(effect).__name__, detail=_fields(effect))


def _event_line(step: Step, calibration: Calibration | None) -> TraceLine:
    match step.event:
        case SampleArrived(sample, missed):
            line = sample_line(step.now_s, sample, calibration)
            return replace(line, detail={"missed": missed}) if missed else line
        case event:
            return TraceLine(step.now_s, type(event).__name__, detail=_fields(event))


def _fields(value: Any) -> dict[str, Any]:
    """The fields of a dataclass that may be shown."""
    left_out = _LEFT_OUT | {"key"} if isinstance(value, PourRequest) else _LEFT_OUT
    return {
        field.name: _plain(getattr(value, field.name))
        for field in fields(value)
        if field.name not in left_out
    }


def _plain(value: Any) -> Any:
    """As `json.dumps` takes it, whatever it is; an object says in `is` of what kind it is."""
    match value:
        case Enum():
            return value.value
        case None | bool() | int() | str():
            return value
        case float():
            return value if math.isfinite(value) else repr(value)
        case datetime():
            return value.isoformat()
        case bytes():
            return f"{len(value)} bytes"
        case Mapping():
            return {str(_plain(key)): _plain(item) for key, item in value.items()}
        case tuple() | list():
            return [_plain(item) for item in value]
        case set() | frozenset():
            return [_plain(item) for item in sorted(value, key=repr)]
        case IdempotencyConflict():
            return {"is": "IdempotencyConflict", value.what: value.owner_id}
        case BaseException():
            return {"is": type(value).__name__, "message": str(value)}
    kind = {"is": type(value).__name__}
    return kind | _fields(value) if is_dataclass(value) else kind
