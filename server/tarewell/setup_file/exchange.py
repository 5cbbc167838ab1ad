"""Export and import of set-up files; an import first reports what it would change, then applies it.

An import adds and changes items; everything else stays as it is.
"""

import asyncio
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

from tarewell.menu.checks import warnings_of_glass
from tarewell.menu.values import Bottle
from tarewell.quantities.units import SmallMeasures
from tarewell.records.store import Store
from tarewell.records.values import Change, Channel

from .reading import read_setup
from .setup import Part, Setup
from .writing import form_of, write_setup, written

_CONTENT_CLOSE_G = 0.5

_Key = TypeVar("_Key", str, int)
_PartT = TypeVar("_PartT", bound=Part)


@dataclass(frozen=True, slots=True)
class PartChange:
    """One part that the file adds, changes or takes back into use; `fields` are those that differ."""

    what: str
    key: str
    kind: str
    fields: tuple[str, ...]
    change: Change


@dataclass(frozen=True, slots=True)
class ImportPlan:
    """What an import changes, how many parts are unchanged, and what it deliberately leaves alone."""

    changes: tuple[PartChange, ...]
    unchanged: int
    notes: tuple[str, ...]


async def current_setup(store: Store, retired: bool = False) -> Setup:
    """The set-up in the records; with retired items and used-up bottles if `retired`."""
    return Setup(
        {liquid.id: liquid for liquid in await store.liquids.all(retired)},
        {glass.id: glass for glass in await store.glasses.all(retired)},
        {recipe.id: recipe for recipe in await store.recipes.all(retired)},
        {channel.number: channel for channel in await store.channels.all()},
        {bottle.id: bottle for bottle in await store.bottles.all(retired)},
    )


async def plan_import(store: Store, text: str, small: SmallMeasures) -> ImportPlan:
    """Plan the import of a file; `small` gives the sizes of dash and barspoon.

    Raises:
        SetupFaultsError: anything in it is wrong; every fault with line and path.
    """
    there = await current_setup(store, retired=True)
    # in a thread, since a large file must not delay the event loop
    return await asyncio.to_thread(_plan, there, text, small)


async def export_setup(store: Store) -> str:
    """The set-up in the records as the text of a file."""
    return await asyncio.to_thread(write_setup, await current_setup(store))


async def apply_import(store: Store, plan: ImportPlan) -> None:
    """Apply the changes of a plan in one transaction.

    Raises:
        ChangedMeanwhileError: something has changed since the plan was made; plan again.
        RecordsError: the records refuse; nothing was changed.
    """
    await store.apply([change.change for change in plan.changes])


def _plan(there: Setup, text: str, small: SmallMeasures) -> ImportPlan:
    wanted = read_setup(text, _in_use(there), small)
    pairs = list(_pairs(there, wanted))
    changes = [
        change for before, after, what, key in pairs if (change := _compared(before, after, what, key))
    ]
    notes = (
        *(warning for glass in wanted.glasses.values() for warning in warnings_of_glass(glass)),
        *_notes(there.bottles, wanted.bottles),
        *_swaps(change.change for change in changes),
    )
    return ImportPlan(tuple(changes), len(pairs) - len(changes), notes)


def _in_use(setup: Setup) -> Setup:
    return Setup(
        {key: liquid for key, liquid in setup.liquids.items() if liquid.active},
        {key: glass for key, glass in setup.glasses.items() if glass.active},
        {key: recipe for key, recipe in setup.recipes.items() if recipe.active},
        setup.channels,
        setup.bottles,
    )


def _pairs(there: Setup, wanted: Setup) -> Iterator[tuple[Part | None, Part, str, str]]:
    """Each part of the file with its counterpart in the records."""
    yield from _paired("liquid", there.liquids, wanted.liquids)
    yield from _paired("glass", there.glasses, wanted.glasses)
    yield from _paired("recipe", there.recipes, wanted.recipes)
    yield from _paired("channel", there.channels, wanted.channels)
    yield from _paired("bottle", there.bottles, wanted.bottles)


def _paired(
    what: str, there: Mapping[_Key, _PartT], wanted: Mapping[_Key, _PartT]
) -> Iterator[tuple[Part | None, Part, str, str]]:
    for key, after in wanted.items():
        before = there.get(key)
        if isinstance(after, Bottle) and isinstance(before, Bottle):
            kept = replace(after, content_g=before.content_g, opened_at=after.opened_at or before.opened_at)
            yield before, kept, what, str(key)
        else:
            yield before, after, what, str(key)


def _compared(before: Part | None, after: Part, what: str, key: str) -> PartChange | None:
    """The change from one to the other, as far as a file expresses it; None: there is none."""
    change = Change(before, after)
    if before is None:
        return PartChange(what, key, "added", (), change)
    old, new = written(form_of(before)), written(form_of(after))
    fields = tuple(name for name in type(form_of(after)).model_fields if old.get(name) != new.get(name))
    if not isinstance(before, Bottle | Channel) and not before.active:
        return PartChange(what, key, "taken back into use", fields, change)
    return PartChange(what, key, "changed", fields, change) if fields else None


def _notes(there: Mapping[str, Bottle], wanted: Mapping[str, Bottle]) -> Iterator[str]:
    for key, bottle in wanted.items():
        held = there.get(key)
        if held is not None and abs(held.content_g - bottle.content_g) > _CONTENT_CLOSE_G:
            yield (
                f"bottle {key} keeps the {held.content_g:.1f} g of its ledger, though the file says "
                f"{bottle.content_g:.1f} g; weigh the bottle to correct it"
            )


def _swaps(changes: Iterable[Change]) -> Iterator[str]:
    """The channels that change their liquid."""
    for change in changes:
        match change:
            case Change(Channel() as before, Channel() as after) if before.liquid_id != after.liquid_id:
                yield (
                    f"channel {after.number} changes from {before.liquid_id or 'no liquid'} to "
                    f"{after.liquid_id or 'none'}; its tube keeps what it holds, and drinks from the channel "
                    "wait until another liquid is flushed out"
                )
