"""What holds for every menu: masses add up, proportions stay, nothing overflows, nothing is poured twice."""

from dataclasses import replace
from itertools import pairwise
from math import fsum

import pytest
from hypothesis import given
from hypothesis import strategies as st

from menu_samples import LIQUIDS, WATER, bottle, channels, ice, menu, recipe
from tarewell.dosing.plan import check_plan
from tarewell.menu.compiling import compile_recipe
from tarewell.menu.drink import Drink, PlannedDose, PlannedHand, Reason
from tarewell.menu.feasibility import remaining
from tarewell.menu.hands import Hand, HandStep
from tarewell.menu.values import ChannelFacts, Glass, Liquid, Menu, RecipeDose
from tarewell.quantities.units import Amount, AmountKind

ROUNDING = 1e-9

fixed = st.builds(Amount, st.floats(2, 60), st.sampled_from([AmountKind.VOLUME_ML, AmountKind.MASS_G]))
parts = st.builds(Amount, st.floats(0.5, 5), st.just(AmountKind.PARTS))


def doses(amounts: st.SearchStrategy[Amount]) -> st.SearchStrategy[RecipeDose]:
    return st.builds(
        lambda liquid, amount: RecipeDose(liquid.id, "", amount), st.sampled_from(LIQUIDS), amounts
    )


def top_ups(amounts: st.SearchStrategy[Amount] | st.SearchStrategy[None]) -> st.SearchStrategy[HandStep]:
    return st.builds(
        lambda liquid, amount: HandStep(
            Hand.TOP_UP, "top up", liquid_id=liquid.id if liquid else None, amount=amount
        ),
        st.none() | st.sampled_from(LIQUIDS),
        amounts,
    )


others = st.builds(ice, st.floats(1, 200)) | st.just(HandStep(Hand.OTHER, "stir"))
in_parts = st.tuples(
    st.lists(doses(fixed | parts), min_size=1, max_size=4),
    st.lists(top_ups(fixed | parts) | others | doses(parts), max_size=4),
)
open_ended = st.tuples(
    st.lists(doses(fixed), min_size=1, max_size=4), st.lists(top_ups(st.none()) | others, max_size=2)
)
glasses = st.builds(
    lambda brim_ml, headroom, heaviest_g: Glass(
        "highball", "Highball", brim_ml, headroom * brim_ml, 1.0, heaviest_g
    ),
    st.floats(50, 1000),
    st.floats(0, 0.5),
    st.floats(20, 500),
)
menus = st.builds(
    lambda steps, glass, scale_max_g, content_g, volume_ml: menu(
        recipe(*steps[0], *steps[1], volume_ml=volume_ml),
        glasses=[glass],
        scale_max_g=scale_max_g,
        on=channels(LIQUIDS, content_g),
    ),
    in_parts | open_ended,
    glasses,
    st.floats(300, 3000),
    st.floats(100, 3000),
    st.none() | st.floats(20, 1000),
)
limits = st.none() | st.floats(0, 50)


def ice_g(drink: Drink) -> float:
    return fsum(step.step.ice_g for step in drink.steps if isinstance(step, PlannedHand))


@given(menus, limits)
def test_no_drink_that_may_be_poured_exceeds_glass_or_scale_or_bottle(
    base: Menu, max_g: float | None
) -> None:
    drink = compile_recipe(base, "it", max_ethanol_g=max_g)
    if drink.blockers:
        return
    assert all(dose.target_g >= 2 for dose in drink.doses)
    glass = base.glasses["highball"]
    # the drink, and ice that displaces at the least its mass of the drink
    ice_ml = ice_g(drink) * drink.strength.volume_ml / drink.strength.mass_g
    if drink.strength.mass_g / drink.strength.volume_ml < 0.9167:
        ice_ml = ice_g(drink) / 0.9167
    assert drink.volume_ml + ice_ml <= glass.brim_ml - glass.headroom_ml + 1e-4
    assert glass.heaviest_g is not None
    assert glass.heaviest_g + ice_g(drink) + drink.strength.mass_g <= base.scale_max_g + 1e-6
    for liquid in LIQUIDS:
        taken_g = fsum(dose.target_g for dose in drink.doses if dose.liquid_id == liquid.id)
        (channel,) = [channel for channel in base.channels.values() if channel.liquid_id == liquid.id]
        assert channel.bottle is not None
        assert taken_g <= channel.bottle.content_g + 1e-6
    if max_g is not None:
        assert drink.strength.ethanol_g <= max_g * (1 + ROUNDING)
    for leg in drink.legs:
        if isinstance(leg, tuple):
            check_plan(drink.pour_plan(leg), frozenset(base.channels), base.scale_max_g)


