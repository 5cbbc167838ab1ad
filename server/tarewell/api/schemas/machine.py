"""The machine at a glance."""

from dataclasses import asdict
from datetime import datetime
from typing import Self

from pydantic import ConfigDict, Field

from tarewell.machine.link_status import LinkState
from tarewell.machine.requests import MachineStatus
from tarewell.records.values import StoredEvent
from tarewell_protocol.messages import BoardStats, Identity, SelfTest

from . import View
from .alarms import ActiveAlarmView


class SelfTestView(View):
    """What the board's self-test at its start found: `ok`, `bad` or `untested`.

    `flash_crc` is the CRC of its program, `build` that of the settings it was built with: equal on two boards
    that were built alike.
    """

    flash: str
    flash_crc: str
    ram: str
    build: str

    @classmethod
    def of(cls, found: SelfTest) -> Self:
        """From the board's answer to check."""
        return cls(
            flash=found.flash, flash_crc=f"{found.flash_crc:04X}", ram=found.ram, build=f"{found.build:04X}"
        )


class BoardView(View):
    """The board's identity."""

    board_id: str
    firmware: str
    protocol: int
    channels: int
    sample_rate_hz: float
    filter_delay_ms: int
    full_scale_counts: int
    reset_cause: str
    self_test: SelfTestView | None

    @classmethod
    def of(cls, identity: Identity, self_test: SelfTest | None) -> Self:
        """From the board's answers to hello and check."""
        return cls(
            board_id=identity.board_id,
            firmware=identity.firmware,
            protocol=identity.protocol,
            channels=identity.channels,
            sample_rate_hz=identity.sample_rate_hz,
            filter_delay_ms=identity.filter_delay_ms,
            full_scale_counts=identity.full_scale_counts,
            reset_cause=identity.cause,
            self_test=None if self_test is None else SelfTestView.of(self_test),
        )


class BoardStatsView(View):
    """The board's counters since its reset; each stops at 65535."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "frames": 18211,
                    "bad_crc": 2,
                    "overlong": 0,
                    "overruns": 0,
                    "conversions_lost": 0,
                    "conversions_late": 3,
                    "saturated": 0,
                }
            ]
        }
    )

    frames: int = Field(description="complete frames received")
    bad_crc: int = Field(description="frames with a wrong checksum: a bad cable, or motor noise")
    overlong: int = Field(description="frames above the maximum length")
    overruns: int = Field(description="bytes that arrived faster than they were read")
    conversions_lost: int = Field(description="readings of the load cell that were not fetched in time")
    conversions_late: int = Field(description="readings later than the nominal rate")
    saturated: int = Field(description="readings at the end of the range: overload, or a detached wire")

    @classmethod
    def of(cls, stats: BoardStats) -> Self:
        """From the board's answer."""
        return cls(**asdict(stats))


class LinkView(View):
    """The link to the board, and why it is in this state."""

    state: LinkState
    reason: str
    board: BoardView | None


class EmergencyStopView(View):
    """A latched emergency stop: since when, and who latched it."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"since": "2031-03-14T20:14:09.480000Z", "by": "page"}]}
    )

    since: datetime | None = Field(description="null: not in the records")
    by: str | None = Field(
        description="api, page, command_line or panel; watch: an alarm; board: its button, or the pump "
        "supply; null: not in the records"
    )

    @classmethod
    def of(cls, latching: StoredEvent | None) -> Self:
        """From the journal's event, if it has one."""
        if latching is None:
            return cls(since=None, by=None)
        return cls(since=latching.at, by=latching.body.get("origin"))


class MachineView(View):
    """The machine; `blockers` is empty when a pour could start."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "machine_id": "interval-bar",
                    "link": {
                        "state": "open",
                        "reason": "session open",
                        "board": {
                            "board_id": "foyer-01",
                            "firmware": "0.2.0",
                            "protocol": 2,
                            "channels": 8,
                            "sample_rate_hz": 80.0,
                            "filter_delay_ms": 25,
                            "full_scale_counts": 8388607,
                            "reset_cause": "power",
                            "self_test": {
                                "flash": "ok",
                                "flash_crc": "5A17",
                                "ram": "ok",
                                "build": "91C3",
                            },
                        },
                    },
                    "calibrated": True,
                    "latched": False,
                    "emergency_stop": None,
                    "pour_id": None,
                    "pour": None,
                    "round_id": None,
                    "round": None,
                    "blockers": [],
                    "alarms": [],
                }
            ]
        }
    )

    machine_id: str
    link: LinkView
    calibrated: bool
    latched: bool = Field(description="the emergency stop is latched; nothing runs until it is released")
    emergency_stop: EmergencyStopView | None = Field(description="null: not latched")
    pour_id: str | None = Field(description="the pour under way")
    pour: str | None = Field(description="link to the pour under way")
    round_id: str | None = Field(description="the round under way, which occupies the machine")
    round: str | None = Field(description="link to the round under way")
    blockers: list[str] = Field(description="why no pour can start, each with its cure")
    alarms: list[ActiveAlarmView] = Field(description="the active ones, the worst first")

    @classmethod
    def of(cls, status: MachineStatus, now_s: float, latching: StoredEvent | None = None) -> Self:
        """From the operation's status, and the event of the journal by which the emergency stop latched;
        `now_s` is the host's monotonic clock."""
        identity = status.link.identity
        board = None if identity is None else BoardView.of(identity, status.self_test)
        return cls(
            machine_id=status.machine_id,
            link=LinkView(state=status.link.state, reason=status.link.reason, board=board),
            calibrated=status.calibrated,
            latched=status.latched,
            emergency_stop=EmergencyStopView.of(latching) if status.latched else None,
            pour_id=status.pour_id,
            pour=None if status.pour_id is None else f"/v1/pours/{status.pour_id}",
            round_id=status.round_id,
            round=None if status.round_id is None else f"/v1/rounds/{status.round_id}",
            blockers=list(status.blockers),
            alarms=[ActiveAlarmView.of_active(found, now_s) for found in status.alarms],
        )


class HealthView(View):
    """The daemon answers."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"alive": True, "version": "0.1.0", "page": "6f1c90d2ab34"}]}
    )

    alive: bool = True
    version: str
    page: str | None = Field(description="version of the page that the daemon serves; null: it has none")


class ReadyView(View):
    """A pour could start now."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"ready": True}]})

    ready: bool = True
