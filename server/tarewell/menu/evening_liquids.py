"""How much of each liquid an evening takes, and how much of it to buy."""

from collections.abc import Sequence
from dataclasses import dataclass

from .drink import Drink, PlannedDose, PlannedHand
from .evening import Evening
from .evening_shopping import BottleSize, Bought, price_of, to_buy
from .facts import facts_of
from .values import Bottle, Liquid, Menu


@dataclass(frozen=True, slots=True)
class PlannedLiquid:
    """How much of one liquid the drinks take, and what to buy.

    `liquid_id` None: an undescribed liquid to top up with; `name` is the recipe's text. `need_ml` includes
    the reserve. `bottles` is empty where nothing is needed, or no size is known.
    """

    liquid_id: str | None
    name: str
    by_machine: bool
    used_ml: float
    used_g: float
    need_ml: float
    stock_ml: float
    bottles: tuple[Bought, ...]
    cost: float | None

    @property
    def buy_ml(self) -> float:
        """What is missing."""
        return max(self.need_ml - self.stock_ml, 0.0)


@dataclass(slots=True)
class _Use:
    """Use of one liquid; `liquid` None where it is not on the menu."""

    liquid_id: str | None
    name: str
    liquid: Liquid | None
    by_machine: bool = False
    ml: float = 0.0
    grams: float = 0.0

    def take(self, step: PlannedDose | PlannedHand, count: int) -> None:
        """Add a step of `count` drinks."""
        self.by_machine |= isinstance(step, PlannedDose)
        self.ml += count * step.volume_ml
        self.grams += count * (step.target_g if isinstance(step, PlannedDose) else step.mass_g)


def liquids_for(
    menu: Menu, bottles: Sequence[Bottle], evening: Evening, drinks: Sequence[tuple[Drink, int]]
) -> tuple[PlannedLiquid, ...]:
    """Every liquid that these drinks take, in the order in which they name them.

    The `bottles`, mounted or not, are used up first. Where the evening names no sizes to buy, those of the
    liquid's own bottles are used.
    """
    uses: dict[tuple[str | None, str], _Use] = {}
    for drink, count in drinks:
        for step in drink.steps:
            if isinstance(step, PlannedHand) and not step.step.brings_liquid:
                continue
            use = _use_of(menu, step)
            uses.setdefault((use.liquid_id, use.name), use).take(step, count)
    return tuple(_planned(use, bottles, evening) for use in uses.values())


def _use_of(menu: Menu, step: PlannedDose | PlannedHand) -> _Use:
    if isinstance(step, PlannedDose):
        liquid_id: str | None = step.liquid_id
        words = step.liquid_id
    else:
        liquid_id, words = step.step.liquid_id, step.step.what
    liquid = None if liquid_id is None else menu.liquids.get(liquid_id)
    return _Use(liquid_id, liquid.name if liquid else words, liquid)


def _planned(use: _Use, bottles: Sequence[Bottle], evening: Evening) -> PlannedLiquid:
    cost_per_l = use.liquid.cost_per_l if use.liquid else None
    stock_ml, own_sizes = _stock(use.liquid, bottles)
    need_ml = use.ml * (1 + evening.reserve)
    sizes = evening.bottle_sizes.get(use.liquid_id or "", own_sizes)
    bought = to_buy(need_ml - stock_ml, sizes, cost_per_l)
    lacking_ml = max(need_ml - stock_ml, 0.0)
    if bought or not lacking_ml:
        cost = price_of(bought, cost_per_l)
    else:
        cost = None if cost_per_l is None else cost_per_l * lacking_ml / 1000
    return PlannedLiquid(
        use.liquid_id, use.name, use.by_machine, use.ml, use.grams, need_ml, stock_ml, bought, cost
    )


def _stock(liquid: Liquid | None, bottles: Sequence[Bottle]) -> tuple[float, tuple[BottleSize, ...]]:
    """The stock in ml, and the sizes of its bottles."""
    if liquid is None:
        return 0.0, ()
    g_per_ml = facts_of(liquid).g_per_ml
    own = [bottle for bottle in bottles if bottle.liquid_id == liquid.id]
    sizes = {round(bottle.full_g / g_per_ml) for bottle in own} - {0}
    return (
        sum(max(bottle.content_g, 0.0) / g_per_ml for bottle in own),
        tuple(BottleSize(ml) for ml in sorted(sizes)),
    )
