"""Bottles to buy, against trying every combination."""

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tarewell.menu.evening_shopping import EXACT_ML, BottleSize, Bought, price_of, to_buy


def counts(bought: tuple[Bought, ...]) -> dict[int, int]:
    return {item.size.ml: item.count for item in bought}


def test_the_cheapest_combination_is_taken() -> None:
    sizes = [BottleSize(700, 10.0), BottleSize(1000, 16.0)]
    assert counts(to_buy(1500, sizes, None)) == {700: 1, 1000: 1}
    assert counts(to_buy(700, sizes, None)) == {700: 1}
    assert counts(to_buy(2000, sizes, None)) == {700: 3}


def test_of_equally_cheap_ones_that_with_the_fewest_bottles() -> None:
    assert counts(to_buy(3000, [BottleSize(500), BottleSize(1500), BottleSize(1000)], 8.0)) == {1500: 2}


def test_without_prices_the_one_that_holds_least() -> None:
    assert counts(to_buy(1400, [BottleSize(1000), BottleSize(700)], None)) == {700: 2}


def test_a_large_bottle_may_be_cheaper_than_just_enough() -> None:
    assert counts(to_buy(600, [BottleSize(700, 14.0), BottleSize(1500, 12.0)], None)) == {1500: 1}


@pytest.mark.parametrize(
    ("need_ml", "sizes"), [(0.0, [BottleSize(700)]), (-50.0, [BottleSize(700)]), (9.0, [])]
)
def test_nothing_is_bought_where_nothing_lacks_or_no_size_is_known(
    need_ml: float, sizes: list[BottleSize]
) -> None:
    assert to_buy(need_ml, sizes, 1.0) == ()


def test_rounding_buys_no_bottle() -> None:
    assert counts(to_buy(700 + 1e-9, [BottleSize(700)], None)) == {700: 1}


def test_prices() -> None:
    bought = (Bought(BottleSize(1000, 16.0), 2), Bought(BottleSize(500), 3))
    assert price_of(bought, 20.0) == pytest.approx(62)
    assert price_of(bought, None) is None
    assert price_of((), None) == 0


def test_much_more_than_is_weighed_up_is_still_enough_and_not_a_bottle_too_much() -> None:
    need_ml = 20 * EXACT_ML + 1.0
    bought = to_buy(need_ml, [BottleSize(997, 10.0), BottleSize(701, 7.5)], None)
    holds = sum(item.size.ml * item.count for item in bought)
    assert need_ml <= holds < need_ml + 701


SIZES = st.lists(
    st.builds(BottleSize, st.sampled_from([200, 350, 500, 700, 750, 1000, 1500]), st.integers(1, 40)),
    min_size=1,
    max_size=3,
    unique_by=lambda size: size.ml,
)


@given(st.integers(1, 4000), SIZES)
def test_no_other_combination_is_cheaper(need_ml: int, sizes: list[BottleSize]) -> None:
    bought = to_buy(need_ml, sizes, None)
    assert sum(item.size.ml * item.count for item in bought) >= need_ml
    tried = [
        (sum(size.price * count for size, count in zip(sizes, taken, strict=True) if size.price), sum(taken))
        for taken in product(*(range(need_ml // size.ml + 2) for size in sizes))
        if sum(size.ml * count for size, count in zip(sizes, taken, strict=True)) >= need_ml
    ]
    assert (price_of(bought, None), sum(item.count for item in bought)) == min(tried)
