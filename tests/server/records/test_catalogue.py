"""Liquids, glasses and recipes: kept as they were given, retired only when nothing names them, and never
overwritten unseen."""

import asyncio
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from records_samples import BOTTLE, COMPLETE, GLASS, LIQUIDS, RECIPE, dose_ended, new_pour, set_up
from tarewell.dosing.plan import PlanError
from tarewell.menu.hands import Hand, HandStep
from tarewell.menu.values import Recipe, RecipeDose
from tarewell.quantities.density import entered
from tarewell.quantities.units import Amount, AmountKind
from tarewell.records.errors import (
    ChangedMeanwhileError,
    DamagedError,
    FaultyError,
    InUseError,
    RetiredLiquidError,
    UnknownRecordError,
)
from tarewell.records.menu_rows import recipe_values, steps_of
from tarewell.records.store import Store

WATER, BITTER = LIQUIDS

names = st.text(min_size=1, max_size=300)
amounts = st.builds(Amount, st.floats(1e-3, 1e4), st.sampled_from(AmountKind))
steps = st.builds(RecipeDose, st.just("elderflower"), names, amounts) | st.builds(
    HandStep,
    st.sampled_from(Hand),
    names,
    st.floats(0, 500),
    st.none() | st.just("elderflower"),
    st.text(max_size=60),
    st.none() | amounts,
)


@given(st.lists(steps, max_size=12).map(tuple))
def test_steps_come_back_as_they_were(given_steps: tuple[RecipeDose | HandStep, ...]) -> None:
    text = recipe_values(replace(RECIPE, steps=given_steps))["steps"]
    assert steps_of("second-bell", text) == given_steps


@pytest.mark.parametrize(
    "text",
    [
        "{}",
        "[{}]",
        '[{"dose":{"liquid_id":"elderflower"}}]',
        '[{"hand":{"kind":"sing","what":"a song"}}]',
        '[{"dose":{"liquid_id":"a","text":"1 g","amount":{"value":1,"kind":"mass_g"}},'
        '"hand":{"kind":"ice","what":"cubes"}}]',
    ],
)
async def test_steps_that_are_none_are_named_with_the_cure(store: Store, path: Path, text: str) -> None:
    await set_up(store)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("UPDATE recipe SET steps = ?", (text,))
        connection.commit()
    with pytest.raises(DamagedError, match=r"second-bell.*put the recipe again"):
        await store.recipes.get(RECIPE.id)


async def test_glasses_and_recipes_are_kept_by_name_and_told(store: Store) -> None:
    before = await store.journal.last_seq()
    await set_up(store)
    await store.glasses.put(GLASS)
    first = replace(RECIPE, id="act-one", name="Act One", glass_id=None, volume_ml=150.0)
    await store.recipes.put(first)
    assert await store.glasses.all() == [GLASS]
    assert await store.recipes.all() == [first, RECIPE]
    assert await store.recipes.get(RECIPE.id) == RECIPE
    glass, recipe, _ = await store.journal.since(before)
    assert (glass.kind, glass.body["brim_ml"]) == ("glass_put", 320.0)
    assert (recipe.kind, recipe.body["steps"][0]) == (
        "recipe_put",
        {"hand": {"kind": "ice", "what": "three cubes", "ice_g": 60.0}},
    )


@pytest.mark.parametrize(
    "name", ["<script>alert('bar')</script>", "🎭 Gala Fizz 🍹", "x" * 300, "'; DROP TABLE"]
)
async def test_odd_names_come_back_as_they_are(store: Store, name: str) -> None:
    await set_up(store)
    step = replace(RECIPE.steps[0], what=name)
    odd = replace(RECIPE, name=name, steps=(step, *RECIPE.steps[1:]), note=name)  # type: ignore[arg-type]
    await store.recipes.put(odd)
    await store.liquids.put(replace(WATER, name=name, note=name))
    await store.glasses.put(replace(GLASS, name=name))
    assert await store.recipes.get(RECIPE.id) == odd
    assert (await store.liquids.get(WATER.id)).note == name
    assert (await store.glasses.get(GLASS.id)).name == name
    assert (await store.journal.verify()).intact


