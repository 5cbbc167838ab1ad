"""A pour under way, and who holds it."""

from collections.abc import Sequence
from datetime import datetime
from typing import Self

from pydantic import Field

from tarewell.dosing.progress import PourProgress
from tarewell.dosing.states import PourState, procedural
from tarewell.machine.pouring import POUR_COMMANDED, ROUND_COMMANDED
from tarewell.records.values import StoredEvent

from . import View
from .alarms import AlarmView


class HoldView(View):
    """Since when a pour is held, and by whom."""

    at: datetime
    by: str = Field(description="api, page, command_line or panel; watch: an alarm")


def hold_of(events: Sequence[StoredEvent]) -> HoldView | None:
    """The last hold in the events of a pour, oldest first."""
    found, ordered_by = None, None
    for event in events:
        if event.kind in (POUR_COMMANDED, ROUND_COMMANDED):
            ordered_by = event.body["origin"]
        elif event.kind == "pour_state":
            if event.body["state"] == PourState.HOLDING:
                found = HoldView(at=event.at, by=ordered_by or "watch")
            ordered_by = None
    return found


class ProgressView(View):
    """A pour under way. `step` is the step within `state`; `delivered_g` has one entry per dose begun,
    `targets_g` one per dose as it stands now, after any rescaling."""

    state: str = Field(description="procedural state of ISA-88")
    step: str
    dose: int | None
    delivered_g: list[float]
    targets_g: list[float]
    drink_g: float = Field(description="net of the pour: the sum of delivered_g")
    to_come_g: float = Field(description="what the doses still miss of their targets")
    glass_g: float | None
    alarm: AlarmView | None
    hold: HoldView | None = Field(description="while it is held; null in lists")

    @classmethod
    def of(cls, progress: PourProgress, hold: HoldView | None) -> Self:
        """From the pour's progress, and its last hold."""
        return cls(
            state=procedural(progress.state),
            step=progress.state,
            dose=progress.dose,
            delivered_g=[round(mass_g, 2) for mass_g in progress.delivered_g],
            targets_g=[round(target_g, 2) for target_g in progress.targets_g],
            drink_g=round(sum(progress.delivered_g), 2),
            to_come_g=round(_to_come_g(progress), 2),
            glass_g=None if progress.glass_g is None else round(progress.glass_g, 2),
            alarm=None if progress.alarm is None else AlarmView.of(progress.alarm),
            hold=hold if progress.state in (PourState.HOLDING, PourState.HELD) else None,
        )


def _to_come_g(progress: PourProgress) -> float:
    """What the dose under way and those after it miss of their targets; one that has ended misses nothing."""
    if progress.dose is None:
        return sum(progress.targets_g)
    begun = progress.delivered_g[progress.dose : progress.dose + 1]
    return max(sum(progress.targets_g[progress.dose :]) - sum(begun), 0.0)
