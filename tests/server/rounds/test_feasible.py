"""Whether a round can be poured, with bottles that grow empty on the way."""

from dataclasses import replace

import pytest

from menu_samples import (
    LEMON,
    SPIRIT,
    TUMBLER,
    WATER,
    WINE,
    bottle,
    channels,
    dose,
    menu,
    recipe,
    top_up,
    with_channel,
)
from round_steps import MENU, STILL, named
from tarewell.menu.errors import MenuError
from tarewell.quantities.units import SmallMeasures
from tarewell.rounds.feasible import Wanted, feasible
from tarewell.rounds.plan import MAX_GLASSES, RoundPlan

SMALL = SmallMeasures()


def test_bottles_are_drawn_down_from_glass_to_glass() -> None:
    # 150 ml of water of 0.998 g/ml are 149.7 g: 400 g are enough for two glasses, 460 g for three
    for content_g, possible in ((299.0, 1), (400.0, 2), (460.0, 3)):
        short = with_channel(MENU, 1, bottle=bottle(WATER, content_g, channel=1))
        found = feasible(short, [Wanted("still")] * 3, SMALL)
        assert len(found.glasses) == possible
        assert [item.index for item in found.short] == list(range(possible, 3))


def test_the_refusal_names_the_number_and_the_liquid() -> None:
    short = with_channel(MENU, 1, bottle=bottle(WATER, 400.0, channel=1))
    told = feasible(short, [Wanted("still")] * 3, SMALL).summary
    assert told.startswith("2 of 3 glasses can be poured; glass 3, still: channel 1 has ")
    assert "Still water left" in told
    assert feasible(MENU, [Wanted("still")], SMALL).summary == "all 1 glasses can be poured"


def test_a_glass_that_cannot_be_poured_takes_nothing_from_the_next() -> None:
    big = named(replace(STILL, volume_ml=200.0), "big")
    both = menu(named(STILL, "still"), big, on=channels([WATER], 160.0))
    found = feasible(both, [Wanted("big"), Wanted("still")], SMALL)
    assert [glass.drink.recipe_id for glass in found.glasses] == ["still"]


def test_a_bottle_that_runs_low_gives_way_to_another_of_the_same_liquid() -> None:
    on = channels([WATER], 160.0) | {
        2: replace(channels([WATER])[1], number=2, bottle=bottle(WATER, 700.0, id="w2", channel=2))
    }
    found = feasible(menu(named(STILL, "still"), on=on), [Wanted("still")] * 3, SMALL)
    assert [glass.drink.doses[0].channel for glass in found.glasses] == [1, 2, 2]


def test_a_strength_that_nobody_stated_is_open() -> None:
    sour = menu(named(recipe(dose(WATER, "100 ml"), dose(LEMON, "20 ml"), glass=TUMBLER), "sour"))
    stated = feasible(sour, [Wanted("sour")], SMALL).glasses[0]
    unstated = replace(sour, liquids=sour.liquids | {LEMON.id: replace(LEMON, abv_percent=None)})
    assert not stated.strength_open
    assert feasible(unstated, [Wanted("sour")], SMALL).glasses[0].strength_open


def test_a_top_up_of_a_strength_that_nobody_stated_is_open_and_one_of_nothing_named_is_not() -> None:
    steps = (dose(WATER, "100 ml"), top_up(WINE, "20 ml")), (dose(WATER, "100 ml"), top_up(None, "20 ml"))
    base = menu(*(named(recipe(*each, glass=TUMBLER), name) for each, name in zip(steps, "ab", strict=True)))
    unstated = replace(base, liquids=base.liquids | {WINE.id: replace(WINE, abv_percent=None)})
    found = feasible(unstated, [Wanted("a"), Wanted("b")], SMALL).glasses
    assert [glass.strength_open for glass in found] == [True, False]


def test_a_glass_held_to_a_limit_of_ethanol_is_smaller_and_its_doses_follow_none_that_missed() -> None:
    free, held = feasible(MENU, [Wanted("strong"), Wanted("strong", max_ethanol_g=5.0)], SMALL).glasses
    assert held.drink.strength.ethanol_g == pytest.approx(5.0)
    assert held.drink.strength.percent_vol == pytest.approx(free.drink.strength.percent_vol)
    assert free.pour_plan(0).keep_proportions
    assert not held.pour_plan(0).keep_proportions


def test_a_limit_of_ethanol_needs_to_know_the_strength() -> None:
    unstated = replace(MENU, liquids=MENU.liquids | {SPIRIT.id: replace(SPIRIT, abv_percent=None)})
    found = feasible(unstated, [Wanted("strong", max_ethanol_g=5.0)], SMALL)
    assert "so no limit can be kept" in found.summary


def test_an_unknown_recipe_is_refused() -> None:
    with pytest.raises(MenuError, match="there is no recipe 'nothing'"):
        feasible(MENU, [Wanted("nothing")], SMALL)


def test_a_round_has_at_least_one_glass_and_not_too_many() -> None:
    glass = feasible(MENU, [Wanted("still")], SMALL).glasses[0]
    for count in (0, MAX_GLASSES + 1):
        with pytest.raises(ValueError, match=f"1 to {MAX_GLASSES} glasses, got {count}"):
            RoundPlan((glass,) * count, {})
