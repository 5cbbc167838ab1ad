"""What can be chosen at the knob, and the interface of its sources."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from tarewell.dosing.plan import PourPlan
from tarewell.rounds.feasible import Wanted


@dataclass(frozen=True, slots=True)
class Measure:
    """A way to set the amount: `smallest` to `largest` in steps of `step`, first `default`, all in `unit`.

    `title` distinguishes it from the choice's other measures, such as "small glass"; a glass that can only
    be filled has `smallest` equal to `largest`.

    Raises:
        ValueError: limits that leave nothing to choose.
    """

    title: str
    unit: str
    smallest: float
    largest: float
    step: float
    default: float

    def __post_init__(self) -> None:
        if not (0 < self.smallest <= self.default <= self.largest and self.step > 0):
            raise ValueError(
                f"a measure needs 0 < smallest <= default <= largest and a step above 0, got {self}"
            )

    def within(self, amount: float) -> float:
        """The nearest amount within the limits."""
        return min(max(amount, self.smallest), self.largest)

    def moved(self, amount: float, steps: int, fine: int) -> float:
        """`amount` after `steps` of the knob: the first `fine` move one step each, the others further."""
        for number in range(abs(steps)):
            factor = 1 if number < fine else self._factor(amount)
            step = factor * self.step
            amount += step if steps > 0 else -step
            if factor > 1:
                amount = round(amount / step) * step
            amount = self.within(amount)
        return amount

    def _factor(self, amount: float) -> int:
        """The number of steps that make at most a tenth of the amount: small amounts stay fine."""
        return next((factor for factor in (10, 5) if 10 * factor * self.step <= amount), 1)


@dataclass(frozen=True, slots=True)
class Choice:
    """A drink that can be poured. `key` identifies it at its source; `measures` has at least one entry."""

    key: str
    title: str
    measures: tuple[Measure, ...]


@dataclass(frozen=True, slots=True)
class ChosenPour:
    """A choice and its amount, in the unit of its measure (`measure` is the index)."""

    choice: Choice
    measure: int
    amount: float


class Choices(Protocol):
    """A source of choices, such as the channels. Keys of different sources differ."""

    async def available(self) -> Sequence[Choice]:
        """What can be chosen now, in the order shown.

        Raises:
            StoreError: the records cannot be read.
        """

    async def plan(self, chosen: ChosenPour) -> PourPlan | Wanted:
        """The plan for one of this source's choices; a recipe's glass is poured as a round.

        Raises:
            PlanError: it can no longer be poured; the message says why.
            StoreError: the records cannot be read.
        """
