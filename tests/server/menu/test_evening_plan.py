"""An evening from what is expected to what is to be bought. Marks: [L] computed by hand beside it."""

from dataclasses import replace
from random import Random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from menu_samples import (
    HIGHBALL,
    LIQUIDS,
    SPIRIT,
    SYRUP,
    WATER,
    bottle,
    channels,
    dose,
    ice,
    menu,
    top_up,
)
from tarewell.menu.errors import MenuError
from tarewell.menu.evening import Evening, faults_of_evening
from tarewell.menu.evening_liquids import PlannedLiquid
from tarewell.menu.evening_plan import (
    EveningPlan,
    Pace,
    apportioned,
    plan_evening,
)
from tarewell.menu.evening_shopping import BottleSize
from tarewell.menu.hands import Hand, HandStep
from tarewell.menu.values import Bottle, Menu, Recipe

COOLER = Recipe(
    "cooler", "Green Room Cooler", (ice(60), dose(SYRUP, "40 ml"), dose(WATER, "160 ml")), HIGHBALL.id
)
BELL = Recipe(
    "bell",
    "Second Bell",
    (dose(SPIRIT, "25 ml"), HandStep(Hand.GARNISH, "a slice of lemon"), top_up(None, "100 ml", "soda water")),
    HIGHBALL.id,
)
BAR = menu(COOLER, BELL)
EVENING = Evening(80, 0.5, 1.2, {"cooler": 2, "bell": 1})


def plan(evening: Evening = EVENING, base: Menu = BAR, bottles: list[Bottle] | None = None) -> EveningPlan:
    return plan_evening(base, bottles or [], evening, Random(5).random)


def liquid(found: EveningPlan, name: str) -> PlannedLiquid:
    (only,) = [entry for entry in found.liquids if entry.name == name]
    return only


def test_drinks_are_guests_by_hours_by_pace_shared_out_by_the_mix() -> None:
    found = plan()
    assert {recipe.drink.recipe_id: recipe.count for recipe in found.recipes} == {"cooler": 32, "bell": 16}
    assert [recipe.alcohol_free for recipe in found.recipes] == [True, False]


def test_liquids_are_what_the_drinks_take_and_the_reserve() -> None:
    found = plan(replace(EVENING, reserve=0.25))
    assert liquid(found, SYRUP.name).used_ml == pytest.approx(32 * 40)
    assert liquid(found, SYRUP.name).need_ml == pytest.approx(32 * 40 * 1.25)
    assert liquid(found, SPIRIT.name).used_g == pytest.approx(16 * 25 * 0.948045, rel=1e-5)  # OIML R 22 [L]
    soda = liquid(found, "soda water")
    assert (soda.liquid_id, soda.by_machine) == (None, False)
    assert soda.used_ml == pytest.approx(16 * 100, rel=1e-3)
    assert found.ice_g == pytest.approx(32 * 60 * 1.25)


def test_stock_is_used_up_first_and_bottles_are_whole() -> None:
    sizes = {SYRUP.id: (BottleSize(700, 4.0),)}
    left = [bottle(SYRUP, 658.28, channel=2), bottle(SYRUP, -3.0, id="dregs")]  # 500 ml at 1.31656 g/ml [L]
    found = liquid(plan(replace(EVENING, bottle_sizes=sizes), bottles=left), SYRUP.name)
    assert found.stock_ml == pytest.approx(500, rel=1e-4)
    assert found.buy_ml == pytest.approx(1408 - 500, rel=1e-4)
    assert [(item.size.ml, item.count) for item in found.bottles] == [(700, 2)]
    assert found.cost == pytest.approx(8.0)


def test_sizes_that_nobody_names_are_those_of_the_own_bottles() -> None:
    empty = Bottle("last", WATER.id, 0.0, 4991.0, 0.0)
    found = liquid(plan(bottles=[empty]), WATER.name)
    assert [(item.size.ml, item.count) for item in found.bottles] == [(5000, 2)]


def test_without_any_size_the_volume_is_told() -> None:
    found = liquid(plan(), WATER.name)
    assert found.bottles == ()
    assert found.buy_ml == pytest.approx(32 * 160 * 1.1)
    assert found.cost == pytest.approx(32 * 0.16 * 1.1 * 0.5)


def test_a_cost_that_is_not_known_makes_the_sum_unknown() -> None:
    assert plan().cost_of_shopping is None  # the soda water of the top-up
    alone = plan(replace(EVENING, mix={"cooler": 1}))
    assert alone.cost_of_drinks == pytest.approx(48 * (0.040 * 3.0 + 0.160 * 0.5))


def test_time_at_the_bar_is_pouring_by_learned_flow_and_work_by_hand() -> None:
    times = {"glass_change_s": 10, "ice_s": 4, "top_up_s": 7, "garnish_s": 3}
    cooler, bell = plan(replace(EVENING, times=times)).recipes
    # 5 g/s; 0.6 s for each dose, 1.3 s for each pour
    poured_g = 40 * 1.31656 + 160 * 0.998203
    assert cooler.service_s == pytest.approx(10 + 4 + 1.3 + poured_g / 5 + 2 * 0.6, rel=1e-4)
    assert bell.service_s == pytest.approx(10 + 3 + 7 + 1.3 + 25 * 0.948045 / 5 + 0.6, rel=1e-4)
    assert not cooler.flow_guessed


def test_a_channel_that_never_poured_is_guessed_and_said_to_be() -> None:
    unknown = {number: replace(facts, flow_g_per_s=0.0) for number, facts in channels(LIQUIDS).items()}
    slow, fast = (
        plan(replace(EVENING, times={"unknown_flow_g_per_s": flow}), menu(COOLER, BELL, on=unknown))
        for flow in (2.5, 5.0)
    )
    assert all(recipe.flow_guessed for recipe in slow.recipes)
    assert fast.recipes[0].service_s == pytest.approx(plan().recipes[0].service_s)
    assert slow.recipes[0].service_s - fast.recipes[0].service_s == pytest.approx(212.375 / 5, rel=1e-3)


