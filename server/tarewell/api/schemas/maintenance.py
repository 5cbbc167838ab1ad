"""Prime, flush and purge: as they are asked for, and what a channel needs next."""

from typing import Self

from pydantic import ConfigDict, Field

from tarewell.dosing.maintenance import ChannelNeed, explain
from tarewell.dosing.plan import Agent

from . import Body, View


class PrimeBody(Body):
    """How much liquid is to arrive once the tube has filled."""

    model_config = ConfigDict(json_schema_extra={"examples": [{}, {"amount_g": 15}]})

    amount_g: float | None = Field(default=None, gt=0, description="mass in g; `dosing.prime_g` unless told")


class FlushBody(Body):
    """What runs through, and how much of it: no more than the cup on the platform takes."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"agent": "cleaner"}, {"agent": "water", "amount_g": 250}]}
    )

    agent: Agent = Field(strict=False, description="`cleaner` is anything that nobody may drink")
    amount_g: float = Field(default=200.0, gt=0, description="mass in g")


class PurgeBody(Body):
    """How much may come at most: more than the tube holds, less than the cup takes."""

    model_config = ConfigDict(json_schema_extra={"examples": [{}, {"max_g": 60}]})

    max_g: float | None = Field(default=None, gt=0, description="mass in g; `dosing.max_purge_g` unless told")


class NeedView(View):
    """What a channel needs before a drink may come from it."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "channel": 4,
                    "need": "purge",
                    "message": "channel 4 holds what flushed it: purge it, then prime it with its liquid",
                }
            ]
        }
    )

    channel: int
    need: ChannelNeed = Field(description="the next step: rinse, purge or prime; none where a drink may come")
    message: str

    @classmethod
    def of(cls, channel: int, need: ChannelNeed) -> Self:
        """In words."""
        return cls(channel=channel, need=need, message=explain(channel, need))
