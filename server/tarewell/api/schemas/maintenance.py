"""Prime, flush and purge: requests, and what a channel needs next."""

from typing import Self

from pydantic import ConfigDict, Field

from tarewell.dosing.maintenance import ChannelNeed, explain
from tarewell.dosing.plan import Agent

from . import Body, View


class PrimeBody(Body):
    """How much liquid must arrive once the tube has filled."""

    model_config = ConfigDict(json_schema_extra={"examples": [{}, {"amount_g": 15}]})

    amount_g: float | None = Field(default=None, gt=0, description="mass in g; default `dosing.prime_g`")


class FlushBody(Body):
    """The agent and its amount: no more than the cup on the platform takes."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"agent": "cleaner"}, {"agent": "water", "amount_g": 250}]}
    )

    agent: Agent = Field(strict=False, description="`cleaner` is anything unfit to drink")
    amount_g: float = Field(default=200.0, gt=0, description="mass in g")


class PurgeBody(Body):
    """The most that may come: more than the tube holds, less than the cup takes."""

    model_config = ConfigDict(json_schema_extra={"examples": [{}, {"max_g": 60}]})

    max_g: float | None = Field(default=None, gt=0, description="mass in g; default `dosing.max_purge_g`")


class NeedView(View):
    """What a channel needs before it may pour a drink."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "channel": 4,
                    "need": "purge",
                    "message": "channel 4 still holds the rinse water: purge it, "
                    "then prime it with its liquid",
                }
            ]
        }
    )

    channel: int
    need: ChannelNeed = Field(
        description="the next step: rinse, purge or prime; none where a drink may be poured"
    )
    message: str

    @classmethod
    def of(cls, channel: int, need: ChannelNeed) -> Self:
        """From the need, with its explanation."""
        return cls(channel=channel, need=need, message=explain(channel, need))
