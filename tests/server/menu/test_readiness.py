"""What bars a drink from a channel: another liquid in its tube, or a step of maintenance that is missing."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from menu_samples import ALMOND, LEMON, LIQUIDS, SPIRIT, SYRUP, WATER, WINE, bottle, dose, menu, recipe
from tarewell.dosing.maintenance import ChannelNeed, Remains, TubeState
from tarewell.dosing.plan import Agent, DosePlan, PlanError, PourPlan, Purpose
from tarewell.menu.allergens import Allergen
from tarewell.menu.compiling import compile_recipe
from tarewell.menu.drink import Reason
from tarewell.menu.feasibility import remaining
from tarewell.menu.readiness import check_ready, explain, judged, next_step
from tarewell.menu.values import ChannelFacts, Liquid, Menu

KNOWN = {liquid.id: liquid for liquid in LIQUIDS}
NUTTY = replace(ALMOND, id="hazel-cordial", name="Hazel cordial")
MILKY = replace(ALMOND, id="moon-cream", name="Moon cream", allergens=frozenset({Allergen.MILK}))
MILK_PUNCH = replace(
    ALMOND, id="milk-punch", name="Milk punch", allergens=frozenset({Allergen.MILK, Allergen.NUTS})
)
ALL = replace(WATER, id="all", name="All", allergens=frozenset(Allergen))
MORE = {liquid.id: liquid for liquid in (*LIQUIDS, NUTTY, MILKY, MILK_PUNCH, ALL)}

CLEAN, FLUSH, NONE = ChannelNeed.CLEAN, ChannelNeed.FLUSH, ChannelNeed.NONE


@pytest.mark.parametrize(
    ("old", "new", "filled", "after_water"),
    [
        (SYRUP, WATER, FLUSH, NONE),
        (SPIRIT, WATER, FLUSH, NONE),
        (WATER, SYRUP, FLUSH, NONE),
        (ALMOND, WATER, CLEAN, CLEAN),
        (MILKY, WATER, CLEAN, CLEAN),
        (WINE, SPIRIT, CLEAN, CLEAN),
        (ALMOND, NUTTY, FLUSH, NONE),
        (ALMOND, MILKY, CLEAN, CLEAN),
        (MILKY, MILK_PUNCH, FLUSH, NONE),
        (MILK_PUNCH, MILKY, CLEAN, CLEAN),
        (LEMON, WATER, CLEAN, CLEAN),
        (LEMON, ALMOND, CLEAN, CLEAN),
        (LEMON, ALL, FLUSH, NONE),
        (ALMOND, LEMON, CLEAN, CLEAN),
        (SYRUP, LEMON, FLUSH, NONE),
        (LEMON, replace(LEMON, id="other-lemon"), CLEAN, CLEAN),
        (ALMOND, ALMOND, NONE, NONE),
    ],
)
def test_what_a_change_of_liquid_needs(
    old: Liquid, new: Liquid, filled: ChannelNeed, after_water: ChannelNeed
) -> None:
    tube = TubeState().filled(old.id)
    rinsed, cleaned = (TubeState(holds={old.id: left}) for left in (Remains.TRACES, Remains.CLEANED))
    needs = [next_step(state, new, MORE) for state in (tube, rinsed, cleaned, TubeState())]
    assert [need for need, _ in needs] == [filled, after_water, NONE, NONE]
    assert [residue for _, residue in needs] == [() if need is NONE else (old,) for need, _ in needs]


def test_allergens_come_first_and_taste_next() -> None:
    tube = TubeState().filled("sugar-syrup").filled("almond-syrup").filled("lemon-juice").filled("water")
    assert next_step(tube, WATER, KNOWN) == (CLEAN, (ALMOND, LEMON))
    assert next_step(TubeState().filled("sugar-syrup").filled("wings-dry"), WATER, KNOWN) == (
        FLUSH,
        (SYRUP, SPIRIT),
    )


@pytest.mark.parametrize("step", [ChannelNeed.RINSE, ChannelNeed.PURGE, ChannelNeed.PRIME])
def test_a_flush_under_way_is_carried_through(step: ChannelNeed) -> None:
    """Once another liquid is out, or was never there, the missing steps are named."""
    assert next_step(TubeState(step), WATER, KNOWN) == (step, ())
    assert next_step(TubeState(step, {"sugar-syrup": Remains.TRACES}), WATER, KNOWN) == (step, ())
    assert next_step(TubeState(step).filled("almond-syrup"), None, KNOWN) == (step, ())
    assert next_step(TubeState(step).filled("almond-syrup"), WATER, KNOWN)[0] is CLEAN
    with_syrup = next_step(TubeState(step).filled("sugar-syrup"), WATER, KNOWN)[0]
    assert with_syrup is (step if step is ChannelNeed.RINSE else FLUSH)


@given(
    st.sampled_from(list(ChannelNeed)),
    st.dictionaries(st.sampled_from(list(MORE)), st.sampled_from(Remains), max_size=4),
    st.sampled_from(list(MORE.values())),
)
def test_no_undeclared_allergen_is_ever_let_through(
    step: ChannelNeed, holds: dict[str, Remains], liquid: Liquid
) -> None:
    need, _ = next_step(TubeState(step, holds), liquid, MORE)
    if need is NONE:
        declared = liquid.allergens or set()
        for old in (MORE[key] for key in holds if key != liquid.id):
            assert holds[old.id] is not Remains.FILLED
            if holds[old.id] is Remains.TRACES:
                assert old.allergens is not None or declared == set(Allergen)
                assert declared >= (old.allergens or set())


# words


def test_the_words_name_liquid_allergens_alcohol_and_the_cure() -> None:
    said = explain(3, CLEAN, (MILK_PUNCH, LEMON, WINE))
    assert said.startswith(
        "channel 3 still holds Milk punch (milk, nuts), Lemon juice (allergens not checked), "
        "Foyer white (sulphites, 12 % vol): flush it with a cleaner, then with water, 100 g or more each"
    )
    assert "as the cleaner's label says, then purge and prime it" in said
    assert said.endswith("(no flush guarantees that an allergen is gone)")
    assert explain(3, FLUSH, (SYRUP, SPIRIT)) == (
        "channel 3 still holds Sugar syrup, Wings dry spirit (40 % vol): flush it with water, 100 g or more, "
        "then purge and prime it"
    )


# a pour


def _plan(purpose: Purpose, agent: Agent | None = None) -> PourPlan:
    return PourPlan((DosePlan(2, "water", 20.0),), purpose=purpose, agent=agent)


STATES = {
    "purge it": TubeState(ChannelNeed.PURGE),
    "prime it": TubeState(ChannelNeed.PRIME),
    "unfit for drinks: flush it with water": TubeState(ChannelNeed.RINSE),
    "still holds Sugar syrup: flush it with water": TubeState().filled("sugar-syrup"),
    r"still holds Almond syrup \(nuts\): flush it with a cleaner": TubeState().filled("almond-syrup"),
}


@pytest.mark.parametrize("says", STATES)
def test_a_drink_is_refused_with_the_next_step(says: str) -> None:
    with pytest.raises(PlanError, match=f"channel 2 .*{says}"):
        check_ready(_plan(Purpose.DRINK), {2: STATES[says]}, KNOWN)


@pytest.mark.parametrize("says", [says for says in STATES if says != "prime it"])
def test_a_prime_over_cleaner_water_or_another_liquid_is_refused(says: str) -> None:
    with pytest.raises(PlanError, match=says):
        check_ready(_plan(Purpose.PRIME), {2: STATES[says]}, KNOWN)


def test_the_next_steps_and_other_channels_are_open() -> None:
    for tube in STATES.values():
        check_ready(_plan(Purpose.FLUSH, Agent.WATER), {2: tube}, KNOWN)
        check_ready(_plan(Purpose.FLUSH, Agent.CLEANER), {2: tube}, KNOWN)
        check_ready(_plan(Purpose.PURGE), {2: tube}, KNOWN)
        check_ready(_plan(Purpose.DRINK), {1: tube}, KNOWN)
    check_ready(_plan(Purpose.PRIME), {2: TubeState(ChannelNeed.PRIME)}, KNOWN)
    check_ready(_plan(Purpose.DRINK), {2: TubeState().filled("water")}, KNOWN)


# the plan

GLASS_OF_WATER = recipe(dose(WATER, "100 g"))


def _two_of_water() -> Menu:
    """Water on channel 1, and on channel 3, whose bottle would be emptied first."""
    on = {
        1: ChannelFacts(1, "water", bottle(WATER, 700.0, channel=1, id="w1")),
        3: ChannelFacts(3, "water", bottle(WATER, 300.0, channel=3, id="w3")),
    }
    return menu(GLASS_OF_WATER, on=on)


@pytest.mark.parametrize("old", [SYRUP, ALMOND])
def test_a_clean_channel_is_preferred(old: Liquid) -> None:
    plain = judged(_two_of_water(), {1: TubeState().filled("water"), 3: TubeState().filled("water")})
    assert [step.channel for step in compile_recipe(plain, "it").doses] == [3]
    swapped = judged(_two_of_water(), {1: TubeState().filled("water"), 3: TubeState().filled(old.id)})
    drink = compile_recipe(swapped, "it")
    assert ([step.channel for step in drink.doses], drink.blockers) == ([1], ())
    assert (remaining(plain)["it"].now, remaining(swapped)["it"].now) == (10, 7)


@pytest.mark.parametrize(("old", "chosen"), [(SYRUP, 3), (ALMOND, 1), (LEMON, 1)])
def test_a_channel_that_never_held_other_allergens_is_preferred_to_a_cleaned_one(
    old: Liquid, chosen: int
) -> None:
    cleaned = TubeState(holds={old.id: Remains.CLEANED, "water": Remains.FILLED})
    both = judged(_two_of_water(), {1: TubeState().filled("water"), 3: cleaned})
    drink = compile_recipe(both, "it")
    assert ([step.channel for step in drink.doses], drink.blockers) == ([chosen], ())
    without = replace(both, channels={3: both.channels[3]})
    assert [step.channel for step in compile_recipe(without, "it").doses] == [3]


def test_a_channel_whose_liquid_was_never_changed_is_chosen_as_ever() -> None:
    """Lemon juice that nobody checked says nothing against its own tube."""
    on = {
        1: ChannelFacts(1, "lemon-juice", bottle(LEMON, 700.0, channel=1, id="l1")),
        3: ChannelFacts(3, "lemon-juice", bottle(LEMON, 300.0, channel=3, id="l3")),
    }
    base = judged(menu(recipe(dose(LEMON, "100 g")), on=on), {3: TubeState().filled("lemon-juice")})
    assert [step.channel for step in compile_recipe(base, "it").doses] == [3]


def test_where_no_channel_is_clean_the_drink_is_blocked() -> None:
    tubes = {1: TubeState(ChannelNeed.PRIME), 3: TubeState().filled("almond-syrup")}
    only = replace(_two_of_water(), channels={3: _two_of_water().channels[3]})
    (blocker,) = compile_recipe(judged(only, tubes), "it").blockers
    assert (blocker.code, blocker.step) == (Reason.TUBE_HOLDS_ANOTHER, 0)
    said = explain(3, CLEAN, (ALMOND,))
    assert blocker.message == f"{said}; drinks with Still water wait until then"
    assert [b.code for b in compile_recipe(judged(_two_of_water(), tubes), "it").blockers] == [
        Reason.NEEDS_MAINTENANCE
    ]
