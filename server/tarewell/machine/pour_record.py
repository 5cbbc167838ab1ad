"""A pour as it is intended, and as it is kept.

Times are aware and in UTC; masses in g, densities in g/ml, strength in % by volume.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

from tarewell.dosing.drips import Dripped
from tarewell.dosing.events import DoseEnded
from tarewell.dosing.maintenance import TubeState
from tarewell.dosing.setup import PourSetup

OPEN = "open"
"""State of a pour that has no outcome yet."""


@dataclass(frozen=True, slots=True)
class RecipeNote:
    """The recipe of a pour, by its name at that time, with its glass and serving."""

    recipe_id: str
    name: str
    glass_id: str | None = None
    serving_id: str | None = None


@dataclass(frozen=True, slots=True)
class NewPour:
    """The intent of a pour. `board_channels` is how many channels the board has (None: not known).

    `origin` is who asked: "api", "panel", ... An idempotency key comes with a fingerprint of the request.
    `recipe` is the recipe of the drink, if any; `tubes` what the channels' tubes hold, which is not stored.
    """

    setup: PourSetup
    origin: str
    idempotency_key: str | None = None
    fingerprint: str | None = None
    board_id: str | None = None
    board_firmware: str | None = None
    recipe: RecipeNote | None = None
    board_channels: int | None = None
    tubes: Mapping[int, TubeState] = field(default_factory=dict)

    @property
    def purpose(self) -> str:
        """What the plan is for: "drink", "prime", "flush" or "purge"."""
        return self.setup.plan.purpose.value


@dataclass(frozen=True, slots=True)
class DoseRecord:
    """A dose as intended, and how it ended (None: it did not, or was not observed)."""

    index: int
    channel: int
    liquid_id: str
    liquid_name: str
    density_g_per_ml: float
    abv_percent: float | None
    target_g: float
    outcome: DoseEnded | None
    tolerance_g: float | None = None
    """By the accuracy class of its pour, from its final target; None for a prime, flush or purge."""

    @property
    def poured_to_g(self) -> float:
        """The final target: the planned one, or what it was rescaled to."""
        rescaled_g = None if self.outcome is None else self.outcome.target_g
        return self.target_g if rescaled_g is None else rescaled_g


@dataclass(frozen=True, slots=True)
class PourOutcome:
    """How a pour ended; `delivered_g` and `glass_g` are None where no mass was known, and so is
    `uncertainty_g`, the standard one, where it was not at rest.

    For an interrupted pour `ended_at` is the last sign of life and `delivered_g` the last mass written.
    """

    state: str
    cause: str
    delivered_g: float | None
    glass_g: float | None
    ended_at: datetime
    uncertainty_g: float | None = None


@dataclass(frozen=True, slots=True)
class FinalMass:
    """A delivered mass with what was found after the verdict; its standard uncertainty, None: unknown."""

    mass_g: float
    uncertainty_g: float | None


class Certainty(StrEnum):
    """How sure it is that a mass found later belongs to the pour."""

    WEIGHED = "weighed"
    DOUBTFUL = "doubtful"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class FoundLater:
    """What stood on the platform, once at rest, beyond what a pour had recorded when it ended.

    `found_g` is the difference in g, None if unknown. Only a weighed one counts, and comes from the dose of
    `dose_index`, if one was under way. `reason` says why it is no more certain than that.
    """

    pour_id: str
    certainty: Certainty
    found_g: float | None
    dose_index: int | None = None
    reason: str | None = None


@dataclass(frozen=True, slots=True)
class FoundRecord(FoundLater):
    """The same with the time at which it was written."""

    at: datetime = field(kw_only=True)


@dataclass(frozen=True, slots=True)
class PourRecord:
    """A pour: intent, and outcome if there is one. `replayed` marks the answer to a repeated request."""

    id: str
    machine_id: str
    created_at: datetime
    origin: str
    program_version: str
    board_id: str | None
    board_firmware: str | None
    idempotency_key: str | None
    doses: tuple[DoseRecord, ...]
    outcome: PourOutcome | None
    purpose: str = "drink"
    recipe: RecipeNote | None = None
    found_later: FoundRecord | None = None
    late_drips: Dripped | None = None
    guest: str | None = None
    """Whose glass of a round it served."""
    replayed: bool = False

    @property
    def state(self) -> str:
        """ "open", or the state that it ended in."""
        return OPEN if self.outcome is None else self.outcome.state

    @property
    def target_g(self) -> float:
        """Mass of the whole drink in g."""
        return sum(dose.target_g for dose in self.doses)

    @property
    def final(self) -> FinalMass | None:
        """All that it delivered; None where no mass was known."""
        end, drips = self.outcome, self.late_drips
        if end is None or end.delivered_g is None:
            return None
        if drips is not None:
            return FinalMass(end.delivered_g + drips.dripped_g, drips.uncertainty_g)
        return _with_found(end.delivered_g, end.uncertainty_g, self.found_later)

    def final_of(self, dose: DoseRecord) -> FinalMass | None:
        """What one of its doses delivered; None where it did not end."""
        end, drips, found = dose.outcome, self.late_drips, self.found_later
        if end is None:
            return None
        if drips is not None and drips.index == dose.index:
            return FinalMass(end.delivered_g + drips.dripped_g, drips.dose_uncertainty_g)
        its_own = found is not None and found.dose_index == dose.index
        return _with_found(end.delivered_g, end.uncertainty_g, found if its_own else None)


def _with_found(delivered_g: float, uncertainty_g: float | None, found: FoundLater | None) -> FinalMass:
    if found is None or found.certainty is not Certainty.WEIGHED or found.found_g is None:
        return FinalMass(delivered_g, uncertainty_g)
    return FinalMass(delivered_g + found.found_g, None)
