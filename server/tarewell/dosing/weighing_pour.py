"""A pour that is run alone: in a replay, a trial, a benchmark."""

from tarewell.weighing.scale import Scale

from . import events as e
from .drips import Dripped, DripWatch
from .pour import Pour
from .setup import PourSetup


class WeighingPour(Pour):
    """A pour with a scale of its own, so that it takes events as a trace holds them."""

    def __init__(self, setup: PourSetup) -> None:
        super().__init__(setup)
        self._scale = Scale(setup.calibration, setup.rating)

    def handle(self, event: e.PourEvent | e.PourInput, now_s: float) -> list[e.PourOutput]:
        """Take one event at the host's monotonic `now_s`; a sample is weighed first.

        Raises:
            UnexpectedPourEvent, PourTableError: as `Pour.handle`.
        """
        if isinstance(event, e.Weighed):
            event = self._scale.take(event.sample, now_s)
        return super().handle(event, now_s)

    def watch_drips(self, watch: DripWatch, event: e.Weighed, now_s: float) -> Dripped | None:
        """Take a sample after the pour is over: what has dripped, when it is weighed."""
        return watch.take(self._scale.take(event.sample, now_s), now_s, tared=False)
