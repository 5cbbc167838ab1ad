"""Plain channels as choices."""

from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from empty_database import copy_empty
from tarewell.dosing.plan import PlanError
from tarewell.local_panel.channels import ChannelChoices
from tarewell.local_panel.choices import ChosenPour, Measure
from tarewell.menu.values import Liquid
from tarewell.quantities.density import from_brix, of_water
from tarewell.records.store import Store
from tarewell.weighing.scale import ScaleRating


@pytest.fixture
async def store(tmp_path: Path) -> AsyncIterator[Store]:
    found = await Store.open(copy_empty(tmp_path / "bar.db"), "interval-bar", "0.1.0")
    await found.liquids.put(Liquid("house-water", "House Water", of_water()))
    await found.liquids.put(Liquid("curtain-syrup", "Curtain Syrup", from_brix(65.0)))
    await found.channels.assign(1, "house-water", "left")
    await found.channels.assign(2, None, "empty")
    await found.channels.assign(3, "curtain-syrup", "right")
    yield found
    await found.close()


async def test_channels_with_a_liquid_are_offered_as_far_as_the_scale_goes(store: Store) -> None:
    water, syrup = await ChannelChoices(store, ScaleRating()).available()
    assert (water.title, syrup.title) == ("House Water", "Curtain Syrup")
    # 2 g of water are a little more than 2 ml; half of the scale's 1000 g is left for the glass
    assert water.measures == (Measure("millilitres", "ml", 3, 500, 1, 40),)
    # 65 degrees Brix at 20 degC: 1.316 g/ml, ICUMSA polynomial as in tests/server/quantities
    assert (syrup.measures[0].smallest, syrup.measures[0].largest) == (2, 379)


async def test_an_amount_becomes_a_dose_in_grams(store: Store) -> None:
    choices = ChannelChoices(store, ScaleRating())
    _, syrup = await choices.available()
    (dose,) = (await choices.plan(ChosenPour(syrup, 0, 30))).doses
    assert (dose.channel, dose.liquid_id) == (3, "curtain-syrup")
    assert dose.target_g == pytest.approx(39.49, abs=0.02)


async def test_a_channel_that_got_another_liquid_meanwhile_is_not_poured(store: Store) -> None:
    choices = ChannelChoices(store, ScaleRating())
    _, syrup = await choices.available()
    await store.channels.assign(3, "house-water", "right")
    with pytest.raises(PlanError, match="Curtain Syrup is no longer assigned to this channel; choose again"):
        await choices.plan(ChosenPour(syrup, 0, 30))


async def test_nothing_is_offered_that_the_scale_cannot_weigh(store: Store) -> None:
    assert await ChannelChoices(store, ScaleRating(max_g=3.0)).available() == []


@pytest.mark.parametrize("limits", [(0, 5, 1, 3), (5, 3, 1, 5), (1, 5, 0, 3), (1, 5, 1, 6)])
def test_a_measure_that_leaves_nothing_to_choose_is_refused(limits: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="smallest <= default <= largest"):
        Measure("millilitres", "ml", *limits)
