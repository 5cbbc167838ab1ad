"""The set-up as a whole: put in one transaction or not at all, and read as the menu that recipes are compiled
against."""

from collections.abc import AsyncIterator, Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from records_samples import BOTTLE, GLASS, LIQUIDS, MACHINE, RECIPE, new_pour, open_store, set_up
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.setup import DosingSettings
from tarewell.menu.compiling import compile_recipe
from tarewell.menu.values import ChannelFacts
from tarewell.records.errors import (
    ChangedMeanwhileError,
    ChannelTakenError,
    FaultyError,
    InUseError,
    RetiredLiquidError,
    UnknownRecordError,
)
from tarewell.records.store import Store
from tarewell.records.values import Change, Channel, SetUpPart

WATER, BITTER = LIQUIDS
LEFT, RIGHT = Channel(1, WATER.id, "left"), Channel(2, BITTER.id, "right")
ON_LEFT = replace(BOTTLE, channel=1, opened_at="2026-11-24T19:15:00.000000Z")
ON_RIGHT = replace(ON_LEFT, id="bitter-1", liquid_id=BITTER.id, channel=2, content_g=333.25)
EVERYTHING: tuple[SetUpPart, ...] = (
    ON_LEFT,
    ON_RIGHT,
    RECIPE,
    replace(RECIPE, id="last-season", active=False, glass_id="old-goblet"),
    LEFT,
    RIGHT,
    GLASS,
    replace(GLASS, id="old-goblet", active=False),
    BITTER,
    WATER,
)


def new(*parts: SetUpPart) -> list[Change]:
    return [Change(None, part) for part in parts]


async def whole(store: Store) -> dict[str, Sequence[SetUpPart]]:
    return {
        "liquids": await store.liquids.all(retired=True),
        "glasses": await store.glasses.all(retired=True),
        "recipes": await store.recipes.all(retired=True),
        "channels": await store.channels.all(),
        "bottles": await store.bottles.all(emptied=True),
    }


@pytest.fixture
async def empty(path: Path) -> AsyncIterator[Store]:
    store = await Store.open(path, MACHINE, "0.1.0")
    yield store
    await store.close()


async def test_a_whole_set_up_is_put_at_once_in_any_order(empty: Store) -> None:
    await empty.apply(new(*EVERYTHING))
    found = await whole(empty)
    assert found["channels"] == [LEFT, RIGHT]
    assert found["bottles"] == [ON_RIGHT, ON_LEFT]
    assert {part for parts in found.values() for part in parts} == set(EVERYTHING)
    before = await empty.journal.last_seq()
    await empty.apply([Change(part, part) for part in EVERYTHING])
    assert await empty.journal.last_seq() == before
    assert (await empty.journal.verify()).intact


@pytest.mark.parametrize(
    ("wrong", "error"),
    [
        (replace(ON_LEFT, id="another"), ChannelTakenError),
        (replace(ON_LEFT, id="another", channel=7), UnknownRecordError),
        (replace(ON_LEFT, id="another", channel=None, full_g=-1.0), FaultyError),
        (replace(RECIPE, id="another", glass_id="flute"), UnknownRecordError),
        (replace(RECIPE, id="another", steps=()), FaultyError),
        (Channel(3, "greasepaint", "far"), UnknownRecordError),
        (Channel(9, None, "far"), ValueError),
        (replace(WATER, id="another", abv_percent=110.0), FaultyError),
        (replace(GLASS, id="another", brim_ml=0.0), FaultyError),
    ],
)
async def test_a_set_up_that_is_wrong_somewhere_is_not_put_at_all(
    empty: Store, wrong: SetUpPart, error: type[Exception]
) -> None:
    with pytest.raises(error):
        await empty.apply(new(*EVERYTHING, wrong))
    assert not any((await whole(empty)).values())
    assert await empty.journal.last_seq() == 0


