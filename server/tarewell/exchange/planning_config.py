"""The settings that planning uses, as plain values."""

from dataclasses import dataclass

from tarewell.dosing.setup import DosingSettings
from tarewell.quantities.units import SmallMeasures
from tarewell.rounds.guests import ServingLimit


@dataclass(frozen=True, slots=True)
class PlanningConfig:
    """The settings that planning uses. `max_standard_drinks` within `guests_window_h` is the host's limit for
    a guest, 0 for none; `scale_max_g` is the scale's Max; `currency` is that of prices, None for no sign."""

    scale_max_g: float
    dosing: DosingSettings
    small: SmallMeasures
    standard_drink_g: float
    max_standard_drinks: float
    guests_window_h: float
    currency: str | None = None

    @property
    def limit(self) -> ServingLimit | None:
        """The host's limit for a guest; None: none is set."""
        return self.serving_limit(self.max_standard_drinks) if self.max_standard_drinks else None

    def serving_limit(self, standard_drinks: float) -> ServingLimit:
        """A limit of this many standard drinks within the window."""
        return ServingLimit(standard_drinks, self.guests_window_h * 3600, self.standard_drink_g)
