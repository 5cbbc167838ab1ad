"""A recipe with the step of `hand-step.patch`, from the set-up file to round and panel.

`test_sample_changes.py` runs it in a copy of the tree that has the step; without it nothing can run.
"""

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from api_app import app_with, client_of
from bystander import Bystander, at_the_counter
from machine_double import MachineDouble
from menu_samples import TUMBLER, WATER, dose, menu, recipe
from tarewell.menu.compiling import compile_recipe
from tarewell.menu.evening import Evening
from tarewell.menu.evening_plan import service_s
from tarewell.menu.hands import Hand, HandStep
from tarewell.menu.values import Bottle, Glass, Liquid, Recipe, RecipeDose
from tarewell.printing.cards import cards_page
from tarewell.quantities.density import of_water
from tarewell.quantities.units import SmallMeasures, parse_amount
from tarewell.records.store import Store
from tarewell.setup_file.example import INTERVAL_BAR
from tarewell.setup_file.reading import SetupFaultsError, read_setup
from tarewell.setup_file.setup import Setup
from tarewell.setup_file.writing import write_setup

STIR = HandStep(Hand.STIR, "long spoon", seconds=20.0)
WRITTEN = {"hand": "stir", "what": "long spoon", "seconds": 20.0}
IN_FILE = """
[recipes.slow-curtain]
name = "Slow Curtain"
glass_id = "foyer-tumbler"
steps = [
  { liquid_id = "house-water", amount = "20 ml" },
  { hand = "stir", what = "long spoon", seconds = 20 },
]
"""


def test_it_comes_from_the_set_up_file_and_goes_back_into_it() -> None:
    text = INTERVAL_BAR.read_text("utf-8") + IN_FILE
    setup = read_setup(text, Setup(), SmallMeasures())
    assert setup.recipes["slow-curtain"].steps[1] == STIR
    assert read_setup(write_setup(setup), Setup(), SmallMeasures()) == setup


@pytest.mark.parametrize("seconds", ["0", "-1", "601"])
def test_a_time_that_cannot_be_is_refused_where_it_stands(seconds: str) -> None:
    text = INTERVAL_BAR.read_text("utf-8") + IN_FILE.replace("seconds = 20", f"seconds = {seconds}")
    with pytest.raises(SetupFaultsError) as refused:
        read_setup(text, Setup(), SmallMeasures())
    assert [fault.pointer for fault in refused.value.faults] == ["/recipes/slow-curtain/steps/1/seconds"]


def test_card_and_evening_know_how_long_it_takes() -> None:
    bar = menu(recipe(dose(WATER, "20 ml"), STIR, glass=TUMBLER))
    (recipe_id,) = bar.recipes
    drink = compile_recipe(bar, recipe_id)
    page = cards_page(bar, [drink], 10.0)
    assert "<b>stir</b> long spoon" in page
    assert "20\N{NO-BREAK SPACE}s" in page
    times = Evening(1, 1.0, 1.0, {}).all_times
    plain = menu(recipe(dose(WATER, "20 ml"), glass=TUMBLER))
    without = service_s(compile_recipe(plain, next(iter(plain.recipes))), times)
    assert service_s(drink, times) - without == pytest.approx(20.0)


async def test_over_the_api_it_counts_down_and_is_confirmed_by_hand(tmp_path: Path) -> None:
    store = await Store.open(tmp_path / "bar.db", "interval-bar", "0.1.0")
    await store.liquids.put(Liquid("house-water", "House Water", of_water(), 0.0, 0.0, frozenset()))
    await store.channels.assign(1, "house-water", "")
    await store.bottles.put(Bottle("water-1", "house-water", 700.0, 700.0, 50.0))
    await store.bottles.mount("water-1", 1)
    machine = MachineDouble(store)
    app = app_with(machine)
    async with client_of(app) as client:
        steps = [WRITTEN, {"liquid_id": "house-water", "amount": "20 ml"}]
        put = await client.put("/v1/recipes/slow-curtain", json={"name": "Slow Curtain", "steps": steps})
        assert put.is_success, put.text
        assert put.json()["steps"][0]["seconds"] == 20.0
        body = {"glasses": [{"recipe_id": "slow-curtain"}], "auto_start": True}
        link = (await client.post("/v1/rounds", json=body)).json()["links"]["self"]
        progress = await by_hand(client, machine, link)
        assert progress["prompt"] == "by hand: long spoon (20 s left), then confirm"
        confirmed = await client.post(f"{link}/confirm")
        assert confirmed.json()["progress"]["step"] == "awaiting_glass"
    await store.close()


async def by_hand(client: Any, machine: MachineDouble, link: str) -> dict[str, Any]:
    """Put a glass down and ask until the round is at its step by hand."""
    for _ in range(300):
        assert machine.indication is not None
        machine.indication = replace(machine.indication, gross_g=250.0, rest_g=250.0)
        await machine.look()
        progress: dict[str, Any] = (await client.get(link)).json()["progress"]
        if progress["step"] == "by_hand":
            return progress
    raise AssertionError(f"it never was: {progress}")


def test_at_the_panel_it_counts_down_and_ends_by_itself(tmp_path: Path) -> None:
    async def scene(counter: Bystander) -> None:
        store, water = counter.place.store, RecipeDose("house-water", "20 ml", parse_amount("20 ml"))
        await store.glasses.put(Glass("tumbler", "Tumbler", 250.0, 20.0, 230.0, 270.0))
        await store.recipes.put(Recipe("slow-curtain", "Slow Curtain", (water, STIR, STIR)))
        await store.bottles.put(Bottle("water-1", "house-water", 700.0, 1000.0, 50.0))
        await store.bottles.mount("water-1", 1)
        await counter.choose("Slow Curtain")
        await counter.press()
        await counter.press()
        counter.bench.place_glass(mass_g=250.0)
        await counter.reads("By hand: long spoon", "(20 s left)", "press:done", limit_s=60)
        await counter.reads("(2 s left)", limit_s=20)
        await counter.reads("(20 s left)", limit_s=5)
        await counter.press()
        await counter.reads("[Slow Curtain]", limit_s=5)
        (record,) = (await store.rounds.list()).rounds
        assert record.state == "complete"

    at_the_counter(tmp_path, scene)
