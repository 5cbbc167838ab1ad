"""Strength, ethanol, sugar and standard drinks. Marks: [D2] read in a summary or transcription, [L] computed
elsewhere."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tarewell.quantities.composition import WATER, Composition, of_brix, of_label
from tarewell.quantities.errors import QuantityError
from tarewell.quantities.strength import STANDARD_DRINK_G, Content, drink_strength, standard_drink_g
from tarewell.quantities.units import parse_amount

SPIRIT = Content(of_label(40))


def ml_of(percent_vol: float, volume_ml: float) -> tuple[Content, float]:
    composition = of_label(percent_vol)
    return Content(composition), volume_ml * composition.density_g_per_ml()


# From each country's definition [D2] with 789.24 kg/m³ [L]: volume, % vol, grams, country, drinks.
SERVINGS = [
    ("12 oz", 5, 14.0044, "US", 1.0),
    ("5 oz", 12, 14.0044, "US", 1.0),
    ("1.5 oz", 40, 14.0044, "US", 1.0),
    ("0.6 oz", 100, 14.0044, "US", 1.0),
    ("25 ml", 40, 7.8924, "UK", 1.0),
    ("341 ml", 5, 13.4565, "CA", 1.0),
    ("142 ml", 12, 13.449, "CA", 1.0),
    ("43 ml", 40, 13.575, "CA", 1.009),
    ("12.6704 ml", 100, 10.0, "AU", 1.0),
    ("12.6704 ml", 100, 10.0, "NZ", 1.0),
    ("17.7386 ml", 100, 14.0, "US", 1.0),
]


@pytest.mark.parametrize(("serving", "percent_vol", "ethanol_g", "country", "drinks"), SERVINGS)
def test_standard_drinks(
    serving: str, percent_vol: float, ethanol_g: float, country: str, drinks: float
) -> None:
    content, mass_g = ml_of(percent_vol, parse_amount(serving).value)
    drink = drink_strength([content], [mass_g])
    assert drink.ethanol_g == pytest.approx(ethanol_g, abs=6e-4)
    assert drink.standard_drinks(standard_drink_g(country)) == pytest.approx(drinks, abs=1.1e-3)


def test_the_uk_unit_is_8_g_in_round_numbers() -> None:
    assert STANDARD_DRINK_G["UK"] == pytest.approx(7.89, abs=0.005)  # 10 ml [D2]


def test_label_formula_of_australia_and_new_zealand() -> None:
    # standard drinks = litres x % vol x 0.789 [D2]
    content, mass_g = ml_of(13.5, 750)
    drinks = drink_strength([content], [mass_g]).standard_drinks(standard_drink_g("au"))
    assert drinks == pytest.approx(0.75 * 13.5 * 0.789, rel=4e-4)


def test_a_standard_drink_of_ones_own_size() -> None:
    content, mass_g = ml_of(40, 50)
    assert drink_strength([content], [mass_g]).standard_drinks(12) == pytest.approx(
        20 * 0.78924 / 12, rel=1e-5
    )


@pytest.mark.parametrize("size_g", [0, -8, 200, float("nan")])
def test_standard_drinks_that_cannot_be(size_g: float) -> None:
    with pytest.raises(QuantityError, match="standard drink"):
        drink_strength([SPIRIT], [30]).standard_drinks(size_g)


def test_unknown_country() -> None:
    with pytest.raises(QuantityError, match=r"US, UK, AU, NZ, CA.*give the grams"):
        standard_drink_g("XX")


@pytest.mark.parametrize(
    ("percent_vol", "g_per_l"), [(5, 39.462), (12, 94.709), (20, 157.848), (40, 315.696), (96, 757.670)]
)
def test_ethanol_in_a_litre(percent_vol: float, g_per_l: float) -> None:
    content, mass_g = ml_of(percent_vol, 1000)  # OIML R 22 [L]
    assert drink_strength([content], [mass_g]).ethanol_g == pytest.approx(g_per_l, abs=6e-4)


def test_equal_volumes_of_ethanol_and_water_contract() -> None:
    """A wine encyclopaedia gives 192.75 l from 100 l each, 51.8 % vol [D2], and others about 192 to 193."""
    ethanol, water = ml_of(100, 100), ml_of(0, 100)
    drink = drink_strength([ethanol[0], water[0]], [ethanol[1], water[1]])
    assert drink.volume_ml == pytest.approx(192.75, abs=0.3)
    assert drink.percent_vol == pytest.approx(51.8, abs=0.1)
    assert drink.contraction_ml == pytest.approx(200 - drink.volume_ml, rel=1e-9)
    assert drink.contraction_uncertainty_ml == 0


def test_halving_a_spirit_by_the_table() -> None:
    # R 22: 40 % vol is 33.2996 % by mass; 16.6498 % by mass lies between 20 and 25 % vol in the table [L]
    drink = drink_strength([SPIRIT, Content(WATER)], [50, 50])
    assert drink.percent_mass == pytest.approx(33.2996 / 2, abs=1e-4)
    assert drink.percent_vol == pytest.approx(20 + 5 * (16.6498 - 16.2135) / (20.3812 - 16.2135), abs=0.01)


def test_contraction_is_within_the_bounds_stated() -> None:
    def share(a: Composition, b: Composition) -> list[float]:
        mixes = (drink_strength([Content(a), Content(b)], [i, 100 - i]) for i in range(1, 100))
        return [mix.contraction_ml / (mix.volume_ml + mix.contraction_ml) for mix in mixes]

    assert 0.035 < max(share(of_label(100), WATER)) < 0.0361
    assert 0.001 < max(share(of_label(40), WATER)) < 0.0017
    assert -0.0013 < min(share(of_label(20), WATER)) < -0.001


composition = st.builds(of_label, st.floats(0, 60), st.floats(0, 500))
spirit = st.builds(of_label, st.floats(0, 100))
mass = st.floats(0.1, 1000)


@given(st.lists(st.tuples(spirit, mass), min_size=1, max_size=6))
def test_a_mixture_of_spirits_lies_between_its_parts(doses: list[tuple[Composition, float]]) -> None:
    drink = drink_strength([Content(part) for part, _ in doses], [mass_g for _, mass_g in doses])
    strengths = [part.strength_percent_vol for part, _ in doses]
    assert min(strengths) - 1e-9 <= drink.percent_vol <= max(strengths) + 1e-9


@given(st.lists(st.tuples(composition, mass), min_size=1, max_size=6))
def test_a_mixture_lies_between_its_parts_by_mass(doses: list[tuple[Composition, float]]) -> None:
    drink = drink_strength([Content(part) for part, _ in doses], [mass_g for _, mass_g in doses])
    by_mass = [100 * part.ethanol for part, _ in doses]
    assert min(by_mass) - 1e-9 <= drink.percent_mass <= max(by_mass) + 1e-9
    assert drink.mass_g == pytest.approx(sum(mass_g for _, mass_g in doses))
    assert abs(drink.contraction_ml) < 0.03 * drink.volume_ml


@given(composition, mass, mass)
def test_mixing_a_liquid_with_itself_changes_nothing(part: Composition, one_g: float, other_g: float) -> None:
    drink = drink_strength([Content(part), Content(part)], [one_g, other_g])
    assert drink.contraction_ml == pytest.approx(0, abs=1e-9)
    assert drink.percent_vol == pytest.approx(part.strength_percent_vol, abs=1e-9)


def test_planned_and_delivered_differ_by_their_masses() -> None:
    contents = [SPIRIT, Content(of_brix(65)), Content(of_brix(10))]
    planned = drink_strength(contents, [40, 20, 100])
    delivered = drink_strength(contents, [44, 0, 100])
    assert planned.sugar_g == pytest.approx(23.0)
    assert delivered.sugar_g == pytest.approx(10.0)
    assert delivered.ethanol_g == pytest.approx(1.1 * planned.ethanol_g)


def test_a_weighed_density_changes_the_volume_and_not_the_ethanol() -> None:
    plain = drink_strength([Content(of_brix(10))], [100])
    weighed = drink_strength([Content(of_brix(10), density_20_g_per_ml=1.05)], [100])
    assert plain.volume_ml == pytest.approx(100 / 1.03811, rel=1e-5)  # ICUMSA [L]
    assert weighed.volume_ml == pytest.approx(100 / 1.05)
    assert weighed.ethanol_g == plain.ethanol_g == 0


def test_the_bound_of_the_mixing_rule_is_stated() -> None:
    drink = drink_strength([Content(of_label(20, 250))], [100])
    assert 0 < drink.contraction_uncertainty_ml < 0.01 * drink.volume_ml


@pytest.mark.parametrize("masses_g", [[], [0.0, 0.0]])
def test_an_empty_glass(masses_g: list[float]) -> None:
    drink = drink_strength([SPIRIT] * len(masses_g), masses_g)
    assert (drink.volume_ml, drink.percent_vol, drink.percent_mass, drink.ethanol_g) == (0, 0, 0, 0)


@pytest.mark.parametrize("mass_g", [-1, float("nan"), float("inf")])
def test_masses_that_cannot_be(mass_g: float) -> None:
    with pytest.raises(QuantityError, match="mass of a dose"):
        drink_strength([SPIRIT], [mass_g])


def test_a_mass_for_each_liquid() -> None:
    with pytest.raises(QuantityError, match="got 1 for 2; give 0 g"):
        drink_strength([SPIRIT, SPIRIT], [30])
