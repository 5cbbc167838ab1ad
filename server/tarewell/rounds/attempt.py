"""One attempt at a glass: whether the load is that glass, how far it is, and what is in it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from tarewell.menu.delivered import ByHand, DoseResult, Outcome, outcome
from tarewell.menu.drink import PlannedDose, PlannedHand
from tarewell.menu.values import Glass, Liquid

from .plan import GlassPlan, RoundPlan

RETURNED_LESS_G = 5.0
"""A glass that was taken off for a step by hand may come back this much lighter: a splash lost."""


@dataclass(slots=True)
class Attempt:
    """The progress of a glass; `leg` is the current one, `touched` is set once anything is in it."""

    plan: GlassPlan
    number: int = 0
    leg: int = 0
    pour_ids: list[str] = field(default_factory=list)
    delivered_g: list[float] = field(default_factory=list)
    """One entry for each dose so far."""
    hands: list[PlannedHand] = field(default_factory=list)
    touched: bool = False
    gross_g: float = 0.0
    """The expected gross mass: the glass as last placed, and what was poured since."""

    @property
    def whole(self) -> bool:
        """Whether all legs are done."""
        return self.leg == len(self.plan.legs)

    @property
    def hand(self) -> PlannedHand | None:
        """The current step by hand."""
        leg = None if self.whole else self.plan.legs[self.leg]
        return leg if isinstance(leg, PlannedHand) else None

    def why_not(self, gross_g: float, round_: RoundPlan) -> str | None:
        """Why a load of `gross_g` g is not the expected glass; None: it may be.

        Where any glass will do, or its masses were never entered, glasses cannot be distinguished.
        """
        if not self.touched:
            return _why_not_fresh(gross_g, round_.kind_of(self.plan), round_.kinds.values())
        if gross_g >= self.gross_g - RETURNED_LESS_G:
            return None
        return (
            f"the scale reads {gross_g:.0f} g, and the glass that was begun weighed {self.gross_g:.0f} g; "
            "put it back, or skip it"
        )

    @property
    def over_g(self) -> float:
        """How much more than planned the doses so far have delivered."""
        planned = self.plan.drink.doses[: len(self.delivered_g)]
        return sum(self.delivered_g) - sum(dose.target_g for dose in planned)

    def poured(self, delivered_g: Sequence[float]) -> None:
        """A pour of this leg is over; doses that never began count as 0."""
        doses = self.plan.legs[self.leg]
        if isinstance(doses, PlannedHand):
            raise TypeError(f"leg {self.leg} of {self.plan.drink.name} is a step by hand")
        masses = [*delivered_g[: len(doses)], *(0.0 for _ in doses[len(delivered_g) :])]
        self.delivered_g += masses
        self.gross_g += sum(masses)

    def placed(self, gross_g: float) -> None:
        """The glass stands on the platform, which reads this."""
        self.gross_g = gross_g

    def begin(self) -> None:
        """Something goes into the glass."""
        self.touched = True

    def go_on(self) -> None:
        """The leg is done."""
        self.leg += 1

    def begin_pour(self, pour_id: str) -> None:
        """A pour of this leg has begun."""
        self.pour_ids.append(pour_id)

    def done(self, hand: PlannedHand) -> None:
        """A step by hand was confirmed."""
        self.hands.append(hand)

    def outcome(self, liquids: Mapping[str, Liquid], pouring_g: Sequence[float] = ()) -> Outcome:
        """The contents of the glass, including the pour under way and the confirmed steps by hand."""
        return held_by(self.plan, [*self.delivered_g, *pouring_g], self.hands, liquids)


def held_by(
    plan: GlassPlan,
    delivered_g: Sequence[float],
    hands: Sequence[PlannedHand],
    liquids: Mapping[str, Liquid],
) -> Outcome:
    """The contents of a glass after these masses of its doses, in order, and these steps by hand."""
    doses: Sequence[PlannedDose] = plan.drink.doses
    masses = [*delivered_g, *(0.0 for _ in doses[len(delivered_g) :])]
    results = [
        DoseResult(dose.liquid_id, dose.target_g, mass_g) for dose, mass_g in zip(doses, masses, strict=True)
    ]
    by_hand = [ByHand(hand.step.liquid_id, hand.mass_g) for hand in hands if hand.step.brings_liquid]
    return outcome(liquids, results, by_hand)


def _why_not_fresh(gross_g: float, wanted: Glass | None, kinds: Iterable[Glass]) -> str | None:
    if wanted is None or wanted.lightest_g is None or wanted.heaviest_g is None:
        return None
    if wanted.lightest_g <= gross_g <= wanted.heaviest_g:
        return None
    looks = [kind.name for kind in kinds if kind.id != wanted.id and _may_be(kind, gross_g)]
    seen = f"the scale reads {gross_g:.0f} g" + (f", as for {' or '.join(looks)}" if looks else "")
    return (
        f"{seen}; an empty {wanted.name} of {wanted.lightest_g:g} to {wanted.heaviest_g:g} g is expected: "
        "put one on"
    )


def _may_be(kind: Glass, gross_g: float) -> bool:
    return (
        kind.lightest_g is not None
        and kind.heaviest_g is not None
        and kind.lightest_g <= gross_g <= kind.heaviest_g
    )
