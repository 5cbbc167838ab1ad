"""The plan of an evening as a page."""

import re
from dataclasses import replace
from html import unescape
from random import Random

import pytest

from menu_samples import HIGHBALL, SPIRIT, SYRUP, WATER, bottle, channels, dose, ice, menu, top_up
from tarewell.menu.evening import Evening
from tarewell.menu.evening_plan import CARE, EveningPlan, plan_evening
from tarewell.menu.evening_queue import Traffic, simulate
from tarewell.menu.evening_shopping import BottleSize
from tarewell.menu.values import Recipe
from tarewell.printing.evening_page import evening_page
from tarewell.printing.queue_chart import QueueChart
from tarewell.printing.words import listed, mass, money, span, volume

COOLER = Recipe(
    "cooler", "Green Room Cooler", (ice(60), dose(SYRUP, "40 ml"), dose(WATER, "160 ml")), HIGHBALL.id
)
BELL = Recipe("bell", "Second Bell", (dose(SPIRIT, "25 ml"), top_up(WATER, "100 ml")), HIGHBALL.id)
BAR = menu(COOLER, BELL)
EVENING = Evening(
    80,
    0.5,
    1.2,
    {"cooler": 2, "bell": 1},
    peak_share=0.7,
    peak_minutes=8,
    bottle_sizes={SPIRIT.id: (BottleSize(700, 14.0),)},
)


def planned(evening: Evening = EVENING) -> EveningPlan:
    return plan_evening(BAR, [bottle(SYRUP, channel=4)], evening, Random(6).random)


def text_of(html: str) -> str:
    body = re.sub(r"<style>.*?</style>|<[^>]+>", " ", html, flags=re.DOTALL)
    return " ".join(unescape(body).replace("\N{NO-BREAK SPACE}", " ").split())


def test_the_page_tells_what_to_make_to_buy_and_to_mind() -> None:
    text = text_of(evening_page(planned(), "Spring Play", 10.0))
    assert text.startswith(
        "Spring Play – evening plan Spring Play Evening plan for 80 guests, the bar open for 30 min"
    )
    assert "48 drinks, 32 of them without alcohol" in text
    assert "1 × 700 ml Wings dry spirit 400 ml 440 ml 0 ml 14.00" in text
    assert "2.1 kg Ice for the drinks" in text
    assert "l no bottle size known Still water" in text
    assert all(words in text for words in CARE)
    # 16 times 10 ml of ethanol (OIML R 22: 0.78924 g/ml) among 80, at 10 g
    assert "0.2 standard drinks of 10 g ethanol per guest" in text
    assert "126 g of ethanol in all" in text


@pytest.mark.parametrize(
    ("evening", "sentence"),
    [
        (replace(EVENING, guests=30, peak_share=0.0, peak_minutes=0.0), "The machine keeps up"),
        (replace(EVENING, guests=30), "The machine falls behind at the peak and catches up again"),
        (replace(EVENING, guests=300), "The machine does not keep up"),
    ],
)
def test_whether_the_machine_keeps_up_stands_there_in_a_sentence(evening: Evening, sentence: str) -> None:
    assert sentence in text_of(evening_page(planned(evening), "Play", 10.0))


def test_guesses_are_called_so() -> None:
    unknown = {number: replace(facts, flow_g_per_s=0.0) for number, facts in channels([WATER, SYRUP]).items()}
    base = menu(COOLER, on=unknown)
    found = plan_evening(base, [], replace(EVENING, mix={"cooler": 1}, bottle_sizes={}), Random(6).random)
    assert "A flow of 5 g/s is guessed in Green Room Cooler" in text_of(evening_page(found, "Play", 10.0))
    text = text_of(evening_page(planned(), "Play", 10.0))
    assert "Guesses, to be measured at your bar: glass taken off, the next one put on 8 s" in text
    assert "Flows are those that pouring has taught" in text


