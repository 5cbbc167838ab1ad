"""Whether all glasses of a round can be poured, each from what the ones before leave in the bottles."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from tarewell.menu.compiling import compile_recipe
from tarewell.menu.drink import Drink
from tarewell.menu.values import Menu
from tarewell.quantities.units import SmallMeasures

from .plan import GlassPlan, OrderMark
from .progress import remaining_s


@dataclass(frozen=True, slots=True)
class Wanted:
    """A glass as requested; by default with the recipe's own glass and volume. `order` is the order
    that it is for."""

    recipe_id: str
    glass_id: str | None = None
    volume_ml: float | None = None
    guest: str | None = None
    max_ethanol_g: float | None = None
    instead: Mapping[str, str] = field(default_factory=dict)
    order: OrderMark | None = None


@dataclass(frozen=True, slots=True)
class Short:
    """A glass that cannot be poured, and why; `index` counts all requested glasses from 0."""

    index: int
    drink: Drink
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Feasibility:
    """What can be poured, in order, and what cannot."""

    glasses: tuple[GlassPlan, ...]
    short: tuple[Short, ...]

    @property
    def summary(self) -> str:
        """How many can be poured, and why not more, for people."""
        possible, asked = len(self.glasses), len(self.glasses) + len(self.short)
        if not self.short:
            return f"all {asked} glasses can be poured"
        first = self.short[0]
        which = f"glass {first.index + 1}, {first.drink.name}"
        return f"{possible} of {asked} glasses can be poured; {which}: {'; '.join(first.reasons)}"

    @property
    def price(self) -> float | None:
        """What guests pay for what can be poured; None where a price is not set."""
        prices = [glass.drink.price for glass in self.glasses]
        known = [price for price in prices if price is not None]
        return sum(known) if len(known) == len(prices) else None

    @property
    def time_s(self) -> float | None:
        """How long it takes to pour what can be poured; None where a flow was never seen."""
        return remaining_s(self.glasses[0], 0, 0.0, self.glasses[1:]) if self.glasses else 0.0


def feasible(menu: Menu, wanted: Sequence[Wanted], small: SmallMeasures) -> Feasibility:
    """Compile glass after glass; one that cannot be poured takes nothing from the bottles.

    Raises:
        MenuError: a recipe that does not exist, or a meaningless request.
    """
    glasses, short = [], []
    for index, wish in enumerate(wanted):
        drink = compile_recipe(
            menu,
            wish.recipe_id,
            glass_id=wish.glass_id,
            volume_ml=wish.volume_ml,
            max_ethanol_g=wish.max_ethanol_g,
            small=small,
            instead=wish.instead,
        )
        if reasons := tuple(blocker.message for blocker in drink.blockers):
            short.append(Short(index, drink, reasons))
            continue
        unlimited = wish.max_ethanol_g is None
        glasses.append(GlassPlan(drink, wish.guest, not drink.strength_known, unlimited, wish.order))
        menu = _poured(menu, drink)
    return Feasibility(tuple(glasses), tuple(short))


def _poured(menu: Menu, drink: Drink) -> Menu:
    """The menu after the drink."""
    channels = dict(menu.channels)
    for dose in drink.doses:
        if dose.channel is None or (bottle := channels[dose.channel].bottle) is None:
            continue
        less = replace(bottle, content_g=bottle.content_g - dose.target_g)
        channels[dose.channel] = replace(channels[dose.channel], bottle=less)
    return replace(menu, channels=channels)
