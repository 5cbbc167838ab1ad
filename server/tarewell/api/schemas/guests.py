"""Guests: what was poured for them, and the releases."""

from datetime import datetime
from typing import Self

from pydantic import ConfigDict, Field, JsonValue

from tarewell.exchange.round_planning import GuestStanding
from tarewell.machine.round_record import ReleaseRecord

from . import Body, Name, View

_RELEASE: dict[str, JsonValue] = {
    "at": "2031-03-14T20:05:00Z",
    "guest": "seat 14",
    "round": "/v1/rounds/01959c44-7f7a-7000-8a52-0d7c4a1e93b1",
    "glass": 2,
    "released_by": "the host",
    "reason": "shares it with seat 15",
}


class ReleaseBody(Body):
    """Who releases the waiting glass, and why; both are recorded."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"released_by": "the host", "reason": "shares it with seat 15"}]}
    )

    released_by: Name
    reason: Name


class ReleaseView(View):
    """A recorded release."""

    model_config = ConfigDict(json_schema_extra={"examples": [_RELEASE]})

    at: datetime
    guest: str
    round: str
    glass: int = Field(description="from 1")
    released_by: str
    reason: str

    @classmethod
    def of(cls, record: ReleaseRecord) -> Self:
        """From its record."""
        return cls(
            at=record.at,
            guest=record.guest,
            round=f"/v1/rounds/{record.round_id}",
            glass=record.glass_index + 1,
            released_by=record.released_by,
            reason=record.reason,
        )


class GuestView(View):
    """What was poured for a guest within the window; it says nothing about anybody's state."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "guest": "seat 14",
                    "standard_drinks": 1.98,
                    "limit_standard_drinks": 2.0,
                    "window_h": 4.0,
                    "waiting_glass": 2,
                    "releases": [_RELEASE],
                }
            ]
        }
    )

    guest: str
    standard_drinks: float
    limit_standard_drinks: float | None = Field(description="null: no limit is set")
    window_h: float
    waiting_glass: int | None = Field(
        description="the glass of the round under way that waits for a release, from 1"
    )
    releases: list[ReleaseView] = Field(description="newest first, 50 at most")

    @classmethod
    def of(cls, standing: GuestStanding) -> Self:
        """From the operation's count."""
        return cls(
            guest=standing.guest,
            standard_drinks=round(standing.standard_drinks, 2),
            limit_standard_drinks=standing.limit,
            window_h=standing.window_h,
            waiting_glass=None if standing.waiting_glass is None else standing.waiting_glass + 1,
            releases=[ReleaseView.of(record) for record in standing.releases],
        )
