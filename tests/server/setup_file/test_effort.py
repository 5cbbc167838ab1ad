"""Reading a set-up file takes an effort in proportion to its length, whatever is wrong with it."""

import sys
from collections.abc import Callable
from types import FrameType
from typing import Any

import pytest

from tarewell.quantities.units import SmallMeasures
from tarewell.setup_file.lines import unreadable
from tarewell.setup_file.reading import SetupFaultsError, read_setup
from tarewell.setup_file.setup import Setup


def calls_of(act: Callable[[], Any]) -> int:
    """How many calls an act makes: its effort, on whatever machine and however busy that is."""
    count = 0

    def note(_frame: FrameType, event: str, _argument: Any) -> None:
        nonlocal count
        count += event in ("call", "c_call")

    before = sys.getprofile()
    sys.setprofile(note)
    try:
        act()
    finally:
        sys.setprofile(before)
    return count


def refused(text: str, known: Setup) -> int:
    """How many faults a text has."""
    with pytest.raises(SetupFaultsError) as refused:
        read_setup(text, known, SmallMeasures())
    return refused.value.count


@pytest.mark.parametrize(
    "entry",
    [
        "[liquids.L_{0}]\n",
        "[liquids.liquid-{0}]\n",
        '[recipes.r-{0}]\nname = "R"\nglass_id = "none"\n[[recipes.r-{0}.lines]]\nliquid_id = "l-{0}"\n',
        '[bottles.b-{0}]\nliquid_id = "l-{0}"\nchannel = 1\n',
        '[channels.{0}]\nliquid_id = "l-{0}"\n',
    ],
    ids=["bad ids", "empty liquids", "recipes of nothing", "bottles of nothing", "no channels"],
)
def test_four_times_the_faults_take_four_times_the_effort(entry: str) -> None:
    def text(count: int) -> str:
        return "format = 1\n" + "".join(entry.format(number) for number in range(count))

    refused(text(2), Setup())  # what is made once is made here
    few, many = (calls_of(lambda count=count: refused(text(count), Setup())) for count in (100, 400))
    assert refused(text(400), Setup()) >= 400
    assert many < 5 * few


@pytest.mark.parametrize(
    ("quote", "inside"),
    [('"', '\\"'), ('"', "'"), ("'", '"'), ('"""', '\\"""'), ('"""', "\\'"), ("'''", '\\"'), ("'''", '"""')],
)
def test_a_string_that_nobody_closes_is_looked_at_once(quote: str, inside: str) -> None:
    few, many = (calls_of(lambda count=count: unreadable(quote + inside * count)) for count in (100, 400))
    assert many == few
