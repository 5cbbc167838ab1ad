"""The set-up as a whole: read in one view, changed in one transaction."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from sqlalchemy.ext.asyncio import AsyncSession

from tarewell.menu.values import Bottle, ChannelFacts, Glass, Liquid, Menu, Recipe

from .bottles import find_bottle, mounted_bottles, put_bottle, seen_with_content, unmount
from .catalogue import require_expected
from .channels import all_channels, assign, find_channel
from .glasses import Glasses
from .journal import Transaction
from .learned import current_inflight
from .liquids import Liquids
from .recipes import Recipes
from .values import Change, Channel, SetUpPart


@dataclass(frozen=True, slots=True)
class Catalogues:
    """The store's catalogues."""

    liquids: Liquids
    glasses: Glasses
    recipes: Recipes


async def read_menu(session: AsyncSession, catalogues: Catalogues, scale_max_g: float) -> Menu:
    """The same as `Store.menu`, within a transaction."""
    inflight = await current_inflight(session)
    bottles = await mounted_bottles(session)
    channels: dict[int, ChannelFacts] = {}
    for channel in await all_channels(session):
        facts = ChannelFacts(channel.number, channel.liquid_id, bottles.get(channel.number))
        if channel.liquid_id is not None and (channel.number, channel.liquid_id) in inflight:
            facts = replace(facts, flow_g_per_s=inflight[channel.number, channel.liquid_id].flow_g_per_s)
        channels[channel.number] = facts
    return Menu(
        liquids={liquid.id: liquid for liquid in await catalogues.liquids.all_in(session, retired=True)},
        glasses={glass.id: glass for glass in await catalogues.glasses.all_in(session, retired=True)},
        recipes={recipe.id: recipe for recipe in await catalogues.recipes.all_in(session, retired=True)},
        channels=channels,
        scale_max_g=scale_max_g,
    )


async def apply_changes(transaction: Transaction, catalogues: Catalogues, changes: Sequence[Change]) -> None:
    """The same as `Store.apply`, within a transaction.

    What is named must be there before what names it, and what is retired must be named no more: bottles that
    move come off first; then liquids, glasses, recipes, channels and bottles; what retires goes last.
    """
    for change in changes:
        await _require_as_seen(transaction.session, catalogues, change)
    bottles = [change.after for change in changes if isinstance(change.after, Bottle)]
    for bottle in bottles:
        await _take_off(transaction, bottle)
    retiring = [change for change in changes if change.before is not None and _is_retired(change.after)]
    going_on = [change for change in changes if change not in retiring]
    await _put_named(transaction, catalogues, going_on)
    for change in changes:
        if isinstance(change.after, Recipe):
            await catalogues.recipes.put_in(transaction, change.after)
    for change in changes:
        if isinstance(change.after, Channel):
            await assign(transaction, change.after)
    for bottle in bottles:
        await put_bottle(transaction, bottle)
    await _put_named(transaction, catalogues, retiring)


async def _put_named(transaction: Transaction, catalogues: Catalogues, changes: Sequence[Change]) -> None:
    """Liquids and glasses, which the others name."""
    for change in changes:
        match change.after:
            case Liquid() as liquid:
                await catalogues.liquids.put_in(transaction, liquid)
            case Glass() as glass:
                await catalogues.glasses.put_in(transaction, glass)


def _is_retired(part: SetUpPart) -> bool:
    return isinstance(part, Liquid | Glass) and not part.active


async def _require_as_seen(session: AsyncSession, catalogues: Catalogues, change: Change) -> None:
    match change.after:
        case Liquid(id=key):
            there: SetUpPart | None = await catalogues.liquids.find_in(session, key)
            what = f"the liquid {key}"
        case Glass(id=key):
            there, what = await catalogues.glasses.find_in(session, key), f"the glass {key}"
        case Recipe(id=key):
            there, what = await catalogues.recipes.find_in(session, key), f"the recipe {key}"
        case Channel(number=number):
            there, what = await find_channel(session, number), f"channel {number}"
        case Bottle(id=key):
            there, what = await find_bottle(session, key), f"the bottle {key}"
    require_expected(what, there, seen_with_content(change.before, there))


async def _take_off(transaction: Transaction, after: Bottle) -> None:
    """Unmount a bottle that is to be elsewhere, so that two can trade places."""
    before = await find_bottle(transaction.session, after.id)
    if before is not None and (before.channel != after.channel or before.liquid_id != after.liquid_id):
        await unmount(transaction, before)
