from dataclasses import replace

from menu_samples import WATER
from tarewell.menu.colours import colours_of


def apart(one: str, other: str) -> int:
    """The largest difference of two colours in red, green or blue, of 255."""
    parts = [[int(colour[at : at + 2], 16) for at in (1, 3, 5)] for colour in (one, other)]
    return max(abs(a - b) for a, b in zip(*parts, strict=True))


def test_no_two_of_two_dozen_liquids_look_alike() -> None:
    liquids = [replace(WATER, id=f"cordial-{number}") for number in range(24)]
    found = list(colours_of(liquids).values())
    assert min(apart(one, other) for at, one in enumerate(found) for other in found[:at]) >= 30


def test_a_liquid_keeps_the_colour_that_somebody_gave_it() -> None:
    given = replace(WATER, colour="#0a0b0c")
    assert colours_of([given, replace(WATER, id="soda")])["water"] == "#0a0b0c"


def test_a_colour_does_not_depend_on_the_order_of_the_list() -> None:
    liquids = [replace(WATER, id=f"cordial-{number}") for number in range(30)]
    assert colours_of(liquids) == colours_of(reversed(liquids))
