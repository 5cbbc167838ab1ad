"""One attempt at a glass: how far it is, and what has come into it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from tarewell.menu.delivered import ByHand, DoseResult, Outcome, outcome
from tarewell.menu.drink import PlannedDose, PlannedHand
from tarewell.menu.values import Liquid

from .plan import GlassPlan


@dataclass(slots=True)
class Attempt:
    """What has happened to a glass; `leg` is the one whose turn it is, `touched` once anything is in it."""

    plan: GlassPlan
    number: int = 0
    leg: int = 0
    pour_ids: list[str] = field(default_factory=list)
    delivered_g: list[float] = field(default_factory=list)
    """One entry for each dose of the drink that had its turn."""
    hands: list[PlannedHand] = field(default_factory=list)
    touched: bool = False
    gross_g: float = 0.0
    """What the glass weighs by what is known: when it was put there last, and what was poured since."""

    @property
    def whole(self) -> bool:
        """Whether all legs are done."""
        return self.leg == len(self.plan.legs)

    @property
    def hand(self) -> PlannedHand | None:
        """The step by hand whose turn it is."""
        leg = None if self.whole else self.plan.legs[self.leg]
        return leg if isinstance(leg, PlannedHand) else None

    @property
    def over_g(self) -> float:
        """By how much the doses that had their turn have delivered more than was planned for them."""
        planned = self.plan.drink.doses[: len(self.delivered_g)]
        return sum(self.delivered_g) - sum(dose.target_g for dose in planned)

    def poured(self, delivered_g: Sequence[float]) -> None:
        """A pour of this leg is over; doses that never began count as nothing."""
        doses = self.plan.legs[self.leg]
        if isinstance(doses, PlannedHand):
            raise TypeError(f"leg {self.leg} of {self.plan.drink.name} is a step by hand")
        masses = [*delivered_g[: len(doses)], *(0.0 for _ in doses[len(delivered_g) :])]
        self.delivered_g += masses
        self.gross_g += sum(masses)

    def done(self, hand: PlannedHand) -> None:
        """A step by hand was confirmed."""
        self.hands.append(hand)

    def outcome(self, liquids: Mapping[str, Liquid], pouring_g: Sequence[float] = ()) -> Outcome:
        """What the glass holds, with what the pour under way has delivered; steps by hand as confirmed."""
        return held_by(self.plan, [*self.delivered_g, *pouring_g], self.hands, liquids)


def held_by(
    plan: GlassPlan,
    delivered_g: Sequence[float],
    hands: Sequence[PlannedHand],
    liquids: Mapping[str, Liquid],
) -> Outcome:
    """What a glass holds after these masses of its doses in their order, and these steps by hand."""
    doses: Sequence[PlannedDose] = plan.drink.doses
    masses = [*delivered_g, *(0.0 for _ in doses[len(delivered_g) :])]
    results = [
        DoseResult(dose.liquid_id, dose.target_g, mass_g) for dose, mass_g in zip(doses, masses, strict=True)
    ]
    by_hand = [ByHand(hand.step.liquid_id, hand.mass_g) for hand in hands if hand.step.brings_liquid]
    return outcome(liquids, results, by_hand)
