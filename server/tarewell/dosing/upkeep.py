"""What a channel needs before a drink may come from it, by what was run through it last.

After a cleaner: rinse with water, purge, prime. After water: purge, prime. How much water, how long and in
which order a cleaner is used is told by its label and the local code; this only refuses what is surely wrong.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from .plan import Agent, PlanError, PourPlan, Purpose

RINSE_LEAST_G = 100.0
"""Less water is no rinse: about five times what a usual tube holds (common practice, no source)."""


class Need(StrEnum):
    """The next step before a drink."""

    NONE = "none"
    RINSE = "rinse"
    PURGE = "purge"
    PRIME = "prime"


@dataclass(frozen=True, slots=True)
class Upkeep:
    """A prime, flush or purge that is over. `ran` is False where the pump surely never turned."""

    channel: int
    purpose: Purpose
    agent: Agent | None
    ran: bool
    complete: bool
    delivered_g: float


def need_after(need: Need, done: Upkeep) -> Need:
    """What a channel needs that needed `need` before `done`; a step out of turn changes nothing."""
    if not done.ran:
        return need
    match done.purpose, done.agent:
        case Purpose.FLUSH, Agent.CLEANER:
            return Need.RINSE
        case Purpose.FLUSH, _:
            rinsed = done.complete and done.delivered_g >= RINSE_LEAST_G
            return Need.PURGE if rinsed or need is not Need.RINSE else Need.RINSE
        case Purpose.PURGE, _ if done.complete and need is Need.PURGE:
            return Need.PRIME
        case Purpose.PRIME, _ if done.complete and need is Need.PRIME:
            return Need.NONE
    return need


def explain(channel: int, need: Need) -> str:
    """The need in words, with what to do."""
    match need:
        case Need.RINSE:
            return (
                f"channel {channel} was flushed with a cleaner and nobody may drink from it: flush it with "
                f"water, {RINSE_LEAST_G:g} g or more and as the cleaner's label says, then purge and prime it"
            )
        case Need.PURGE:
            return f"channel {channel} holds what flushed it: purge it, then prime it with its liquid"
        case Need.PRIME:
            return f"channel {channel} was flushed and is empty: prime it with its liquid"
        case Need.NONE:
            return f"channel {channel} is ready"


def check_needs(plan: PourPlan, needs: Mapping[int, Need]) -> None:
    """Refuse a drink, or a prime, from a channel that needs something else first.

    Raises:
        PlanError: with the next step.
    """
    for index, dose in enumerate(plan.doses):
        need = needs.get(dose.channel, Need.NONE)
        open_to = {Purpose.DRINK: (Need.NONE,), Purpose.PRIME: (Need.NONE, Need.PRIME)}.get(plan.purpose)
        if open_to is not None and need not in open_to:
            raise PlanError(explain(dose.channel, need), index)
