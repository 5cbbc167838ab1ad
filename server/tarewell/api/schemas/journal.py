"""The journal: how long it is, and whether it is whole."""

from datetime import datetime
from typing import Any, Literal, Self

from pydantic import ConfigDict, Field

from tarewell.api.journal_check import JournalCheck
from tarewell.records.values import StoredEvent
from tarewell.records.verify import ChainFault

from . import View


class ChainFaultView(View):
    """Where the journal breaks first; `seq` null: a row that no entry covers."""

    seq: int | None
    message: str

    @classmethod
    def of(cls, fault: ChainFault) -> Self:
        """From the check."""
        return cls(seq=fault.seq, message=fault.message)


class JournalView(View):
    """The journal, and what the last check since the daemon's start found."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "entries": 1286,
                    "state": "whole",
                    "checking": False,
                    "checked_at": "2031-03-14T20:18:00Z",
                    "checked_entries": 1284,
                    "checked_hash": "9f2c41d0a7e35b68c1f4d2907b6e8a35c0d9e1f2a3b4c5d6e7f8091a2b3c4d5e",
                    "fault": None,
                    "failure": None,
                }
            ]
        }
    )

    entries: int
    state: Literal["unchecked", "whole", "broken"]
    checking: bool = Field(description="a check is under way")
    checked_at: datetime | None
    checked_entries: int | None = Field(description="entries that the check found intact")
    checked_hash: str | None = Field(description="hash of the last intact entry, to be noted elsewhere")
    fault: ChainFaultView | None
    failure: str | None = Field(description="why the last check could not be made")

    @classmethod
    def of(cls, entries: int, check: JournalCheck) -> Self:
        """From the store and the last check."""
        report = check.report
        fault = None if report is None else report.fault
        return cls(
            entries=entries,
            state="unchecked" if report is None else "whole" if fault is None else "broken",
            checking=check.under_way,
            checked_at=check.at,
            checked_entries=None if report is None else report.events,
            checked_hash=None if report is None else report.last_hash,
            fault=None if fault is None else ChainFaultView.of(fault),
            failure=check.failure,
        )


class JournalEntryView(View):
    """An entry of the journal; its hash covers it and the hash of the entry before."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "seq": 1284,
                    "at": "2031-03-14T20:14:09.300000Z",
                    "kind": "bottle_mounted",
                    "pour_id": None,
                    "body": {"channel": 5, "id": "juice-3"},
                    "hash": "9f2c41d0a7e35b68c1f4d2907b6e8a35c0d9e1f2a3b4c5d6e7f8091a2b3c4d5e",
                }
            ]
        }
    )

    seq: int
    at: datetime
    kind: str
    pour_id: str | None
    body: dict[str, Any]
    hash: str

    @classmethod
    def of(cls, event: StoredEvent) -> Self:
        """From the store."""
        return cls(
            seq=event.seq,
            at=event.at,
            kind=event.kind,
            pour_id=event.pour_id,
            body=dict(event.body),
            hash=event.hash,
        )