async def test_all_that_a_liquid_knows_comes_back(store: Store) -> None:
    known = replace(WATER, sugar_g_per_l=42.5, cost_per_l=3.1, serving_c=6.0, note="open: drink soon")
    await store.liquids.put(known)
    assert await store.liquids.get(WATER.id) == known
    looked_at = replace(known, allergens=frozenset())
    await store.liquids.put(looked_at)
    assert (await store.liquids.get(WATER.id)).allergens == frozenset()


async def test_what_cannot_be_is_refused_with_every_fault(store: Store) -> None:
    with pytest.raises(FaultyError) as caught:
        await store.glasses.put(replace(GLASS, brim_ml=-1.0, name="\n"))
    assert [fault.pointer for fault in caught.value.faults] == ["/name", "/brim_ml", "/headroom_ml"]
    by_hand_only = replace(RECIPE, steps=RECIPE.steps[:1])
    with pytest.raises(FaultyError, match="at least one dose"):
        await store.recipes.put(by_hand_only)
    assert await store.glasses.all(retired=True) == []
    assert await store.recipes.all(retired=True) == []


@pytest.mark.parametrize(
    "recipe",
    [
        replace(RECIPE, glass_id="goblet"),
        replace(
            RECIPE, steps=(*RECIPE.steps, RecipeDose("greasepaint", "1 part", Amount(1.0, AmountKind.PARTS)))
        ),
        replace(RECIPE, steps=(*RECIPE.steps, HandStep(Hand.OTHER, "rinse", liquid_id="greasepaint"))),
    ],
    ids=["glass", "dose", "by hand"],
)
async def test_a_recipe_names_only_what_is_there(store: Store, recipe: Recipe) -> None:
    await set_up(store)
    with pytest.raises(UnknownRecordError, match=r"goblet|greasepaint"):
        await store.recipes.put(recipe)
    assert await store.recipes.get(RECIPE.id) == RECIPE


async def test_what_a_recipe_in_use_names_is_not_retired(bare: Store) -> None:
    await set_up(bare)
    for liquid in LIQUIDS:
        with pytest.raises(RetiredLiquidError, match=r"second-bell.*retire the recipe first"):
            await bare.liquids.retire(liquid.id)
    with pytest.raises(InUseError, match=r"second-bell.*retire the recipe"):
        await bare.glasses.retire(GLASS.id)
    await bare.recipes.retire(RECIPE.id)
    retired = [replace(RECIPE, active=False)]
    assert (await bare.recipes.all(), await bare.recipes.all(retired=True)) == ([], retired)
    await bare.liquids.retire(WATER.id)
    await bare.glasses.retire(GLASS.id)
    with pytest.raises(RetiredLiquidError, match="restore it first"):
        await bare.recipes.put(RECIPE)
    await bare.liquids.put(WATER)
    with pytest.raises(InUseError, match="restore it first"):
        await bare.recipes.put(RECIPE)


async def test_a_liquid_that_a_recipe_only_tops_up_with_is_in_use_too(bare: Store) -> None:
    await set_up(bare)
    top_up = HandStep(
        Hand.TOP_UP, "to the mark", liquid_id=WATER.id, text="2 cl", amount=Amount(20.0, AmountKind.VOLUME_ML)
    )
    await bare.recipes.put(replace(RECIPE, steps=(RECIPE.steps[1], top_up)))
    with pytest.raises(RetiredLiquidError, match="second-bell"):
        await bare.liquids.retire(WATER.id)


