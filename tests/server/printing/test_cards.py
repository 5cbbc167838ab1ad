"""Recipe cards: everything that has to stand on them does, in words, whatever names are made of."""

import re
from dataclasses import replace
from html.parser import HTMLParser
from typing import Any

import pytest

from menu_samples import (
    ALMOND,
    HIGHBALL,
    LEMON,
    LIQUIDS,
    SPIRIT,
    SYRUP,
    WATER,
    WINE,
    dose,
    ice,
    menu,
    recipe,
    top_up,
)
from tarewell.dosing.maintenance import ChannelNeed, TubeState
from tarewell.menu.allergens import Allergen
from tarewell.menu.compiling import compile_recipe
from tarewell.menu.hands import Hand, HandStep
from tarewell.menu.readiness import judged
from tarewell.menu.values import Liquid, Recipe, RecipeDose
from tarewell.printing.cards import SLOTS, RecipeCard, cards_page

NASTY = '<script>alert("Act II")</script> & <b>bold</b> \N{PERFORMING ARTS}'


class Words(HTMLParser):
    """The text that a reader sees, and every tag of the page."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.text, self.tags, self._hidden = "", set[str](), False
        self.feed(html)
        self.text = " ".join(self.text.replace("\N{NO-BREAK SPACE}", " ").split())

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        self.tags.add(tag)
        self._hidden = tag in ("style", "title")

    def handle_endtag(self, tag: str) -> None:
        self._hidden = False

    def handle_data(self, data: str) -> None:
        self.text += "" if self._hidden else data


def words(*steps: RecipeDose | HandStep, liquids: tuple[Liquid, ...] = LIQUIDS, **more: Any) -> str:
    base = menu(recipe(*steps, **more), liquids=liquids)
    return Words(cards_page(base, [compile_recipe(base, "it")], 10.0)).text


def test_a_card_has_name_glass_steps_and_amounts() -> None:
    text = words(
        ice(60), dose(SYRUP, "1 part"), dose(WATER, "3 parts"), dose(LEMON, "20 ml"), note="in one go"
    )
    assert re.search(r"It \d+ ml in: Highball", text)
    assert "ice ice cubes (60 g) – by hand" in text
    assert re.search(r"1 part Sugar syrup \(\d+ ml\)", text)
    assert "20 ml Lemon juice" in text
    assert "20 ml Lemon juice (20 ml)" not in text
    assert "in one go" in text


def test_steps_by_hand_are_told_from_doses_in_words() -> None:
    garnish = HandStep(Hand.GARNISH, "a slice of lemon")
    text = words(dose(SPIRIT, "30 ml"), top_up(WATER), garnish, HandStep(Hand.OTHER, "stir"))
    assert re.search(r"top up top up \(\d+ ml\) – by hand", text)
    assert "garnish a slice of lemon – by hand" in text
    assert "stir – by hand" in text
    assert "Wings dry spirit – by hand" not in text


def test_strength_and_standard_drinks() -> None:
    # 50 ml of 40 % vol is 20 ml or 15.8 g of ethanol (OIML R 22: 0.78924 g/ml), 100 ml in the glass
    text = words(dose(SPIRIT, "50 ml"), dose(WATER, "50 ml"))
    assert "20.0 % vol · 1.6 standard drinks (of 10 g ethanol)" in text
    assert "Serve alcohol only where and to whom you may" in text
    assert "without alcohol" not in text


def test_no_alcohol_is_said_in_words() -> None:
    text = words(dose(WATER, "50 ml"), dose(SYRUP, "20 ml"))
    assert "without alcohol" in text
    assert "Serve alcohol" not in text


def test_a_strength_that_nobody_knows_is_not_called_without_alcohol() -> None:
    mystery = replace(LEMON, abv_percent=None)
    text = words(dose(WATER, "50 ml"), dose(mystery, "20 ml"), liquids=(WATER, mystery))
    assert "without alcohol" not in text
    assert "strength not known for every liquid; at least 0.0 % vol" in text


def test_allergens_stand_in_words_and_so_does_what_nobody_looked_at() -> None:
    text = words(dose(ALMOND, "20 ml"), dose(WINE, "80 ml"), dose(LEMON, "20 ml"))
    assert "Allergens: Contains tree nuts and sulphites. Not checked: Lemon juice." in text
    assert "Allergens: None declared." in words(dose(WATER, "50 ml"))
    assert "Allergens: Not checked: Lemon juice." in words(dose(LEMON, "50 ml"))


def test_a_tube_that_holds_another_liquid_is_told_with_its_cure() -> None:
    base = judged(menu(recipe(dose(WATER, "50 ml"))), {1: TubeState().filled("almond-syrup")})
    drink = compile_recipe(base, "it")
    text = Words(cards_page(base, [drink], 10.0)).text
    assert "When printed: channel 1 still holds Almond syrup (nuts): flush it with a cleaner" in text
    assert drink.blockers[0].message in text
    assert (
        RecipeCard.of(base, drink, 10.0).lines > RecipeCard.of(base, replace(drink, blockers=()), 10.0).lines
    )
    flushed = judged(base, {1: TubeState(ChannelNeed.PRIME)})
    assert "When printed" not in cards_page(flushed, [compile_recipe(flushed, "it")], 10.0)


def test_names_are_shown_as_text() -> None:
    odd = replace(WATER, name=NASTY)
    base = menu(
        recipe(dose(odd, "50 ml"), HandStep(Hand.OTHER, NASTY), note=NASTY),
        liquids=[odd],
        glasses=[replace(HIGHBALL, name=NASTY)],
    )
    base.recipes["it"] = replace(base.recipes["it"], name=NASTY)
    found = Words(cards_page(base, [compile_recipe(base, "it")], 10.0))
    assert found.text.count(NASTY) >= 5
    assert found.tags.isdisjoint({"script", "img", "link", "iframe"})


def test_a_page_needs_nothing_from_elsewhere() -> None:
    base = menu(recipe(dose(WATER, "50 ml")))
    html = cards_page(base, [compile_recipe(base, "it")], 10.0)
    assert not re.search(r"https?:|\bsrc=|<link|@import", html)


def long_recipe(name: str, steps: int, letters: int) -> Recipe:
    by_hand = tuple(HandStep(Hand.OTHER, "x" * letters) for _ in range(steps))
    return Recipe(name, name, (dose(WATER, "50 ml"), *by_hand), HIGHBALL.id)


@pytest.mark.parametrize(
    ("steps", "letters", "slots"), [(3, 20, 1), (10, 30, 1), (16, 30, 2), (30, 300, 4), (5, 300, 2)]
)
def test_many_words_get_a_larger_card(steps: int, letters: int, slots: int) -> None:
    base = menu(long_recipe("it", steps, letters))
    assert RecipeCard.of(base, compile_recipe(base, "it"), 10.0).slots == slots


def test_no_sheet_holds_more_than_it_has_room_for_and_no_card_is_lost() -> None:
    sizes = [(1, 5), (1, 5), (1, 5), (16, 30), (1, 5), (30, 300), (1, 5), (1, 5), (1, 5), (1, 5), (1, 5)]
    base = menu(*(long_recipe(f"r{number}", *size) for number, size in enumerate(sizes)))
    html = cards_page(base, [compile_recipe(base, key) for key in base.recipes], 10.0)
    assert re.findall(r"<h1>(.+)</h1>", html) == list(base.recipes)
    sheets = html.split('<div class="sheet">')[1:]
    used = [sum(map(int, re.findall(r"card slots(\d)", sheet))) for sheet in sheets]
    assert max(used) <= SLOTS
    assert len(sheets) == 5


def test_a_glass_is_drawn_with_each_liquid_named_unless_words_need_the_room() -> None:
    short, long = (
        menu(recipe(dose(WATER, "50 ml"), dose(SYRUP, "50 ml"), note=note)) for note in ("", "a note " * 60)
    )
    drawn = cards_page(short, [compile_recipe(short, "it")], 10.0)
    assert re.findall(r"<text[^>]*>(.+)</text>", drawn) == [WATER.name, SYRUP.name]
    heights = [float(height) for height in re.findall(r'height="([\d.]+)" fill="url', drawn)]
    assert heights[0] == pytest.approx(heights[1], abs=0.2)
    assert "<text" not in cards_page(long, [compile_recipe(long, "it")], 10.0)


def test_all_fourteen_are_told_of() -> None:
    everything = replace(WATER, allergens=frozenset(Allergen))
    text = words(dose(everything, "50 ml"), liquids=(everything,))
    listed = text.partition("Contains ")[2].partition(".")[0]
    assert len(listed.replace(" and ", ", ").split(", ")) == 14
