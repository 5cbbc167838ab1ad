"""Which channel a liquid comes from: all doses of a liquid in one drink come from one bottle."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from tarewell.dosing.maintenance import ChannelNeed

from .drink import Blocker, Reason
from .readiness import explain
from .values import Bottle, ChannelFacts, Liquid

ROUNDING_G = 1e-6
"""A bottle that is short by no more than this has enough."""


@dataclass(slots=True)
class LiquidDemand:
    """A drink's need of one liquid: in total, in its smallest dose, and from which step on."""

    total_g: float
    min_g: float
    step: int
    min_step: int

    def add(self, target_g: float, step: int) -> None:
        """Add a dose."""
        self.total_g += target_g
        if target_g < self.min_g:
            self.min_g, self.min_step = target_g, step


def needs_of(doses: Iterable[tuple[int, str, float]]) -> dict[str, LiquidDemand]:
    """Needs by liquid, from step, liquid and target of each dose."""
    needs: dict[str, LiquidDemand] = {}
    for step, liquid_id, target_g in doses:
        if liquid_id in needs:
            needs[liquid_id].add(target_g, step)
        else:
            needs[liquid_id] = LiquidDemand(target_g, target_g, step, step)
    return needs


def by_liquid(channels: Mapping[int, ChannelFacts]) -> dict[str, list[ChannelFacts]]:
    """The channels of each liquid."""
    found: dict[str, list[ChannelFacts]] = {}
    for channel in channels.values():
        if channel.liquid_id is not None:
            found.setdefault(channel.liquid_id, []).append(channel)
    return found


def choose(
    liquid: Liquid, need: LiquidDemand, channels: Sequence[ChannelFacts]
) -> tuple[ChannelFacts | None, list[Blocker]]:
    """The channel for one liquid of a drink, and its blocker.

    Of the bottles that hold enough, one whose tube never held other allergens is preferred, then an opened
    one, then the one with the least in it, so that bottles are emptied one after the other; then the lowest
    channel. With a blocker the channel is the
    nearest match, None where there is none.
    """
    if not channels:
        message = f"{liquid.name} is assigned to no channel; mount a bottle of it, or name a substitute"
        return None, [Blocker(Reason.NOT_ON_A_CHANNEL, message, need.step)]
    clean = [channel for channel in channels if channel.need is ChannelNeed.NONE]
    if not clean:
        first = channels[0]
        waits = explain(first.number, first.need, first.residue)
        message = f"{waits}; drinks with {liquid.name} wait until then"
        code = Reason.TUBE_HOLDS_ANOTHER if first.residue else Reason.NEEDS_MAINTENANCE
        return first, [Blocker(code, message, need.step)]
    bottled = [(bottle, channel) for channel in clean if (bottle := channel.bottle) is not None]
    if not bottled:
        numbers = ", ".join(str(channel.number) for channel in clean)
        message = f"{liquid.name} is assigned to channel {numbers}, but no bottle is mounted there; mount one"
        return clean[0], [Blocker(Reason.NO_BOTTLE, message, need.step)]
    enough = [pair for pair in bottled if pair[0].content_g + ROUNDING_G >= need.total_g]
    fine = [pair for pair in bottled if trusts(pair[1], need)]
    both = [pair for pair in enough if trusts(pair[1], need)]
    if both:
        return min(both, key=_first_emptied)[1], []
    bottle, channel = max(enough or fine or bottled, key=lambda pair: (pair[0].content_g, -pair[1].number))
    blockers = []
    if not enough:
        blockers.append(_low(liquid, need, bottle, channel))
    if not fine or enough:
        blockers.append(_too_small(liquid, need, channel))
    return channel, blockers


def trusts(channel: ChannelFacts, need: LiquidDemand) -> bool:
    """Whether a channel may pour a drink, with its smallest dose accurately enough; a drink without a size is
    not judged."""
    return channel.need is ChannelNeed.NONE and (need.min_g == 0 or channel.smallest_dose_g <= need.min_g)


def _first_emptied(pair: tuple[Bottle, ChannelFacts]) -> tuple[bool, bool, float, int]:
    bottle, channel = pair
    return channel.held_allergens, bottle.opened_at is None, bottle.content_g, channel.number


def _low(liquid: Liquid, need: LiquidDemand, bottle: Bottle, channel: ChannelFacts) -> Blocker:
    return Blocker(
        Reason.BOTTLE_LOW,
        f"channel {channel.number} has {max(bottle.content_g, 0.0):.0f} g of {liquid.name} left and the "
        f"drink takes {need.total_g:.0f} g; replace the bottle, or weigh it if there is more in it",
        need.step,
    )


def _too_small(liquid: Liquid, need: LiquidDemand, channel: ChannelFacts) -> Blocker:
    return Blocker(
        Reason.DOSE_TOO_SMALL,
        f"a dose of {need.min_g:.2f} g of {liquid.name} is below {channel.smallest_dose_g:g} g, the "
        f"smallest that is trusted on channel {channel.number}; make the drink larger, or add it by hand",
        need.min_step,
    )
