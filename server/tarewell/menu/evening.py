"""An evening as expected: who comes, what they drink, how the bar works; and its faults."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from math import ceil

from .checks import Fault
from .evening_shopping import BottleSize
from .hands import Hand
from .values import Menu

MAX_GUESTS = 20_000
MAX_HOURS = 24.0
MAX_DRINKS = 20_000
MAX_INTERVALS = 10
MAX_SIZES = 8
MAX_BOTTLE_ML = 100_000
MAX_SHARE = 1e6
_MAX_SHOWN = 1e100


TIMES: Mapping[str, float] = {
    "glass_change_s": 8.0,
    **{kind.time: kind.spec.takes_s for kind in Hand},
    "unknown_flow_g_per_s": 5.0,
}
"""Times at the bar besides the pumps', in s, and the flow of a channel that never poured, in g/s.

All are guesses, no source: measure your own bar.
"""


@dataclass(frozen=True, slots=True)
class Evening:
    """What is expected.

    The bar is open for `hours` in all, in `intervals` of equal length, and each guest drinks
    `drinks_per_guest_h` in an hour of it. `mix` has a share above 0 for each recipe, on any scale. In each
    interval `peak_share` of the orders (0 to 1) come in the first `peak_minutes`, the rest evenly after that;
    0 and 0 means evenly throughout. `reserve` is what is bought beyond the need, as a share of it.
    `bottle_sizes` has the sizes that are sold, by liquid; `times` overrides entries of `TIMES`.
    """

    guests: int
    hours: float
    drinks_per_guest_h: float
    mix: Mapping[str, float]
    intervals: int = 1
    peak_share: float = 0.0
    peak_minutes: float = 0.0
    reserve: float = 0.1
    bottle_sizes: Mapping[str, tuple[BottleSize, ...]] = field(default_factory=dict)
    times: Mapping[str, float] = field(default_factory=dict)

    @property
    def drinks(self) -> int:
        """The number of drinks, rounded up."""
        return max(ceil(round(self.guests * self.hours * self.drinks_per_guest_h, 6)), 1)

    @property
    def all_times(self) -> Mapping[str, float]:
        """All of `TIMES` with this evening's own values."""
        return {**TIMES, **self.times}

    @property
    def interval_s(self) -> float:
        """How long the bar is open in one interval."""
        return self.hours * 3600 / self.intervals


def faults_of_evening(menu: Menu, evening: Evening) -> list[Fault]:
    """Every fault, with a JSON pointer to the field of `Evening`."""
    return [
        *_figures(evening),
        *_times(evening),
        *_mix(menu, evening),
        *_peak(evening),
        *_sizes(menu, evening),
    ]


def _figures(evening: Evening) -> Iterator[Fault]:
    yield from _range("/guests", evening.guests, 1, MAX_GUESTS, "", "say how many come")
    per_guest = "give what one guest drinks in an hour, such as 1.2"
    yield from _range("/drinks_per_guest_h", evening.drinks_per_guest_h, 0.01, 10, "drinks", per_guest)
    yield from _range("/intervals", evening.intervals, 1, MAX_INTERVALS, "", "1 is a bar that is open once")
    yield from _range("/reserve", evening.reserve, 0, 2, "", "0.1 is a tenth more than is needed")
    hours = list(_range("/hours", evening.hours, 1 / 60, MAX_HOURS, "h", "20 minutes are 0.333"))
    yield from hours
    guests = min(evening.guests, MAX_GUESTS)  # more is reported above, and may overflow a float
    product = guests * evening.hours * evening.drinks_per_guest_h
    if not hours and product > MAX_DRINKS:
        yield Fault(
            "/guests",
            f"at most {MAX_DRINKS} drinks can be planned, got {product:.0f}; plan the evening in parts",
        )


def _times(evening: Evening) -> Iterator[Fault]:
    for name, value in evening.times.items():
        pointer = f"/times/{name[:60]}"
        if name not in TIMES:
            yield Fault(pointer, f"there is no time {name[:60]!r}; the times are {', '.join(TIMES)}")
            continue
        low, unit = (0.1, "g/s") if name.endswith("g_per_s") else (0.0, "s")
        yield from _range(pointer, value, low, 600, unit, "measure it at your bar")


def _mix(menu: Menu, evening: Evening) -> Iterator[Fault]:
    for recipe_id, share in evening.mix.items():
        pointer = f"/mix/{recipe_id[:60]}"
        if recipe_id not in menu.recipes:
            known = ", ".join(sorted(menu.recipes)[:12]) or "none"
            yield Fault(pointer, f"there is no recipe {recipe_id[:60]!r}; the recipes are {known}")
        if not 0 <= share <= MAX_SHARE:
            yield Fault(pointer, f"a share must be from 0 to {MAX_SHARE:g}, got {_shown(share)}; correct it")
    if not any(share > 0 for share in evening.mix.values()):
        yield Fault("/mix", "the mix sums to 0, so there is nothing to plan; give a recipe a share above 0")


def _peak(evening: Evening) -> Iterator[Fault]:
    yield from _range("/peak_share", evening.peak_share, 0, 1, "", "0.7 is 70 % of the orders")
    minutes = list(
        _range("/peak_minutes", evening.peak_minutes, 0, 60 * MAX_HOURS, "min", "leave it out for none")
    )
    yield from minutes
    if minutes:
        return
    if (evening.peak_share > 0) != (evening.peak_minutes > 0):
        yield Fault("/peak_minutes", "peak_share and peak_minutes go together; give both, or neither")
    elif not 1 <= evening.intervals <= MAX_INTERVALS:
        return
    elif evening.peak_minutes and evening.peak_minutes * 60 >= evening.interval_s:
        yield Fault(
            "/peak_minutes",
            f"the peak must be shorter than an interval of {evening.interval_s / 60:.4g} min, got "
            f"{evening.peak_minutes:g} min; make it shorter, or leave peak_share and peak_minutes out",
        )


def _sizes(menu: Menu, evening: Evening) -> Iterator[Fault]:
    for liquid_id, sizes in evening.bottle_sizes.items():
        pointer = f"/bottle_sizes/{liquid_id[:60]}"
        if liquid_id not in menu.liquids:
            yield Fault(pointer, f"there is no liquid {liquid_id[:60]!r}; look up its id, or add it")
        if not 1 <= len(sizes) <= MAX_SIZES:
            yield Fault(pointer, f"a liquid has 1 to {MAX_SIZES} sizes, got {len(sizes)}; leave some out")
        for index, size in enumerate(sizes):
            yield from _range(
                f"{pointer}/{index}/ml", size.ml, 10, MAX_BOTTLE_ML, "ml", "700 is a bottle of 0.7 l"
            )
            if size.price is not None:
                yield from _range(f"{pointer}/{index}/price", size.price, 0, 1e6, "", "correct the price")


def _range(pointer: str, value: float, low: float, high: float, unit: str, cure: str) -> Iterator[Fault]:
    if not low <= value <= high:
        unit = f" {unit}" if unit else ""
        yield Fault(
            pointer,
            f"{pointer[1:]} must be from {low:.3g} to {high:g}{unit}, got {_shown(value)}; {cure}",
        )


def _shown(value: float) -> str:
    """A number for people; an integer may be larger than any float."""
    return f"{value:g}" if not abs(value) > _MAX_SHOWN else f"a number beyond {_MAX_SHOWN:g}"
