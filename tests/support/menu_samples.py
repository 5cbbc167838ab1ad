"""The interval bar of a small community theatre: its liquids, glasses, recipes and channels, all invented."""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from tarewell.menu.allergens import Allergen
from tarewell.menu.hands import Hand, HandStep
from tarewell.menu.values import Bottle, ChannelFacts, Glass, Liquid, Menu, Recipe, RecipeDose
from tarewell.quantities import density
from tarewell.quantities.units import parse_amount

NONE: frozenset[Allergen] = frozenset()

WATER = Liquid("water", "Still water", density.of_water(), 0.0, 0.0, NONE, 0.5)
SPIRIT = Liquid("wings-dry", "Wings dry spirit", density.from_strength(40), 40.0, 0.0, NONE, 18.0)
BITTER = Liquid(
    "footlight-bitter", "Footlight bitter", density.from_strength_and_sugar(20, 250), 20.0, 250.0, NONE, 15.0
)
SYRUP = Liquid("sugar-syrup", "Sugar syrup", density.from_brix(65), 0.0, 855.8, NONE, 3.0)
ALMOND = Liquid(
    "almond-syrup", "Almond syrup", density.from_brix(60), 0.0, 772.0, frozenset({Allergen.NUTS}), 9.0
)
LEMON = Liquid("lemon-juice", "Lemon juice", density.entered(1.03), 0.0, 25.0, None, 6.0)
WINE = Liquid(
    "foyer-white",
    "Foyer white",
    density.from_strength_and_sugar(12, 5),
    12.0,
    5.0,
    frozenset({Allergen.SULPHITES}),
    7.0,
)
LIQUIDS = (WATER, SPIRIT, BITTER, SYRUP, ALMOND, LEMON, WINE)

TUMBLER = Glass("tumbler", "Tumbler", 250.0, 20.0, 180.0, 220.0)
HIGHBALL = Glass("highball", "Highball", 350.0, 20.0, 280.0, 330.0)
GLASSES = (TUMBLER, HIGHBALL)


def dose(liquid: Liquid, text: str) -> RecipeDose:
    """A dose as a user writes it."""
    return RecipeDose(liquid.id, text, parse_amount(text))


def ice(grams: float) -> HandStep:
    """Ice by hand."""
    return HandStep(Hand.ICE, "ice cubes", ice_g=grams)


def top_up(liquid: Liquid | None, text: str = "", what: str = "top up") -> HandStep:
    """A top-up by hand; without a text it fills the glass."""
    liquid_id = None if liquid is None else liquid.id
    return HandStep(
        Hand.TOP_UP, what, liquid_id=liquid_id, text=text, amount=parse_amount(text) if text else None
    )


def recipe(*steps: RecipeDose | HandStep, glass: Glass | None = HIGHBALL, **more: Any) -> Recipe:
    """A recipe called `it`."""
    return Recipe("it", "It", steps, None if glass is None else glass.id, **more)


def bottle(liquid: Liquid, content_g: float = 700.0, **more: Any) -> Bottle:
    """An opened bottle of 700 g."""
    given = {"full_g": 700.0, "low_g": 70.0, "opened_at": "2026-03-01T18:00:00Z", **more}
    return Bottle(given.pop("id", f"{liquid.id}-1"), liquid.id, content_g, **given)


def channels(liquids: Iterable[Liquid], content_g: float = 700.0) -> dict[int, ChannelFacts]:
    """One channel for each liquid, from 1 on, each with a bottle and a flow of 5 g/s."""
    return {
        number: ChannelFacts(number, liquid.id, bottle(liquid, content_g, channel=number), 5.0)
        for number, liquid in enumerate(liquids, 1)
    }


def menu(
    *recipes: Recipe,
    liquids: Iterable[Liquid] = LIQUIDS,
    glasses: Iterable[Glass] = GLASSES,
    on: dict[int, ChannelFacts] | None = None,
    scale_max_g: float = 1000.0,
) -> Menu:
    """A menu of these recipes; by default every liquid is assigned to a channel."""
    known = {liquid.id: liquid for liquid in liquids}
    return Menu(
        known,
        {glass.id: glass for glass in glasses},
        {each.id: each for each in recipes},
        channels(known.values()) if on is None else on,
        scale_max_g,
    )


def with_channel(base: Menu, number: int, **changes: Any) -> Menu:
    """The menu with one channel changed."""
    return replace(base, channels={**base.channels, number: replace(base.channels[number], **changes)})
