"""How many of each drink can still be poured, each recipe taken alone."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tarewell.quantities.units import SmallMeasures

from .compiling import machine_doses
from .draft import Draft, Wish, draft_of
from .drink import Blocker
from .supply import ROUNDING_G, LiquidDemand, by_liquid, choose, needs_of, trusts
from .values import Bottle, ChannelFacts, Menu


@dataclass(frozen=True, slots=True)
class Remaining:
    """How many of a recipe can be poured: `now` with the mounted bottles, `with_shelf` when those on the
    shelf are mounted in turn. `limited_by` is the liquid that runs out first; `blockers` say why none can
    be."""

    recipe_id: str
    now: int
    with_shelf: int
    limited_by: str | None
    blockers: tuple[Blocker, ...]


def remaining(
    menu: Menu, shelf: Sequence[Bottle] = (), small: SmallMeasures | None = None
) -> dict[str, Remaining]:
    """How many of each active recipe remain, by recipe id.

    A dose comes from one bottle, so a remainder below a drink's need does not count.
    """
    carrying = by_liquid(menu.channels)
    shelved: dict[str, list[Bottle]] = {}
    for bottle in shelf:
        if bottle.channel is None:
            shelved.setdefault(bottle.liquid_id, []).append(bottle)
    return {
        recipe.id: _of(menu, draft_of(menu, recipe, Wish(), small or SmallMeasures(), {}), carrying, shelved)
        for recipe in menu.recipes.values()
        if recipe.active
    }


def _of(
    menu: Menu,
    draft: Draft,
    carrying: dict[str, list[ChannelFacts]],
    shelved: dict[str, list[Bottle]],
) -> Remaining:
    needs = needs_of(machine_doses(draft))
    blockers = list(draft.blockers)
    counts: dict[str, tuple[int, int]] = {}
    for liquid_id, need in needs.items():
        channels = carrying.get(liquid_id, [])
        trusted = [channel for channel in channels if trusts(channel, need)]
        now = _whole(need, [channel.bottle for channel in trusted])
        more = _whole(need, shelved[liquid_id]) if liquid_id in shelved and (trusted or not channels) else 0
        counts[liquid_id] = now, now + more
        if not now and liquid_id in menu.liquids:
            blockers += choose(menu.liquids[liquid_id], need, channels)[1]
    if draft.blockers or not counts:
        return Remaining(draft.recipe.id, 0, 0, None, tuple(blockers))
    first = min(counts, key=lambda liquid_id: counts[liquid_id][0])
    return Remaining(
        draft.recipe.id,
        counts[first][0],
        min(with_shelf for _, with_shelf in counts.values()),
        first,
        tuple(blockers),
    )


def _whole(need: LiquidDemand, bottles: Iterable[Bottle | None]) -> int:
    """How many times the need is met, each time from one bottle."""
    count = 0
    for bottle in bottles:
        if bottle is not None and bottle.content_g > 0 and need.total_g > 0:
            count += int((bottle.content_g + ROUNDING_G) / need.total_g)
    return count
