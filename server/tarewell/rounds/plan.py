"""The plan of a round."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from tarewell.dosing.plan import PourPlan
from tarewell.menu.drink import Drink, PlannedDose, PlannedHand
from tarewell.menu.values import Glass, Liquid

from .guests import Planned, ServingLimit

MAX_GLASSES = 100
"""More glasses in one round are a typing error."""

Leg = tuple[PlannedDose, ...] | PlannedHand
"""A pour, or a step by hand."""


@dataclass(frozen=True, slots=True)
class OrderMark:
    """The order that a glass is for: its id, and its number for people."""

    id: str
    number: int


@dataclass(frozen=True, slots=True)
class GlassPlan:
    """One glass: its drink, for whom, and `strength_open` where a liquid in it has no stated strength.

    With `may_grow` False no dose is rescaled, since the drink was held to a limit of ethanol. `order` is the
    order that it is for, if any.
    """

    drink: Drink
    guest: str | None = None
    strength_open: bool = False
    may_grow: bool = True
    order: OrderMark | None = None

    @property
    def legs(self) -> tuple[Leg, ...]:
        """Pours and steps by hand in order."""
        return self.drink.legs

    @property
    def hands(self) -> tuple[PlannedHand, ...]:
        """The steps by hand in order."""
        return tuple(step for step in self.drink.steps if isinstance(step, PlannedHand))

    @property
    def planned(self) -> Planned:
        """As it counts for its guest."""
        return Planned(self.guest, self.drink.strength.ethanol_g, self.strength_open)

    @property
    def liquid_ids(self) -> frozenset[str]:
        """Its liquids, poured and by hand."""
        by_hand = {hand.step.liquid_id for hand in self.hands if hand.step.liquid_id}
        return frozenset(by_hand | {dose.liquid_id for dose in self.drink.doses})

    def pour_plan(self, leg: int, counted: bool = False, over_g: float = 0.0) -> PourPlan:
        """The pour plan of one leg.

        `counted`: the drink counts towards a guest's limit. As a limit allows no more ethanol than was
        planned, such a drink keeps its amounts rather than its proportions. `over_g` is what was poured
        beyond the plan before this leg; the room for growth shrinks by it.

        Raises:
            TypeError: the leg is a step by hand.
            ValueError: a dose has no channel.
        """
        doses = self.legs[leg]
        if isinstance(doses, PlannedHand):
            raise TypeError(f"leg {leg} of {self.drink.name} is a step by hand")
        plan, held_to_limit = self.drink.pour_plan(doses), counted and self._may_hold_ethanol
        holds_g = plan.glass_holds_g
        if holds_g is not None:
            holds_g = max(holds_g - max(over_g, 0.0), plan.target_g)
        return replace(plan, glass_holds_g=holds_g, keep_proportions=self.may_grow and not held_to_limit)

    @property
    def _may_hold_ethanol(self) -> bool:
        return self.strength_open or self.drink.strength.ethanol_g > 0


@dataclass(frozen=True, slots=True)
class RoundPlan:
    """Glasses in order, all without blockers, and everything that is needed to judge them.

    `kinds` are the known glasses, `liquids` those of the drinks. With `auto_start` a pour begins once the
    right glass is at rest. Less than `min_glass_g` g on the platform does not count as a glass.
    """

    glasses: tuple[GlassPlan, ...]
    liquids: Mapping[str, Liquid]
    kinds: Mapping[str, Glass] = field(default_factory=dict)
    auto_start: bool = False
    min_glass_g: float = 20.0
    limit: ServingLimit | None = None

    def __post_init__(self) -> None:
        if not 1 <= len(self.glasses) <= MAX_GLASSES:
            raise ValueError(f"a round has 1 to {MAX_GLASSES} glasses, got {len(self.glasses)}")

    def kind_of(self, glass: GlassPlan) -> Glass | None:
        """The expected kind of glass; None: any."""
        return None if glass.drink.glass_id is None else self.kinds.get(glass.drink.glass_id)