@given(menus, limits)
def test_the_mass_of_a_plan_is_the_sum_of_its_doses(base: Menu, max_g: float | None) -> None:
    drink = compile_recipe(base, "it", max_ethanol_g=max_g)
    assert drink.target_g == pytest.approx(fsum(dose.target_g for dose in drink.doses), rel=1e-12)
    by_hand_g = fsum(
        s.mass_g for s in drink.steps if isinstance(s, PlannedHand) and s.step.kind is Hand.TOP_UP
    )
    assert drink.strength.mass_g == pytest.approx(drink.target_g + by_hand_g, rel=1e-12)


@given(
    st.lists(st.tuples(st.sampled_from(LIQUIDS), st.floats(0.1, 20)), min_size=2, max_size=8),
    st.floats(30, 900),
)
def test_scaling_keeps_the_proportions(parts: list[tuple[Liquid, float]], volume_ml: float) -> None:
    base = menu(recipe(*(RecipeDose(liquid.id, "", Amount(n, AmountKind.PARTS)) for liquid, n in parts)))
    drink = compile_recipe(base, "it", volume_ml=volume_ml)
    assert drink.volume_ml == pytest.approx(volume_ml)
    first, *_ = drink.steps
    for step, (_, n) in zip(drink.steps, parts, strict=True):
        assert step.volume_ml / first.volume_ml == pytest.approx(n / parts[0][1], rel=1e-9)
    other = compile_recipe(base, "it", volume_ml=2 * volume_ml)
    assert [step.target_g for step in other.doses] == pytest.approx(
        [2 * step.target_g for step in drink.doses]
    )


@given(menus)
def test_a_volume_that_is_asked_for_is_the_volume(base: Menu) -> None:
    drink = compile_recipe(base, "it", volume_ml=180)
    if not {blocker.code for blocker in drink.blockers} & {
        Reason.GLASS_TOO_SMALL,
        Reason.RECIPE_FAULTY,
    }:
        assert drink.volume_ml == pytest.approx(180)


@given(menus)
def test_steps_keep_their_order(base: Menu) -> None:
    drink = compile_recipe(base, "it")
    steps = base.recipes["it"].steps
    wanted = [step.liquid_id if isinstance(step, RecipeDose) else step for step in steps]
    assert [step.liquid_id if isinstance(step, PlannedDose) else step.step for step in drink.steps] == wanted


@given(menus)
def test_a_pour_begins_with_its_smallest_dose(base: Menu) -> None:
    drink = compile_recipe(base, "it")
    for leg, written in zip(drink.legs, replace(drink, keep_order=True).legs, strict=True):
        if isinstance(leg, PlannedHand) or isinstance(written, PlannedHand):
            assert leg == written
            continue
        assert sorted(map(id, leg)) == sorted(map(id, written))
        assert all(one.target_g <= other.target_g for one, other in pairwise(leg))


def draw(base: Menu, drink: Drink) -> Menu:
    """The menu after a drink was poured."""
    on: dict[int, ChannelFacts] = dict(base.channels)
    for dose in drink.doses:
        assert dose.channel is not None
        channel = on[dose.channel]
        assert channel.bottle is not None
        left = replace(channel.bottle, content_g=channel.bottle.content_g - dose.target_g)
        on[dose.channel] = replace(channel, bottle=left)
    return replace(base, channels=on)


bottles = st.lists(st.tuples(st.floats(0, 400), st.booleans(), st.sampled_from([2.0, 25.0])), max_size=3)


@given(
    st.lists(st.tuples(st.sampled_from(LIQUIDS[:3]), st.floats(10, 60)), min_size=1, max_size=4),
    st.tuples(bottles, bottles, bottles),
)
def test_as_many_remain_as_can_be_poured_one_after_the_other(
    wanted: list[tuple[Liquid, float]], hung: tuple[list[tuple[float, bool, float]], ...]
) -> None:
    on: dict[int, ChannelFacts] = {}
    for liquid, held in zip(LIQUIDS, hung, strict=False):
        for content_g, opened, min_g in held:
            number = len(on)
            more = {
                "id": f"b{number}",
                "channel": number,
                "opened_at": "2026-03-01T18:00:00Z" if opened else None,
            }
            on[number] = ChannelFacts(number, liquid.id, bottle(liquid, content_g, **more), 5.0, min_g)
    base = menu(
        recipe(*(RecipeDose(liquid.id, "", Amount(g, AmountKind.MASS_G)) for liquid, g in wanted)),
        on=on,
    )
    promised = remaining(base)["it"]
    poured = 0
    while not (drink := compile_recipe(base, "it")).blockers:
        base = draw(base, drink)
        poured += 1
    assert promised.now == poured
    assert bool(promised.blockers) == (poured == 0)


@given(st.floats(0.1, 10_000), st.floats(0, 40))
def test_volume_to_mass_and_back(volume_ml: float, serving_c: float) -> None:
    for liquid in LIQUIDS:
        served = replace(liquid, serving_c=serving_c)
        density = served.serving_density
        assert density.volume_of(density.mass_of(volume_ml).g).ml == pytest.approx(volume_ml, rel=1e-13)
    assert replace(WATER, serving_c=serving_c).serving_density.at_c == serving_c