async def test_a_liquid_in_a_bottle_is_not_retired_until_the_bottle_is_empty(bare: Store) -> None:
    await bare.bottles.put(BOTTLE)
    with pytest.raises(RetiredLiquidError, match=r"elderflower-1 still holds 700 g.*discard"):
        await bare.liquids.retire(WATER.id)
    await bare.bottles.discard(BOTTLE.id)
    await bare.liquids.retire(WATER.id)
    assert not (await bare.liquids.get(WATER.id)).active


async def test_a_liquid_that_is_being_poured_keeps_what_matters(store: Store) -> None:
    pour = await store.pours.begin(new_pour())
    for attempt in (store.liquids.retire(WATER.id), store.liquids.put(replace(WATER, active=False))):
        with pytest.raises(RetiredLiquidError, match="channel 1"):
            await attempt
    with pytest.raises(InUseError, match=f"{pour.id}; wait for its end"):
        await store.channels.assign(1, None, "left")
    for attempt in (
        store.liquids.put(replace(WATER, density=entered(1.05))),
        store.liquids.put(replace(WATER, allergens=frozenset())),
        store.liquids.put(replace(WATER, abv_percent=5.0)),
    ):
        with pytest.raises(RetiredLiquidError, match=f"{pour.id}; wait for its end"):
            await attempt
    in_words = replace(WATER, name="Elderflower, chilled", note="second shelf", cost_per_l=2.4)
    await store.liquids.put(in_words)
    await store.pours.finish(pour.id, COMPLETE, [dose_ended(0), dose_ended(1)], 251.3)
    await store.liquids.put(replace(in_words, density=entered(1.05)))
    await store.channels.assign(1, None, "left")
    await store.liquids.retire(WATER.id)
    assert (await store.pours.get(pour.id)).doses[0].liquid_name == WATER.name


@pytest.mark.parametrize(
    ("liquid_id", "told"), [(None, "there is no channel 1"), (BITTER.id, f"channel 1 holds {BITTER.id}")]
)
async def test_nothing_begins_on_a_channel_that_was_changed_meanwhile(
    store: Store, liquid_id: str | None, told: str
) -> None:
    new = new_pour()
    await store.channels.assign(1, liquid_id, "left")
    before = await store.journal.last_seq()
    with pytest.raises(PlanError, match=told) as refused:
        await store.pours.begin(new)
    assert refused.value.dose == 0
    assert await store.journal.last_seq() == before


async def test_what_somebody_else_changed_is_not_overwritten(store: Store) -> None:
    await set_up(store)
    mine, theirs = replace(GLASS, brim_ml=330.0), replace(GLASS, brim_ml=340.0)
    await store.glasses.put(theirs, expected=GLASS)
    before = await store.journal.last_seq()
    for attempt in (
        store.glasses.put(mine, expected=GLASS),
        store.glasses.put(mine, expected=None),
        store.glasses.retire(GLASS.id, expected=GLASS),
        store.recipes.put(replace(RECIPE, note="new"), expected=None),
        store.liquids.put(replace(WATER, note="new"), expected=replace(WATER, note="older")),
        store.liquids.put(replace(WATER, id="new"), expected=WATER),
    ):
        with pytest.raises(ChangedMeanwhileError, match="read it again"):
            await attempt
    assert await store.glasses.get(GLASS.id) == theirs
    assert await store.journal.last_seq() == before
    await store.glasses.put(replace(GLASS, id="flute"), expected=None)
    assert [glass.id for glass in await store.glasses.all()] == ["flute", GLASS.id]


async def test_of_two_at_the_same_moment_one_is_told(store: Store) -> None:
    changes = [replace(WATER, cost_per_l=float(cost)) for cost in range(1, 7)]
    results = await asyncio.gather(
        *(store.liquids.put(change, expected=WATER) for change in changes), return_exceptions=True
    )
    assert sum(isinstance(result, ChangedMeanwhileError) for result in results) == 5
    (won,) = [result for result in results if not isinstance(result, BaseException)]
    assert await store.liquids.get(WATER.id) == won
