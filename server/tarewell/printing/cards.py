"""Recipe cards to print and cut: four of A6 on a sheet of A4, with more room for a long recipe."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil
from typing import Self

from tarewell.menu.allergens import NONE_DECLARED, NOT_CHECKED, Allergen
from tarewell.menu.drink import Drink, PlannedDose, PlannedHand, Reason
from tarewell.menu.values import Menu, RecipeDose

from .glass_picture import GlassPicture
from .pages import page
from .words import figure, listed, volume

SLOTS = 4
"""Cards of A6 on a sheet."""

_LETTERS_A_LINE = 46
_LINES = {1: 15, 2: 40}
"""The number of lines of steps and note on a card of one or two slots; longer ones take all four."""
_ROOMY_LINES, _CROWDED_LINES = 8, 100
_PICTURE_LINES = 10

_ALLERGENS = {Allergen.GLUTEN: "cereals with gluten", Allergen.NUTS: "tree nuts"}


@dataclass(frozen=True, slots=True)
class CardStep:
    """A line of the recipe: `amount` in large type, its liquid, and what it comes to on the machine."""

    amount: str
    what: str
    detail: str
    by_hand: bool


@dataclass(frozen=True, slots=True)
class RecipeCard:
    """The text of a card. `slots` is its size in cards of A6: 1, 2 or 4; `waits` says which tubes held
    another liquid when it was made."""

    name: str
    glass: str
    size: str
    steps: tuple[CardStep, ...]
    strength: str
    alcohol_free: bool
    has_alcohol: bool
    allergens: str
    note: str
    picture: GlassPicture | None
    waits: tuple[str, ...] = ()

    @classmethod
    def of(cls, menu: Menu, drink: Drink, standard_drink_g: float) -> Self:
        """The card of a drink that was compiled from this menu; `standard_drink_g` is grams of ethanol."""
        recipe = menu.recipes[drink.recipe_id]
        glass = None if drink.glass_id is None else menu.glasses.get(drink.glass_id)
        unknown = [_liquid_name(menu, item) for item in drink.allergens_unknown]
        has_alcohol = drink.strength.ethanol_g > 0
        return cls(
            name=drink.name,
            glass=glass.name if glass else "any glass that holds it",
            size=volume(drink.volume_ml),
            steps=tuple(_steps(menu, drink)),
            strength=_strength(drink, standard_drink_g),
            alcohol_free=drink.strength_known and not has_alcohol,
            has_alcohol=has_alcohol,
            allergens=_allergens_of(drink, unknown),
            note=recipe.note,
            picture=_picture(menu, drink, None if glass is None else glass.brim_ml),
            waits=tuple(
                blocker.message for blocker in drink.blockers if blocker.code is Reason.TUBE_HOLDS_ANOTHER
            ),
        )

    @property
    def lines(self) -> int:
        """About how many lines the text takes on a card of A6."""
        texts = [f"{step.amount} {step.what} {step.detail}" for step in self.steps]
        texts += [self.name * 2, self.note, self.allergens, *self.waits]
        return sum(ceil(len(text) / _LETTERS_A_LINE) for text in texts)

    @property
    def slots(self) -> int:
        """As many as the text needs."""
        return next((slots for slots, most in _LINES.items() if self.lines <= most), SLOTS)

    @property
    def type_size(self) -> str:
        """`roomy`, `usual` or `crowded`, by the length of the text."""
        if self.lines > _CROWDED_LINES:
            return "crowded"
        return "roomy" if self.lines <= _ROOMY_LINES else "usual"

    @property
    def shown_picture(self) -> GlassPicture | None:
        """The picture, where the text leaves room for it."""
        return self.picture if self.lines <= _PICTURE_LINES else None


def cards_page(menu: Menu, drinks: Sequence[Drink], standard_drink_g: float) -> str:
    """An HTML document with a card for each of these drinks of the menu, in order."""
    cards = [RecipeCard.of(menu, drink, standard_drink_g) for drink in drinks]
    title = drinks[0].name if len(drinks) == 1 else "Recipe cards"
    return page("cards.html", title=title, sheets=list(_sheets(cards)))


def _sheets(cards: Sequence[RecipeCard]) -> Iterator[list[RecipeCard]]:
    """Cards of one slot side by side; larger ones begin a row or a sheet of their own."""
    sheet: list[RecipeCard] = []
    taken = 0
    for card in cards:
        start = -(-taken // card.slots) * card.slots
        if start + card.slots > SLOTS:
            yield sheet
            sheet, start = [], 0
        sheet.append(card)
        taken = start + card.slots
    if sheet:
        yield sheet


def _allergens_of(drink: Drink, unknown: Sequence[str]) -> str:
    """The declared allergens in sentences; `unknown` names what was not checked."""
    contains = listed(_ALLERGENS.get(item, item.value) for item in Allergen if item in drink.allergens)
    sentences = [f"Contains {contains}."] if contains else []
    if unknown:
        sentences.append(f"{NOT_CHECKED.capitalize()}: {listed(unknown)}.")
    return " ".join(sentences) or f"{NONE_DECLARED.capitalize()}."


def _steps(menu: Menu, drink: Drink) -> Iterator[CardStep]:
    recipe = menu.recipes[drink.recipe_id]
    for written, planned in zip(recipe.steps, drink.steps, strict=True):
        if isinstance(planned, PlannedDose):
            text = written.text if isinstance(written, RecipeDose) else ""
            yield CardStep(text, _liquid_name(menu, planned.liquid_id), _poured(text, planned), False)
        else:
            yield _by_hand(planned)


def _poured(text: str, dose: PlannedDose) -> str:
    """What an amount comes to in this glass; empty where the amount already says so."""
    said = volume(dose.volume_ml)
    return "" if text.split() == said.split() else said


def _by_hand(planned: PlannedHand) -> CardStep:
    step = planned.step
    figures = [figure(value, unit) for value, unit in step.figures]
    if step.brings_liquid and not step.text:
        figures.append(volume(planned.volume_ml))
    return CardStep(step.text or step.kind.spec.label, step.what, ", ".join(figures), True)


def _liquid_name(menu: Menu, liquid_id: str) -> str:
    liquid = menu.liquids.get(liquid_id)
    return liquid_id if liquid is None else liquid.name


def _picture(menu: Menu, drink: Drink, brim_ml: float | None) -> GlassPicture | None:
    liquids, ice_ml = [], 0.0
    for step in drink.steps:
        if isinstance(step, PlannedDose):
            liquids.append((_liquid_name(menu, step.liquid_id), step.volume_ml))
        elif step.step.brings_liquid:
            liquids.append((step.step.what, step.volume_ml))
        else:
            ice_ml += step.volume_ml
    return GlassPicture.of(liquids, brim_ml, ice_ml)


def _strength(drink: Drink, standard_drink_g: float) -> str:
    strength = drink.strength
    count = strength.standard_drinks(standard_drink_g)
    known = (
        f"{strength.percent_vol:.1f}\N{NO-BREAK SPACE}% vol · {count:.1f} standard drinks "
        f"(of {standard_drink_g:.3g}\N{NO-BREAK SPACE}g ethanol)"
    )
    if not drink.strength_known:
        return f"strength not known for every liquid; at least {known}"
    return known if strength.ethanol_g else "without alcohol"
