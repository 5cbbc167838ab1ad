"""The set-up as a whole: read in one view, changed in one transaction."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Self

from sqlalchemy.ext.asyncio import AsyncSession

from tarewell.dosing.setup import DosingSettings
from tarewell.dosing.trust import smallest_dose_g
from tarewell.menu.values import Bottle, ChannelFacts, Glass, Liquid, Menu, Recipe

from .catalogue import Catalogue, T, require_expected
from .channels import all_channels, assign
from .glasses import Glasses
from .journal import Transaction
from .learned import current_inflight
from .liquids import Liquids
from .recipes import Recipes
from .shelf import all_bottles, mounted_bottles, put_bottle, seen_with_content, unmount
from .values import Change, Channel, SetUpPart


@dataclass(frozen=True, slots=True)
class Catalogues:
    """The store's catalogues."""

    liquids: Liquids
    glasses: Glasses
    recipes: Recipes


@dataclass(frozen=True, slots=True)
class _Present:
    """What is there before anything is changed."""

    liquids: dict[str, Liquid]
    glasses: dict[str, Glass]
    recipes: dict[str, Recipe]
    channels: dict[int, Channel]
    bottles: dict[str, Bottle]

    @classmethod
    async def read(cls, session: AsyncSession, catalogues: Catalogues) -> Self:
        return cls(
            liquids=await _by_id(session, catalogues.liquids),
            glasses=await _by_id(session, catalogues.glasses),
            recipes=await _by_id(session, catalogues.recipes),
            channels={channel.number: channel for channel in await all_channels(session)},
            bottles={bottle.id: bottle for bottle in await all_bottles(session)},
        )

    def require_seen(self, change: Change) -> None:
        """See that what is there is what the caller saw.

        Raises:
            ChangedMeanwhileError: it is not.
        """
        there: SetUpPart | None
        match change.after:
            case Liquid(id=key):
                there, what = self.liquids.get(key), f"the liquid {key}"
            case Glass(id=key):
                there, what = self.glasses.get(key), f"the glass {key}"
            case Recipe(id=key):
                there, what = self.recipes.get(key), f"the recipe {key}"
            case Channel(number=number):
                there, what = self.channels.get(number), f"channel {number}"
            case Bottle(id=key):
                there, what = self.bottles.get(key), f"the bottle {key}"
        require_expected(what, there, seen_with_content(change.before, there))


async def read_menu(
    session: AsyncSession, catalogues: Catalogues, scale_max_g: float, dosing: DosingSettings
) -> Menu:
    """The same as `Store.menu`, within a transaction."""
    inflight = await current_inflight(session)
    mounted = await mounted_bottles(session)
    channels: dict[int, ChannelFacts] = {}
    for channel in await all_channels(session):
        facts = ChannelFacts(channel.number, channel.liquid_id, mounted.get(channel.number))
        if channel.liquid_id is not None and (channel.number, channel.liquid_id) in inflight:
            known = inflight[channel.number, channel.liquid_id]
            smallest_g = smallest_dose_g(known, dosing)
            facts = replace(facts, flow_g_per_s=known.flow_g_per_s, smallest_dose_g=smallest_g)
        channels[channel.number] = facts
    return Menu(
        liquids=await _by_id(session, catalogues.liquids),
        glasses=await _by_id(session, catalogues.glasses),
        recipes=await _by_id(session, catalogues.recipes),
        channels=channels,
        scale_max_g=scale_max_g,
    )


async def _by_id(session: AsyncSession, catalogue: Catalogue[T]) -> dict[str, T]:
    return {item.id: item for item in await catalogue.all_in(session, retired=True)}


async def apply_changes(transaction: Transaction, catalogues: Catalogues, changes: Sequence[Change]) -> None:
    """The same as `Store.apply`, within a transaction.

    What is named must be there before what names it, and what is retired must be named no more: bottles that
    move come off first; then liquids, glasses, recipes, channels and bottles; what retires goes last.
    """
    there = await _Present.read(transaction.session, catalogues)
    for change in changes:
        there.require_seen(change)
    bottles = [change.after for change in changes if isinstance(change.after, Bottle)]
    for bottle in bottles:
        await _take_off(transaction, there.bottles.get(bottle.id), bottle)
    retiring = [change for change in changes if change.before is not None and _is_retired(change.after)]
    going_on = [change for change in changes if change not in retiring]
    await _put_named(transaction, catalogues, there, going_on)
    for change in changes:
        if isinstance(change.after, Recipe):
            before = there.recipes.get(change.after.id)
            await catalogues.recipes.change_in(transaction, before, change.after)
    for change in changes:
        if isinstance(change.after, Channel):
            await assign(transaction, change.after)
    for bottle in bottles:
        await put_bottle(transaction, bottle)
    await _put_named(transaction, catalogues, there, retiring)


async def _take_off(transaction: Transaction, before: Bottle | None, after: Bottle) -> None:
    """Unmount a bottle that is to be elsewhere, so that two can trade places."""
    if before is not None and (before.channel != after.channel or before.liquid_id != after.liquid_id):
        await unmount(transaction, before)


async def _put_named(
    transaction: Transaction, catalogues: Catalogues, there: _Present, changes: Sequence[Change]
) -> None:
    """Liquids and glasses, which the others name."""
    for change in changes:
        match change.after:
            case Liquid() as liquid:
                before = there.liquids.get(liquid.id)
                await catalogues.liquids.change_in(transaction, before, liquid)
            case Glass() as glass:
                await catalogues.glasses.change_in(transaction, there.glasses.get(glass.id), glass)


def _is_retired(part: SetUpPart) -> bool:
    return isinstance(part, Liquid | Glass) and not part.active
