"""Amounts as people write them."""

from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tarewell.quantities.errors import QuantityError
from tarewell.quantities.units import Amount, AmountKind, SmallMeasures, parse_amount, resized

LIBRARY_NAME = {
    "oz": "US_fluid_ounce",
    "imp oz": "imperial_fluid_ounce",
    "tsp": "teaspoon",
    "tbsp": "tablespoon",
    "cl": "centiliter",
    "dl": "deciliter",
    "l": "liter",
    "ml": "milliliter",
}


def test_volumes_agree_with_the_library_pint() -> None:
    registry = pint.UnitRegistry(non_int_type=Fraction)
    for unit, name in LIBRARY_NAME.items():
        amount = parse_amount(f"1 {unit}")
        assert amount.kind is AmountKind.VOLUME_ML
        assert amount.value == pytest.approx(float(registry(name).to("milliliter").magnitude), rel=1e-14)


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("45 ml", Amount(45, AmountKind.VOLUME_ML)),
        ("45ml", Amount(45, AmountKind.VOLUME_ML)),
        ("  45   ML ", Amount(45, AmountKind.VOLUME_ML)),
        ("+45 millilitres", Amount(45, AmountKind.VOLUME_ML)),
        ("4 cl", Amount(40, AmountKind.VOLUME_ML)),
        (".5 l", Amount(500, AmountKind.VOLUME_ML)),
        ("5. cl", Amount(50, AmountKind.VOLUME_ML)),
        ("120 g", Amount(120, AmountKind.MASS_G)),
        ("0.2 kg", Amount(200, AmountKind.MASS_G)),
        ("2 parts", Amount(2, AmountKind.PARTS)),
        ("1 part", Amount(1, AmountKind.PARTS)),
        ("1 1/2 parts", Amount(1.5, AmountKind.PARTS)),
        ("3/4 part", Amount(0.75, AmountKind.PARTS)),
        ("½ part", Amount(0.5, AmountKind.PARTS)),
        ("2½ parts", Amount(2.5, AmountKind.PARTS)),
        ("1 dash", Amount(0.92, AmountKind.VOLUME_ML)),
        ("2 dashes", Amount(1.84, AmountKind.VOLUME_ML)),
        ("1 barspoon", Amount(2.5, AmountKind.VOLUME_ML)),
        ("2 Bar Spoons", Amount(5, AmountKind.VOLUME_ML)),
    ],
)
def test_what_is_understood(text: str, amount: Amount) -> None:
    assert parse_amount(text) == amount


@pytest.mark.parametrize(
    "text", ["1.5 oz", "1 1/2 oz", "1½ fl oz", "1.5 fl. oz.", "1.5 US fl oz", "1.5 ounces"]
)
def test_the_ounce_is_the_us_fluid_ounce(text: str) -> None:
    assert parse_amount(text).value == pytest.approx(44.36029434375, rel=1e-14)


@pytest.mark.parametrize("text", ["1 imp oz", "1 imperial fl oz", "1 Imperial fluid ounce", "1 imp. fl. oz."])
def test_the_imperial_ounce(text: str) -> None:
    assert parse_amount(text).value == pytest.approx(28.4130625, rel=1e-14)


@pytest.mark.parametrize(("text", "ml"), [("5/4 imp oz", 35.52), ("1 imp oz", 28.41), ("5/6 imp oz", 23.68)])
def test_old_british_measures_of_spirits(text: str, ml: float) -> None:
    # a quarter, a fifth and a sixth of a gill of five imperial fluid ounces [D2]
    assert parse_amount(text).value == pytest.approx(ml, abs=0.005)


def test_sizes_of_the_house_hold_for_amounts_that_were_read_before() -> None:
    house = SmallMeasures(dash_ml=0.6, barspoon_ml=5)
    for text, ml in (("2 dashes", 1.2), ("1 Bar Spoon", 5), ("1 barspoon", 5), ("1 tsp", 4.92892159375)):
        assert resized(parse_amount(text), text, house) == Amount(pytest.approx(ml), AmountKind.VOLUME_ML)
    assert resized(Amount(2, AmountKind.PARTS), "2 parts", house) == Amount(2, AmountKind.PARTS)


def test_dash_and_barspoon_as_the_house_measures_them() -> None:
    small = SmallMeasures(dash_ml=0.6, barspoon_ml=5)
    assert parse_amount("2 dashes", small).value == pytest.approx(1.2)
    assert parse_amount("1 barspoon", small).value == 5


def test_a_dash_is_close_to_a_thirty_second_of_an_ounce() -> None:
    assert parse_amount("1 dash").value == pytest.approx(29.5735295625 / 32, abs=0.005)  # common practice


def test_a_barspoon_is_close_to_half_a_teaspoon() -> None:
    assert parse_amount("1 barspoon").value == pytest.approx(4.92892159375 / 2, abs=0.05)  # common practice


@pytest.mark.parametrize(
    "text",
    ["", "   ", "45", "1,5 oz", "20 °C", "1.2.3 ml", "45 5", "x" * 300, "1/2", "1" * 100 + " ml", "٤ ml"],
)
def test_not_a_number_and_a_unit(text: str) -> None:
    with pytest.raises(
        QuantityError, match=r"a number and a unit, such as 1.5 oz .*one of the units ml, cl"
    ) as caught:
        parse_amount(text)
    assert len(str(caught.value)) < 330


@pytest.mark.parametrize("text", ["oz", "nan ml", "inf oz", "-oz", "ml 45"])
def test_no_number(text: str) -> None:
    with pytest.raises(QuantityError, match="begin with a number"):
        parse_amount(text)


@pytest.mark.parametrize(
    "text", ["3 bananas", "1e3 ml", "2 m", "5 %", "1 oz <b>", "4 pints", "1 ml ml", "2 ºC"]
)
def test_unknown_unit(text: str) -> None:
    with pytest.raises(QuantityError, match=r"one of (the units )?ml, cl, dl, l, oz"):
        parse_amount(text)


@pytest.mark.parametrize("text", ["-3 ml", "−3 ml", "-½ oz", "- 1/2 oz", "0 ml", "0 parts", "0/5 cl"])
def test_not_above_zero(text: str) -> None:
    with pytest.raises(QuantityError, match="above 0"):
        parse_amount(text)


def test_nothing_below_the_line() -> None:
    with pytest.raises(QuantityError, match="denominator"):
        parse_amount("1/0 oz")


@pytest.mark.parametrize("text", ["11 l", "10.1 kg", "1001 parts", "9999999999999999999999999 ml"])
def test_absurdly_much(text: str) -> None:
    with pytest.raises(QuantityError, match=r"at most .*check number and unit"):
        parse_amount(text)


@pytest.mark.parametrize("size_ml", [0, -1, 100, float("nan")])
def test_sizes_that_cannot_be(size_ml: float) -> None:
    with pytest.raises(QuantityError, match="size of a dash"):
        SmallMeasures(dash_ml=size_ml)
    with pytest.raises(QuantityError, match="size of a barspoon"):
        SmallMeasures(barspoon_ml=size_ml)


@given(st.text(max_size=80))
def test_any_text_is_an_amount_or_a_clear_error(text: str) -> None:
    try:
        amount = parse_amount(text)
    except QuantityError as error:
        assert ";" in str(error)
    else:
        assert amount.value > 0


@given(st.decimals(min_value="0.01", max_value="9999", places=2))
def test_millilitres_are_kept(value: object) -> None:
    assert parse_amount(f"{value} ml").value == pytest.approx(float(str(value)))