async def test_what_changed_since_it_was_looked_at_stops_everything(store: Store) -> None:
    await set_up(store, 1)
    theirs = replace(GLASS, brim_ml=340.0)
    await store.glasses.put(theirs)
    seen = await store.bottles.get("on-1")
    before = await whole(store)
    for stale in (
        Change(GLASS, replace(GLASS, brim_ml=330.0)),
        Change(None, replace(RECIPE, note="new")),
        Change(None, replace(WATER, note="new")),
        Change(Channel(1, WATER.id, "elsewhere"), Channel(1, WATER.id, "here")),
        Change(replace(seen, low_g=1.0), replace(seen, low_g=2.0)),
        Change(replace(GLASS, id="gone"), replace(GLASS, id="gone", name="Gone")),
    ):
        with pytest.raises(ChangedMeanwhileError, match="read it again"):
            await store.apply([Change(BITTER, replace(BITTER, note="changed")), stale])
    assert await whole(store) == before


async def test_bottles_trade_places_and_keep_their_content(bare: Store) -> None:
    await set_up(bare, 1, 2)
    first, second = await bare.bottles.get("on-1"), await bare.bottles.get("on-2")
    await bare.bottles.correct("on-1", 250.0)
    await bare.apply(
        [
            Change(first, replace(first, channel=2, content_g=700.0)),
            Change(second, replace(second, channel=1)),
        ]
    )
    moved = {bottle.id: (bottle.channel, bottle.content_g) for bottle in await bare.bottles.all()}
    assert moved == {"on-1": (2, 250.0), "on-2": (1, 700.0)}
    assert [channel.liquid_id for channel in await bare.channels.all()] == [BITTER.id, WATER.id]


async def test_a_liquid_goes_with_all_that_names_it(bare: Store) -> None:
    await set_up(bare)
    await bare.channels.assign(1, BITTER.id, "left")
    retired = [
        Change(BITTER, replace(BITTER, active=False)),
        Change(GLASS, replace(GLASS, active=False)),
        Change(Channel(1, BITTER.id, "left"), Channel(1, WATER.id, "left")),
        Change(RECIPE, replace(RECIPE, active=False)),
    ]
    for missing, error in ((2, RetiredLiquidError), (3, InUseError)):
        with pytest.raises(error):
            await bare.apply([change for index, change in enumerate(retired) if index != missing])
    await bare.apply(retired)
    assert await bare.liquids.all() == [WATER]
    assert (await bare.glasses.all(), await bare.recipes.all()) == ([], [])


async def test_the_menu_is_all_that_recipes_are_compiled_against(store: Store) -> None:
    await set_up(store, 1, 3)
    await store.channels.assign(5, None, "spare")
    pour = await store.pours.begin(new_pour())
    await store.inflight.add(1, WATER.id, InFlight(0.3, 0.02, 7.5, 1), pour.id)
    await store.inflight.add(1, WATER.id, InFlight(0.3, 0.02, 8.25, 2), pour.id)
    await store.inflight.add(3, WATER.id, InFlight(0.3, 0.02, 6.0, 1), pour.id)
    await store.recipes.put(replace(RECIPE, id="last-season", active=False))
    menu = await store.menu(2000.0, DosingSettings())
    assert menu.liquids == {liquid.id: liquid for liquid in LIQUIDS}
    assert menu.glasses == {GLASS.id: GLASS}
    assert menu.recipes.keys() == {RECIPE.id, "last-season"}
    assert menu.channels == {
        1: ChannelFacts(1, WATER.id, await store.bottles.get("on-1"), 8.25, pytest.approx(2.88, abs=0.01)),
        3: ChannelFacts(3, BITTER.id, await store.bottles.get("on-3")),
        5: ChannelFacts(5, None),
    }
    assert menu.scale_max_g == 2000.0
    drink = compile_recipe(menu, RECIPE.id)
    assert drink.blockers == ()
    assert [dose.channel for dose in drink.doses] == [3, 1]


async def test_the_menu_of_an_empty_bar(path: Path) -> None:
    store = await open_store(path, assigned=False)
    menu = await store.menu(2000.0, DosingSettings())
    assert (menu.recipes, menu.channels, menu.glasses) == ({}, {}, {})
    await store.close()
