"""What a tube holds, and what its channel needs before a drink, by what was run through it.

After a cleaner, and in a new tube: rinse with water, purge, prime. After water: purge, prime. Their makers
and the local code say how much water, how long and in which order; this module only refuses what is certainly
wrong.

A liquid fills the tube until water has run through, and leaves traces until a cleaner has. Which of that
bars a drink depends on the liquids: `menu.readiness`.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from .plan import Agent, Purpose

MIN_RINSE_G = 100.0
"""Least water, or cleaner, that counts: about five times what a usual tube holds (common practice, no
source)."""


class ChannelNeed(StrEnum):
    """The next step before a drink. `CLEAN` and `FLUSH`, with a cleaner or with water, are about another
    liquid in the tube; `RINSE` is about a cleaner, `NEW_TUBE` about a first rinse."""

    NONE = "none"
    NEW_TUBE = "new_tube"
    CLEAN = "clean"
    FLUSH = "flush"
    RINSE = "rinse"
    PURGE = "purge"
    PRIME = "prime"


@dataclass(frozen=True, slots=True)
class PumpRun:
    """A run of a channel's pump, for a drink or for maintenance, while the channel was assigned `liquid_id`.

    It counts as broken off until it is known to be complete. `turned` is False where the pump certainly never
    turned.
    """

    channel: int
    liquid_id: str
    purpose: Purpose
    agent: Agent | None = None
    turned: bool = True
    complete: bool = False
    delivered_g: float = 0.0


def need_after(need: ChannelNeed, run: PumpRun) -> ChannelNeed:
    """What a channel needs after `run`, having needed `need`; a step out of turn changes nothing."""
    if not run.turned:
        return need
    match run.purpose, run.agent:
        case Purpose.FLUSH, Agent.CLEANER:
            return ChannelNeed.RINSE
        case Purpose.FLUSH, _:
            rinsed = run.complete and run.delivered_g >= MIN_RINSE_G
            unfit = need in (ChannelNeed.NEW_TUBE, ChannelNeed.RINSE)
            return need if unfit and not rinsed else ChannelNeed.PURGE
        case Purpose.PURGE, _ if run.complete and need is ChannelNeed.PURGE:
            return ChannelNeed.PRIME
        case Purpose.PRIME, _ if run.complete and need is ChannelNeed.PRIME:
            return ChannelNeed.NONE
    return need


class Remains(StrEnum):
    """What is left of a liquid in a tube: all that fills it, traces after a flush with water, and after one
    with a cleaner what nobody can see."""

    FILLED = "filled"
    TRACES = "traces"
    CLEANED = "cleaned"


@dataclass(frozen=True, slots=True)
class TubeState:
    """A tube: the step that is next, and the liquids that it holds, by id, in the order of their arrival."""

    need: ChannelNeed = ChannelNeed.NONE
    holds: Mapping[str, Remains] = field(default_factory=dict)

    def filled(self, liquid_id: str) -> "TubeState":
        """The same with a liquid that ran in."""
        return TubeState(self.need, {**self.holds, liquid_id: Remains.FILLED})

    def after(self, run: PumpRun) -> "TubeState":
        """The same after a run of the pump. What a purge leaves on the walls still counts as a filling."""
        if not run.turned:
            return self
        now = TubeState(need_after(self.need, run), self.holds)
        enough = run.complete and run.delivered_g >= MIN_RINSE_G
        match run.purpose, run.agent:
            case ((Purpose.DRINK | Purpose.PRIME), _):
                return now.filled(run.liquid_id)
            case Purpose.FLUSH, Agent.CLEANER if enough:
                return TubeState(now.need, dict.fromkeys(self.holds, Remains.CLEANED))
            case Purpose.FLUSH, _ if enough:
                rinsed = {
                    liquid_id: Remains.TRACES if left is Remains.FILLED else left
                    for liquid_id, left in self.holds.items()
                }
                return TubeState(now.need, rinsed)
        return now


NEW_TUBE = TubeState(ChannelNeed.NEW_TUBE)
"""One that was put in and not rinsed yet."""
