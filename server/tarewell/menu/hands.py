"""Steps by hand: the kinds, and everything by which they differ.

A kind of step is declared here. Checks, forms, prompts, printed cards, the plan of an evening and the
forecast of a round follow from the declaration; docs/menu.md lists the kinds for people.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from enum import StrEnum
from typing import Any, Self

from tarewell.quantities.units import Amount


@dataclass(frozen=True, slots=True, kw_only=True)
class HandSpec:
    """The declaration of a kind of step.

    `label` precedes the step's text on paper; empty where the text suffices. `takes_s` is how long it takes
    at the bar unless an evening says otherwise: a guess, no source. `figures` names the figures of a
    `HandStep` that the kind requires; it may have no others.
    """

    label: str
    takes_s: float
    figures: tuple[str, ...] = ()
    brings_liquid: bool = False
    """It may have an amount, which counts for volume and strength."""
    brings_allergens: bool = False
    """The allergens of its liquid count."""


class Hand(StrEnum):
    """The kind of a step by hand."""

    ICE = "ice", HandSpec(label="ice", takes_s=6.0, figures=("ice_g",))
    TOP_UP = "top_up", HandSpec(label="top up", takes_s=8.0, brings_liquid=True, brings_allergens=True)
    GARNISH = "garnish", HandSpec(label="garnish", takes_s=5.0, brings_allergens=True)
    OTHER = "other", HandSpec(label="", takes_s=8.0)

    _value_: str
    spec: HandSpec

    def __new__(cls, value: str, spec: HandSpec) -> Self:
        """A member is its name as text, with the kind's declaration in `spec`."""
        member = str.__new__(cls, value)
        member._value_ = value
        member.spec = spec
        return member

    @property
    def time(self) -> str:
        """The name of its time among those of an evening."""
        return f"{self}_s"


@dataclass(frozen=True, slots=True)
class HandFigure:
    """A figure of a step by hand: above 0 to `max_value`, in `unit`; `cure` ends the error message."""

    unit: str
    max_value: float
    cure: str


def _figure(unit: str, max_value: float, cure: str) -> Any:
    return field(default=0.0, metadata={"figure": HandFigure(unit, max_value, cure)})


@dataclass(frozen=True, slots=True)
class HandStep:
    """A step by hand, shown when its turn comes and confirmed by the operator.

    `amount` belongs to a kind that adds liquid; None: it fills what the other steps leave. There `liquid_id`
    counts for strength, sugar, allergens and room (None: an undescribed liquid without alcohol); with a
    garnish it counts for allergens alone.
    """

    kind: Hand
    what: str
    ice_g: float = _figure("g", 5000.0, "weigh what you use")
    liquid_id: str | None = None
    text: str = ""
    amount: Amount | None = None

    def takes_s(self, times: Mapping[str, float] | None = None) -> float:
        """How long it takes at the bar: by `times`, where that has the kind's `time`."""
        return (times or {}).get(self.kind.time, self.kind.spec.takes_s)

    @property
    def brings_liquid(self) -> bool:
        """Whether the step counts for volume and strength."""
        return self.kind.spec.brings_liquid

    @property
    def figures(self) -> tuple[tuple[float, str], ...]:
        """The kind's figures, each with its unit."""
        return tuple((getattr(self, name), FIGURES[name].unit) for name in self.kind.spec.figures)


FIGURES: dict[str, HandFigure] = {
    entry.name: entry.metadata["figure"] for entry in fields(HandStep) if "figure" in entry.metadata
}
"""The figures that some kinds have, by their field in `HandStep`."""
