"""Which bottles to buy for a volume: the cheapest combination of the sizes that are sold."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, gcd

EXACT_ML = 20_000
"""Up to here every combination is compared; the rest comes in whole bottles of the best size."""

_PER_UNIT_OF_MONEY = 1000
_MAX_BOTTLES = 1_000_000
"""More bottles than any combination has, so that prices decide first, then bottles."""


@dataclass(frozen=True, slots=True)
class BottleSize:
    """A size that is sold, in whole ml, with its price in the user's own currency (None: not known)."""

    ml: int
    price: float | None = None


@dataclass(frozen=True, slots=True)
class Bought:
    """A number of bottles of one size."""

    size: BottleSize
    count: int


def to_buy(need_ml: float, sizes: Sequence[BottleSize], cost_per_l: float | None) -> tuple[Bought, ...]:
    """The cheapest combination that holds at least `need_ml`; of equally cheap ones, the one with the
    fewest bottles. Largest size first; empty where nothing is needed or no size is known.

    A size without a price costs by `cost_per_l`; where that is not known either, the combination that holds
    least counts as the cheapest.
    """
    need_ml = round(need_ml, 6)
    if need_ml <= 0 or not sizes:
        return ()
    weights = _weights(sizes, cost_per_l)
    best = min(range(len(sizes)), key=lambda number: weights[number] / sizes[number].ml)
    whole = max(ceil((need_ml - EXACT_ML) / sizes[best].ml), 0)
    counts = _cheapest(need_ml - whole * sizes[best].ml, [size.ml for size in sizes], weights)
    counts[best] += whole
    bought = [Bought(size, count) for size, count in zip(sizes, counts, strict=True) if count]
    return tuple(sorted(bought, key=lambda item: -item.size.ml))


def price_of(bought: Sequence[Bought], cost_per_l: float | None) -> float | None:
    """Their cost; None where a price is not known."""
    total = 0.0
    for item in bought:
        price = item.size.price
        if price is None:
            if cost_per_l is None:
                return None
            price = cost_per_l * item.size.ml / 1000
        total += price * item.count
    return total


def _weights(sizes: Sequence[BottleSize], cost_per_l: float | None) -> list[int]:
    """The cost of a bottle of each size, in whole numbers so that equal sums are equal."""
    prices = [price_of([Bought(size, 1)], cost_per_l) for size in sizes]
    known = [round(price * _PER_UNIT_OF_MONEY) for price in prices if price is not None]
    return known if len(known) == len(sizes) else [size.ml for size in sizes]


def _cheapest(need_ml: float, sizes_ml: Sequence[int], weights: Sequence[int]) -> list[int]:
    """How many of each, by dynamic programming over the volume in steps of the sizes' common divisor."""
    step_ml = gcd(*sizes_ml)
    cells = max(ceil(need_ml / step_ml), 0)
    options = [
        (size // step_ml, weight * _MAX_BOTTLES + 1, number)
        for number, (size, weight) in enumerate(zip(sizes_ml, weights, strict=True))
    ]
    none = max(steps for steps, _, _ in options)  # this much of the list means "nothing is missing any more"
    total, last = [0] * (none + cells), [-1] * (none + cells)
    for cell in range(none, none + cells):
        total[cell], last[cell] = min(
            [(total[cell - steps] + cost, number) for steps, cost, number in options]
        )
    counts = [0] * len(sizes_ml)
    cell = none + cells - 1
    while cell >= none:
        counts[last[cell]] += 1
        cell -= options[last[cell]][0]
    return counts