@pytest.mark.parametrize(
    ("evening", "pace"),
    [
        (replace(EVENING, guests=30), Pace.KEEPS_UP),
        (replace(EVENING, guests=30, peak_share=0.8, peak_minutes=5), Pace.BEHIND_AT_THE_PEAK),
        (replace(EVENING, guests=300), Pace.TOO_SLOW),
    ],
)
def test_whether_the_machine_keeps_up(evening: Evening, pace: Pace) -> None:
    assert plan(evening).pace is pace


def test_a_peak_makes_waiting_longer_and_intervals_share_the_orders() -> None:
    even, peaked = plan(), plan(replace(EVENING, peak_share=0.8, peak_minutes=6))
    assert peaked.queue.peak.median_s > 2 * even.queue.peak.median_s
    assert peaked.queue.peak_to_s == pytest.approx(6 * 60, abs=60)
    halves = plan(replace(EVENING, hours=1.0, intervals=2))
    assert halves.traffic.open_s == 1800
    assert halves.drinks == 2 * len(halves.traffic.services_s)


def test_ethanol_is_summed_and_a_strength_that_nobody_knows_is_said() -> None:
    assert plan().strength_known
    assert plan().ethanol_g == pytest.approx(16 * 10 * 0.78924, rel=1e-4)  # 25 ml of 40 % vol; R 22 [L]
    unlabelled = [WATER, SPIRIT, replace(SYRUP, abv_percent=None)]
    found = plan(base=menu(COOLER, BELL, liquids=unlabelled))
    assert not found.strength_known
    assert not found.recipes[0].alcohol_free


def test_reasons_that_a_bottle_does_not_cure_are_told() -> None:
    tall = replace(COOLER, steps=(dose(WATER, "400 ml"),))
    without = {number: facts for number, facts in BAR.channels.items() if facts.liquid_id != SPIRIT.id}
    empty = {number: replace(facts, bottle=None) for number, facts in without.items()}
    cooler, bell = plan(base=menu(tall, BELL, on=empty)).recipes
    assert [each.code for each in cooler.blockers] == ["glass_too_small"]
    assert [each.code for each in bell.blockers] == ["not_on_a_channel"]


def test_a_recipe_whose_liquid_is_gone_is_planned_as_far_as_it_goes() -> None:
    found = plan(base=menu(COOLER, BELL, liquids=[WATER, SYRUP]))
    assert liquid(found, SPIRIT.id).cost is None
    assert [each.code for each in found.recipes[1].blockers] == ["liquid_unknown"]


@pytest.mark.parametrize(
    ("change", "pointers"),
    [
        ({"guests": -5}, ["/guests"]),
        ({"hours": 0.0}, ["/hours"]),
        ({"hours": float("nan")}, ["/hours"]),
        ({"drinks_per_guest_h": 0.0}, ["/drinks_per_guest_h"]),
        ({"guests": 20_000, "hours": 24.0}, ["/guests"]),
        ({"mix": {}}, ["/mix"]),
        ({"mix": {"cooler": 0.0, "bell": 0}}, ["/mix"]),
        ({"mix": {"cooler": -1.0}}, ["/mix/cooler", "/mix"]),
        ({"mix": {"house-red": 1, "cooler": 1}}, ["/mix/house-red"]),
        ({"intervals": 0}, ["/intervals"]),
        ({"reserve": -0.1}, ["/reserve"]),
        ({"peak_share": 0.7}, ["/peak_minutes"]),
        ({"peak_minutes": 5.0}, ["/peak_minutes"]),
        ({"peak_minutes": -5.0}, ["/peak_minutes"]),
        ({"peak_share": 0.7, "peak_minutes": 30.0}, ["/peak_minutes"]),
        ({"peak_share": 1.7, "peak_minutes": 5.0}, ["/peak_share"]),
        ({"bottle_sizes": {"nectar": (BottleSize(700),)}}, ["/bottle_sizes/nectar"]),
        (
            {"bottle_sizes": {WATER.id: (BottleSize(0, -1.0),)}},
            [f"/bottle_sizes/{WATER.id}/0/{f}" for f in ("ml", "price")],
        ),
        ({"bottle_sizes": {WATER.id: ()}}, [f"/bottle_sizes/{WATER.id}"]),
        ({"times": {"unknown_flow_g_per_s": 0.0}}, ["/times/unknown_flow_g_per_s"]),
        ({"times": {"ice_s": -1.0, "tea_s": 2.0}}, ["/times/ice_s", "/times/tea_s"]),
        ({"guests": 0, "mix": {"cooler": 0}}, ["/guests", "/mix"]),
    ],
)
def test_what_cannot_be_is_named_and_refused(change: dict[str, Any], pointers: list[str]) -> None:
    evening = replace(EVENING, **change)
    assert [fault.pointer for fault in faults_of_evening(BAR, evening)] == pointers
    with pytest.raises(MenuError):
        plan(evening)


@given(
    st.integers(1, 5000), st.dictionaries(st.text(max_size=3), st.floats(0.001, 1e6), min_size=1, max_size=9)
)
def test_shares_are_kept_to_the_nearest_drink_and_none_is_lost(total: int, shares: dict[str, float]) -> None:
    counts = apportioned(total, shares)
    assert sum(counts.values()) == total
    whole = sum(shares.values())
    assert all(abs(counts[key] - total * share / whole) < 1 + 1e-6 for key, share in shares.items())
