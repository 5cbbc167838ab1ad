"""Recordings of the flight recorder."""

from datetime import datetime
from typing import Any, Self

from pydantic import ConfigDict, Field

from tarewell.dosing.alarm_kinds import ALARMS
from tarewell.records.exports import TraceLine
from tarewell.records.recordings import RecordingSummary

from . import View

_MESSAGES = {
    "aborted": "The pour was aborted.",
    "emergency_stop": "The emergency stop latched.",
    "program_fault": "The program met an unexpected error.",
} | {name: kind.message for name, kind in ALARMS.items()}

_EXAMPLE: dict[str, Any] = {
    "id": "01959c45-1d02-7000-9b11-5f0c7a61d2e4",
    "caused_at": "2031-03-14T19:42:10Z",
    "cause": "no_flow",
    "message": ALARMS["no_flow"].message,
    "pour_id": "01959c44-7f7a-7000-8a52-0d7c4a1e93b1",
    "program_version": "0.1.0",
    "begins_s": -26.4,
    "ends_s": 10.0,
    "links": {
        "self": "/v1/recordings/01959c45-1d02-7000-9b11-5f0c7a61d2e4",
        "csv": "/v1/recordings/01959c45-1d02-7000-9b11-5f0c7a61d2e4.csv",
        "pour": "/v1/pours/01959c44-7f7a-7000-8a52-0d7c4a1e93b1",
    },
}


class RecordingView(View):
    """A recording: what caused it, and the time around it that it reaches over."""

    model_config = ConfigDict(json_schema_extra={"examples": [_EXAMPLE]})

    id: str
    caused_at: datetime
    cause: str = Field(description="name of an alarm, `emergency_stop`, `aborted` or `program_fault`")
    message: str = Field(description="the cause in words")
    pour_id: str | None
    program_version: str = Field(description="that of the program which wrote it, and surely reads it")
    begins_s: float = Field(description="its beginning, in s from the cause: negative")
    ends_s: float = Field(description="its end, in s from the cause")
    links: dict[str, str]

    @classmethod
    def of(cls, found: RecordingSummary, **more: Any) -> Self:
        """From the records."""
        link = f"/v1/recordings/{found.id}"
        pour = {} if found.pour_id is None else {"pour": f"/v1/pours/{found.pour_id}"}
        return cls(
            id=found.id,
            caused_at=found.caused_at,
            cause=found.cause,
            message=_MESSAGES.get(found.cause, found.cause),
            pour_id=found.pour_id,
            program_version=found.program_version,
            begins_s=round(found.begins_s, 3),
            ends_s=round(found.ends_s, 3),
            links={"self": link, "csv": f"{link}.csv", **pour},
            **more,
        )


class RecordingTraceView(RecordingView):
    """A recording with its entries; columns that an entry does not fill are left out."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    **_EXAMPLE,
                    "entries": [
                        {"host_s": 4120.0, "what": "HostLate", "detail": {"late_s": 0.4}},
                        {
                            "host_s": 4120.0125,
                            "what": "sample",
                            "board_ms": 1834023,
                            "count": 4711,
                            "counts": 472165,
                            "gross_g": 251.3,
                            "running": "",
                            "flags": "",
                        },
                    ],
                }
            ]
        }
    )

    entries: list[TraceLine]
