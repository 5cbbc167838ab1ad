"""What the machine does this moment."""

from datetime import UTC, datetime
from typing import Any, Self

from pydantic import ConfigDict, Field

from . import View
from .machine import MachineView
from .pours import PourView
from .rounds import RoundView

FRESH_S = 1.0
"""An older reading is not shown as live."""


class ReadingView(View):
    """The last live reading, as the event stream gave it. Masses in g."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "number": 18211,
                    "at": "2031-03-14T19:42:24.120000Z",
                    "age_s": 0.05,
                    "fresh": True,
                    "gross_g": 341.2,
                    "net_g": 341.2,
                    "flow_g_per_s": 8.3,
                    "stable": False,
                    "rest_g": None,
                    "pour_id": "01959c44-7f7a-7000-8a52-0d7c4a1e93b1",
                    "state": "coarse_feed",
                    "dose": 0,
                    "delivered_g": [89.9],
                    "drink_g": 89.9,
                }
            ]
        }
    )

    number: int = Field(description="grows by 1 with each reading, from 1 at the machine's start")
    at: datetime
    age_s: float
    fresh: bool = Field(description="false: the scale has shown nothing for a second; never show it as live")
    gross_g: float
    net_g: float = Field(description="gross less the scale's tare")
    flow_g_per_s: float | None = Field(description="null: too few readings for a line")
    stable: bool = Field(description="at rest")
    rest_g: float | None = Field(description="the gross mean at rest; null while it moves")
    pour_id: str | None
    state: str | None = Field(description="step of the pour under way")
    dose: int | None = Field(description="the dose under way, from 0")
    delivered_g: list[float] | None = Field(description="by each dose begun")
    drink_g: float | None = Field(description="net of the pour: the sum of delivered_g")

    @classmethod
    def of(cls, body: dict[str, Any], age_s: float, is_shown: bool) -> Self:
        """From the event, its age, and whether the scale still shows something."""
        return cls(**body, age_s=round(age_s, 2), fresh=is_shown and age_s <= FRESH_S)


class NowView(View):
    """What a page shows of this moment. Read the event stream from `seq` on to follow it."""

    at: datetime = Field(description="the daemon's time")
    seq: int = Field(description="for Last-Event-ID: later events may already be included")
    machine: MachineView
    reading: ReadingView | None = Field(description="null: none came since the daemon started")
    pour: PourView | None = Field(description="the pour under way")
    round: RoundView | None = Field(description="the round under way")

    @classmethod
    def of(
        cls,
        seq: int,
        machine: MachineView,
        reading: ReadingView | None,
        pour: PourView | None,
        round_: RoundView | None,
    ) -> Self:
        """From its parts."""
        return cls(at=datetime.now(UTC), seq=seq, machine=machine, reading=reading, pour=pour, round=round_)
