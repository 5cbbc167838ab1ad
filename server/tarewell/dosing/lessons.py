"""What the stops of a pour teach of its channels."""

from . import events as e
from .dose import ActiveDose, CutOff
from .inflight import FEW_STOPS, InFlight
from .setup import PourSetup

MAX_OFFSET_RUN_S = 1.0
"""A longer run says more about the flow than about its offset."""


class Lessons:
    """What was known of each channel at the start, and what the pour has taught since."""

    def __init__(self, setup: PourSetup) -> None:
        self._settings = setup.settings
        self._known = dict(setup.known)

    def of(self, channel: int) -> InFlight:
        """What is known of a channel."""
        return self._known.get(channel, InFlight())

    def learn(self, dose: ActiveDose, cut: CutOff, mass_g: float, fed_from_g: float) -> e.Learned:
        """Learn from a feed that began at `fed_from_g` and came to rest at `mass_g`, both gross in g."""
        learned = dose.inflight
        if cut.learnable:
            learned = learned.learn(mass_g - cut.mass_g, cut.flow_g_per_s)
        if cut.full_flow_g_per_s > 0:
            learned = learned.with_flow(cut.full_flow_g_per_s)
        if 0 < cut.ran_s <= MAX_OFFSET_RUN_S and learned.count > FEW_STOPS:
            offset_s = cut.ran_s - (mass_g - fed_from_g) / learned.flow_g_per_s
            speed, after_gap = self._settings.coarse_speed, dose.taught.after_gap
            learned = learned.with_run(speed, offset_s, after_gap=after_gap)
        if cut.fine_share > 0 and self._settings.learn_speeds:
            learned = learned.with_share(dose.taught.fine_speed, cut.fine_share)
        return self.keep(dose, learned)

    def keep(self, dose: ActiveDose, learned: InFlight) -> e.Learned:
        """The dose and those after it use this."""
        dose.inflight = self._known[dose.plan.channel] = learned
        return e.Learned(dose.plan.channel, dose.plan.liquid_id, learned)
