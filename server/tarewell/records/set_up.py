"""The set-up as a whole: read in one snapshot, changed in one transaction."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Self

from sqlalchemy.orm import Session

from tarewell.dosing.setup import DosingSettings
from tarewell.dosing.trust import smallest_dose_g
from tarewell.menu.values import Bottle, ChannelFacts, Glass, Liquid, Menu, Recipe

from .catalogue import Catalogue, T, require_expected
from .channels import all_channels, assign
from .glasses import Glasses
from .learned import current_inflight
from .liquids import Liquids
from .recipes import Recipes
from .shelf import all_bottles, mounted_bottles, put_bottle, seen_with_content, unmount
from .transaction import Transaction
from .values import Change, Channel, SetUpPart

LIQUIDS, GLASSES, RECIPES = Liquids(), Glasses(), Recipes()


@dataclass(frozen=True, slots=True)
class _Present:
    """The stored set-up before anything is changed."""

    liquids: dict[str, Liquid]
    glasses: dict[str, Glass]
    recipes: dict[str, Recipe]
    channels: dict[int, Channel]
    bottles: dict[str, Bottle]

    @classmethod
    def read(cls, session: Session) -> Self:
        return cls(
            liquids=_by_id(session, LIQUIDS),
            glasses=_by_id(session, GLASSES),
            recipes=_by_id(session, RECIPES),
            channels={channel.number: channel for channel in all_channels(session)},
            bottles={bottle.id: bottle for bottle in all_bottles(session)},
        )

    def require_seen(self, change: Change) -> None:
        """Check that the stored item is what the caller saw.

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


def read_menu(session: Session, scale_max_g: float, dosing: DosingSettings) -> Menu:
    """Everything that a recipe is compiled against; `scale_max_g` is the scale's Max, and `dosing` says how
    small a dose may be trusted.

    Retired liquids, glasses and recipes are included, so that messages can say that they are retired.
    """
    inflight = current_inflight(session)
    mounted = mounted_bottles(session)
    channels: dict[int, ChannelFacts] = {}
    for channel in all_channels(session):
        facts = ChannelFacts(channel.number, channel.liquid_id, mounted.get(channel.number))
        if channel.liquid_id is not None and (channel.number, channel.liquid_id) in inflight:
            known = inflight[channel.number, channel.liquid_id]
            smallest_g = smallest_dose_g(known, dosing)
            facts = replace(facts, flow_g_per_s=known.flow_g_per_s, smallest_dose_g=smallest_g)
        channels[channel.number] = facts
    return Menu(
        liquids=_by_id(session, LIQUIDS),
        glasses=_by_id(session, GLASSES),
        recipes=_by_id(session, RECIPES),
        channels=channels,
        scale_max_g=scale_max_g,
    )


def _by_id(session: Session, catalogue: Catalogue[T]) -> dict[str, T]:
    return {item.id: item for item in catalogue.all(session, retired=True)}


def apply_changes(transaction: Transaction, changes: Sequence[Change]) -> None:
    """Apply a whole set-up, or part of one: all of it or nothing. The order does not matter: two bottles may
    swap channels, a liquid may be retired together with the recipe that named it.

    An item must exist before it is named, and must not be named once it is retired: bottles that move come
    off first; then liquids, glasses, recipes, channels and bottles; retirements go last.
    """
    there = _Present.read(transaction.session)
    for change in changes:
        there.require_seen(change)
    bottles = [change.after for change in changes if isinstance(change.after, Bottle)]
    for bottle in bottles:
        _take_off(transaction, there.bottles.get(bottle.id), bottle)
    retiring = [change for change in changes if change.before is not None and _is_retired(change.after)]
    going_on = [change for change in changes if change not in retiring]
    _put_named(transaction, there, going_on)
    for change in changes:
        if isinstance(change.after, Recipe):
            before = there.recipes.get(change.after.id)
            RECIPES.change(transaction, before, change.after)
    for change in changes:
        if isinstance(change.after, Channel):
            assign(transaction, change.after)
    for bottle in bottles:
        put_bottle(transaction, bottle)
    _put_named(transaction, there, retiring)


def _take_off(transaction: Transaction, before: Bottle | None, after: Bottle) -> None:
    """Unmount a bottle that moves, so that two can swap places."""
    if before is not None and (before.channel != after.channel or before.liquid_id != after.liquid_id):
        unmount(transaction, before)


def _put_named(transaction: Transaction, there: _Present, changes: Sequence[Change]) -> None:
    """Liquids and glasses, which the others name."""
    for change in changes:
        match change.after:
            case Liquid() as liquid:
                before = there.liquids.get(liquid.id)
                LIQUIDS.change(transaction, before, liquid)
            case Glass() as glass:
                GLASSES.change(transaction, there.glasses.get(glass.id), glass)


def _is_retired(part: SetUpPart) -> bool:
    return isinstance(part, Liquid | Glass) and not part.active
