"""Prime, flush and purge: requests, and what a channel needs next."""

from typing import Any, Self

from pydantic import ConfigDict, Field, JsonValue

from tarewell.dosing.maintenance import MIN_RINSE_G, ChannelNeed
from tarewell.dosing.plan import Agent, Purpose
from tarewell.menu.allergens import Allergen
from tarewell.menu.readiness import explain, steps_of
from tarewell.menu.values import ChannelFacts, Liquid

from . import Body, View

_CORDIAL: dict[str, JsonValue] = {
    "liquid_id": "prompters-cordial",
    "name": "Prompter's Cordial",
    "allergens": [],
    "abv_percent": 0.0,
}


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


class ResidueView(View):
    """Another liquid that a tube still holds; `allergens` null: not checked, so it may hold any."""

    model_config = ConfigDict(json_schema_extra={"examples": [_CORDIAL]})

    liquid_id: str
    name: str
    allergens: list[Allergen] | None
    abv_percent: float | None

    @classmethod
    def of(cls, liquid: Liquid) -> Self:
        """From the planner's liquid."""
        allergens = None if liquid.allergens is None else sorted(liquid.allergens)
        return cls(liquid_id=liquid.id, name=liquid.name, allergens=allergens, abv_percent=liquid.abv_percent)


class StepView(View):
    """A step before a channel may pour a drink, and the request that does it:
    POST /v1/channels/{number}/`request`, a flush with `agent` and `min_g` at least."""

    step: ChannelNeed
    request: Purpose
    agent: Agent | None
    min_g: float | None

    @classmethod
    def of(cls, step: ChannelNeed) -> Self:
        """From the planner's step."""
        match step:
            case ChannelNeed.PURGE | ChannelNeed.PRIME:
                return cls(step=step, request=Purpose(step.value), agent=None, min_g=None)
        agent = Agent.CLEANER if step is ChannelNeed.CLEAN else Agent.WATER
        return cls(step=step, request=Purpose.FLUSH, agent=agent, min_g=MIN_RINSE_G)


class NeedFacts(View):
    """What a channel needs before it may pour a drink."""

    need: ChannelNeed = Field(
        description="the next step: clean, flush, rinse, purge or prime; new_tube is a first rinse; none "
        "where a drink may be poured"
    )
    message: str
    steps: list[StepView] = Field(
        description="all that are left, in order; empty where a drink may be poured"
    )
    residue: list[ResidueView] = Field(description="other liquids in the tube, which clean or flush is about")


class NeedView(NeedFacts):
    """A channel and what it needs."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "channel": 4,
                    "need": "flush",
                    "message": "channel 4 still holds Prompter's Cordial: flush it with water, "
                    "100 g or more, then purge and prime it",
                    "steps": [
                        {"step": "flush", "request": "flush", "agent": "water", "min_g": 100.0},
                        {"step": "purge", "request": "purge", "agent": None, "min_g": None},
                        {"step": "prime", "request": "prime", "agent": None, "min_g": None},
                    ],
                    "residue": [_CORDIAL],
                }
            ]
        }
    )

    channel: int

    @classmethod
    def of(cls, facts: ChannelFacts) -> Self:
        """From the planner's facts."""
        return cls(channel=facts.number, **need_facts(facts))


def need_facts(facts: ChannelFacts) -> dict[str, Any]:
    """The fields of `NeedFacts`."""
    return {
        "need": facts.need,
        "message": explain(facts.number, facts.need, facts.residue),
        "steps": [StepView.of(step) for step in steps_of(facts.need)],
        "residue": [ResidueView.of(liquid) for liquid in facts.residue],
    }