def test_of_many_recipes_only_the_number_is_told() -> None:
    unknown = {number: replace(facts, flow_g_per_s=0.0) for number, facts in channels([WATER, SYRUP]).items()}
    many = [replace(COOLER, id=f"cooler-{number}") for number in range(6)]
    base = menu(*many, BELL, on={**unknown, 3: channels([WATER, SYRUP, SPIRIT])[3]})
    coolers = {recipe.id: 1.0 for recipe in many}
    for mix, words in ((coolers, "every drink"), ({**coolers, "bell": 1.0}, "6 of the drinks")):
        found = plan_evening(base, [], replace(EVENING, mix=mix, bottle_sizes={}), Random(6).random)
        assert f"is guessed in {words}, since" in text_of(evening_page(found, "Play", 10.0))


def test_a_long_evening_has_its_ticks_in_hours() -> None:
    short, long = (
        QueueChart.of(simulate(Traffic([60.0] * 20, open_s), Random(7).random, 30), open_s)
        for open_s in (7200.0, 86_400.0)
    )
    assert (short.time_unit, long.time_unit) == ("minutes", "hours")
    assert [tick.label for tick in long.times][:3] == ["0", "2", "4"]


def test_what_has_to_be_done_before_is_listed() -> None:
    base = menu(COOLER, BELL, on={1: channels([WATER])[1]})
    found = plan_evening(base, [], EVENING, Random(6).random)
    text = text_of(evening_page(found, "Play", 10.0))
    assert (
        "Before the evening Green Room Cooler: Sugar syrup is assigned to no channel; mount a bottle of it"
        in text
    )
    assert "Before the evening" not in text_of(evening_page(planned(), "Play", 10.0))


def test_names_are_shown_as_text_and_nothing_comes_from_elsewhere() -> None:
    nasty = "<script>alert('x')</script>"
    base = menu(replace(COOLER, name=nasty), liquids=[replace(WATER, name=nasty), SYRUP])
    found = plan_evening(base, [], replace(EVENING, mix={"cooler": 1}, bottle_sizes={}), Random(6).random)
    html = evening_page(found, nasty, 10.0)
    assert "<script" not in html
    assert text_of(html).count(nasty) >= 4
    assert not re.search(r"https?:|\bsrc=|<link|@import", html)


def test_intervals_are_told_of() -> None:
    text = text_of(evening_page(planned(replace(EVENING, hours=1.0, intervals=2)), "Play", 10.0))
    assert "the bar open for 60 min in 2 intervals of 30 min" in text
    assert "70 % of the orders come in the first 8 min of each" in text


@pytest.mark.parametrize("traffic", [Traffic([30.0], 60.0), Traffic([60.0] * 400, 3600.0, 0.9, 300.0)])
def test_the_picture_stays_within_its_frame(traffic: Traffic) -> None:
    queue = simulate(traffic, Random(7).random, 30)
    chart = QueueChart.of(queue, traffic.open_s)
    for path in (chart.often, chart.seldom):
        across = [float(x) for x in re.findall(r"[MH]([\d.]+)", path)]
        heights = [float(y) for y in re.findall(r"(?:M[\d.]+ |V)([\d.]+)", path)]
        assert across == sorted(across)
        assert (across[0], across[-1]) == (chart.left, chart.right)
        assert chart.top <= min(heights) <= max(heights) <= chart.bottom
    assert 1 <= len(chart.times) <= 14
    assert 2 <= len(chart.people) <= 7
    assert chart.left <= chart.peak_x < chart.peak_x + chart.peak_width <= chart.right + 0.1
    assert chart.closing_x <= chart.right


def test_figures_as_people_read_them() -> None:
    said = [span(45), span(99.6), span(420), span(9000), volume(43.4), volume(999.6), mass(60), mass(2592)]
    assert [word.replace("\N{NO-BREAK SPACE}", " ") for word in said] == [
        "45 s",
        "2 min",
        "7 min",
        "2.5 h",
        "43 ml",
        "1.0 l",
        "60 g",
        "2.6 kg",
    ]
    assert (money(None), money(14)) == ("–", "14.00")
    assert [listed([]), listed(["nuts"]), listed(["nuts", "milk", "eggs"])] == [
        "",
        "nuts",
        "nuts, milk and eggs",
    ]
