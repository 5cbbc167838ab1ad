"""Whether a channel may pour, by what its tube holds and which liquid it is assigned.

Another liquid in the tube bars every drink, and so does what it leaves there. Water takes away its taste,
sugar and alcohol. Where it may hold an allergen that the assigned liquid does not declare, only a cleaner
counts. Nobody checked means: it may hold any, and declares none.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from tarewell.dosing.maintenance import MIN_RINSE_G, ChannelNeed, Remains, TubeState
from tarewell.dosing.plan import PlanError, PourPlan, Purpose

from .allergens import NOT_CHECKED, Allergen
from .values import ChannelFacts, Liquid, Menu

UNUSED = TubeState()
"""A tube of which nothing is known."""


def next_step(
    tube: TubeState, liquid: Liquid | None, liquids: Mapping[str, Liquid]
) -> tuple[ChannelNeed, tuple[Liquid, ...]]:
    """What a channel with this tube needs before it may pour `liquid` (None: it is assigned none), and the
    other liquids that this is about. `liquids` has every liquid, the retired ones too, by id."""
    if liquid is None:
        return tube.need, ()
    others = [(liquids[key], left) for key, left in tube.holds.items() if key != liquid.id]
    dirty = [other for other, left in others if left is not Remains.CLEANED]
    if allergenic := tuple(other for other in dirty if may_add_allergens(other, liquid)):
        return ChannelNeed.CLEAN, allergenic
    filling = tuple(other for other, left in others if left is Remains.FILLED)
    if filling and tube.need is not ChannelNeed.RINSE:
        return ChannelNeed.FLUSH, filling
    return tube.need, ()


def may_add_allergens(other: Liquid, liquid: Liquid) -> bool:
    """Whether traces of `other` may bring an allergen that `liquid` does not declare."""
    held = frozenset(Allergen) if other.allergens is None else other.allergens
    return not held <= (liquid.allergens or frozenset())


def judged(menu: Menu, tubes: Mapping[int, TubeState]) -> Menu:
    """The menu with what each channel needs, by the tubes of the machine."""
    return replace(
        menu,
        channels={number: _judged(menu, facts, tubes) for number, facts in menu.channels.items()},
    )


def _judged(menu: Menu, facts: ChannelFacts, tubes: Mapping[int, TubeState]) -> ChannelFacts:
    liquid = None if facts.liquid_id is None else menu.liquids.get(facts.liquid_id)
    tube = tubes.get(facts.number, UNUSED)
    need, residue = next_step(tube, liquid, menu.liquids)
    held = liquid is not None and any(
        key != liquid.id and may_add_allergens(menu.liquids[key], liquid) for key in tube.holds
    )
    return replace(facts, need=need, residue=residue, held_allergens=held)


def steps_of(need: ChannelNeed) -> tuple[ChannelNeed, ...]:
    """The steps that are left before a drink may be poured, in order."""
    match need:
        case ChannelNeed.NONE:
            return ()
        case ChannelNeed.CLEAN:
            return ChannelNeed.CLEAN, ChannelNeed.RINSE, ChannelNeed.PURGE, ChannelNeed.PRIME
        case ChannelNeed.NEW_TUBE:
            return steps_of(ChannelNeed.RINSE)
        case ChannelNeed.PRIME:
            return (need,)
        case ChannelNeed.PURGE:
            return need, ChannelNeed.PRIME
    return need, ChannelNeed.PURGE, ChannelNeed.PRIME


def explain(channel: int, need: ChannelNeed, residue: Iterable[Liquid] = ()) -> str:
    """The need for people, with what to do; `residue` as `next_step` found it."""
    held = ", ".join(_described(liquid) for liquid in residue)
    match need:
        case ChannelNeed.CLEAN:
            return (
                f"channel {channel} still holds {held}: flush it with a cleaner, then with water, "
                f"{MIN_RINSE_G:g} g or more each and as the cleaner's label says, then purge and prime it "
                "(no flush guarantees that an allergen is gone)"
            )
        case ChannelNeed.FLUSH:
            return (
                f"channel {channel} still holds {held}: flush it with water, {MIN_RINSE_G:g} g or more, "
                "then purge and prime it"
            )
        case ChannelNeed.NEW_TUBE:
            return (
                f"channel {channel} has a new tube: flush it with water, {MIN_RINSE_G:g} g or more and as "
                "its maker says, then purge and prime it"
            )
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


def _described(liquid: Liquid) -> str:
    """A liquid by its name, with what a guest may have to avoid."""
    known = liquid.allergens
    facts = [item.value for item in Allergen if known is not None and item in known]
    if known is None:
        facts.append(f"allergens {NOT_CHECKED}")
    if liquid.abv_percent:
        facts.append(f"{liquid.abv_percent:g} % vol")
    return f"{liquid.name} ({', '.join(facts)})" if facts else liquid.name


def check_ready(plan: PourPlan, tubes: Mapping[int, TubeState], liquids: Mapping[str, Liquid]) -> None:
    """Refuse a drink, or a prime, from a channel that needs something else first.

    Raises:
        PlanError: with the next step.
    """
    open_to = {
        Purpose.DRINK: (ChannelNeed.NONE,),
        Purpose.PRIME: (ChannelNeed.NONE, ChannelNeed.PRIME),
    }.get(plan.purpose, tuple(ChannelNeed))
    for index, dose in enumerate(plan.doses):
        tube = tubes.get(dose.channel, UNUSED)
        need, residue = next_step(tube, liquids.get(dose.liquid_id), liquids)
        if need not in open_to:
            raise PlanError(explain(dose.channel, need, residue), index)
