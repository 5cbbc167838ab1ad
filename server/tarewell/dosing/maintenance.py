"""What a channel needs before it may pour a drink, by what was last run through it.

After a cleaner: rinse with water, purge, prime. After water: purge, prime. The cleaner's label and the local
code say how much water, how long and in which order; this module only refuses what is certainly wrong.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from .plan import Agent, PlanError, PourPlan, Purpose

MIN_RINSE_G = 100.0
"""Least water for a rinse: about five times what a usual tube holds (common practice, no source)."""


class ChannelNeed(StrEnum):
    """The next step before a drink."""

    NONE = "none"
    RINSE = "rinse"
    PURGE = "purge"
    PRIME = "prime"


@dataclass(frozen=True, slots=True)
class Maintenance:
    """A prime, flush or purge that is over. `ran` is False where the pump certainly never turned."""

    channel: int
    purpose: Purpose
    agent: Agent | None
    ran: bool
    complete: bool
    delivered_g: float


def need_after(need: ChannelNeed, done: Maintenance) -> ChannelNeed:
    """What a channel needs after `done`, having needed `need`; a step out of turn changes nothing."""
    if not done.ran:
        return need
    match done.purpose, done.agent:
        case Purpose.FLUSH, Agent.CLEANER:
            return ChannelNeed.RINSE
        case Purpose.FLUSH, _:
            rinsed = done.complete and done.delivered_g >= MIN_RINSE_G
            return ChannelNeed.PURGE if rinsed or need is not ChannelNeed.RINSE else ChannelNeed.RINSE
        case Purpose.PURGE, _ if done.complete and need is ChannelNeed.PURGE:
            return ChannelNeed.PRIME
        case Purpose.PRIME, _ if done.complete and need is ChannelNeed.PRIME:
            return ChannelNeed.NONE
    return need


def explain(channel: int, need: ChannelNeed) -> str:
    """The need for people, with what to do."""
    match need:
        case ChannelNeed.RINSE:
            return (
                f"channel {channel} was flushed with a cleaner and is unfit for drinks: flush it with "
                f"water, {MIN_RINSE_G:g} g or more and as the cleaner's label says, then purge and prime it"
            )
        case ChannelNeed.PURGE:
            return f"channel {channel} still holds the rinse water: purge it, then prime it with its liquid"
        case ChannelNeed.PRIME:
            return f"channel {channel} was flushed and is empty: prime it with its liquid"
        case ChannelNeed.NONE:
            return f"channel {channel} is ready"


def check_needs(plan: PourPlan, needs: Mapping[int, ChannelNeed]) -> None:
    """Refuse a drink, or a prime, from a channel that needs something else first.

    Raises:
        PlanError: with the next step.
    """
    for index, dose in enumerate(plan.doses):
        need = needs.get(dose.channel, ChannelNeed.NONE)
        open_to = {
            Purpose.DRINK: (ChannelNeed.NONE,),
            Purpose.PRIME: (ChannelNeed.NONE, ChannelNeed.PRIME),
        }.get(plan.purpose)
        if open_to is not None and need not in open_to:
            raise PlanError(explain(dose.channel, need), index)
