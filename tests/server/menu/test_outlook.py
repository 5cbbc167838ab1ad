from dataclasses import replace

import pytest

from menu_samples import SPIRIT, SYRUP, WATER, bottle, channels, dose, menu, recipe
from tarewell.menu.outlook import DrawnLately, outlook, runs_out_first
from tarewell.quantities.units import SmallMeasures

SMALL = SmallMeasures()
SOUR = replace(recipe(dose(SPIRIT, "40 g"), dose(SYRUP, "20 g")), id="sour", name="Sour")
SHORT = replace(recipe(dose(SPIRIT, "25 g")), id="short", name="A short one")
RETIRED = replace(SHORT, id="retired", active=False)


def test_a_bottle_is_good_for_so_many_of_each_drink() -> None:
    bar = menu(SOUR, SHORT, RETIRED, on=channels([SPIRIT, SYRUP, WATER], content_g=130.0))
    spirit, syrup, water = outlook(bar, DrawnLately({}), SMALL)
    assert [(left.name, left.dose_g, left.count) for left in spirit.drinks] == [
        ("A short one", 25.0, 5),
        ("Sour", 40.0, 3),
    ]
    assert [(left.name, left.count) for left in syrup.drinks] == [("Sour", 6)]
    assert water.drinks == ()
    assert runs_out_first([spirit, syrup, water]) is None


@pytest.mark.parametrize(
    ("ago_s", "lasts_s"),
    [
        (3600.0, 7200.0),  # 100 g in an hour, 200 g left
        (1800.0, 3600.0),  # the same since half an hour ago
        (5.0, 1200.0),  # the first drink of the evening counts as one in 10 min
    ],
)
def test_the_pace_is_that_of_the_last_hour(ago_s: float, lasts_s: float) -> None:
    bar = menu(SOUR, on=channels([SPIRIT, SYRUP], content_g=200.0))
    found = outlook(bar, DrawnLately({1: 100.0, 2: 50.0}, ago_s), SMALL)
    assert [item.lasts_s for item in found] == pytest.approx([lasts_s, 2 * lasts_s])
    first = runs_out_first(found)
    assert first is not None
    assert first.channel.number == 1


def test_a_channel_without_a_bottle_is_good_for_nothing() -> None:
    hung = channels([SPIRIT, SYRUP], content_g=200.0)
    hung[1] = replace(hung[1], bottle=None)
    spirit, _ = outlook(menu(SOUR, on=hung), DrawnLately({}), SMALL)
    assert [left.count for left in spirit.drinks] == [0]
    assert bottle(SPIRIT).content_g > 0
