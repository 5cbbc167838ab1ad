"""What each channel's tube holds and needs, updated by every pour."""

from collections.abc import Mapping

from tarewell.dosing.maintenance import NEW_TUBE, PumpRun, TubeState
from tarewell.dosing.plan import PourPlan, Purpose
from tarewell.dosing.states import PourState

from .pour_log import PourLog

TUBE_CHANGED = "tube_changed"
"""The kind of the event that tells of a new tube."""


class Needs:
    """Starts from the tubes that the records know."""

    def __init__(self, tubes: Mapping[int, TubeState]) -> None:
        self.tubes = dict(tubes)
        self._before: Mapping[int, TubeState] = {}

    def assigned(self, channel: int, liquid_id: str | None) -> None:
        """A channel was assigned a liquid. The first one counts as in its tube, as in the records."""
        if liquid_id is not None and channel not in self.tubes:
            self.tubes[channel] = TubeState().filled(liquid_id)

    def tube_changed(self, channel: int) -> None:
        """A channel has a new tube."""
        self.tubes[channel] = NEW_TUBE

    def begun(self, plan: PourPlan) -> None:
        """A pour begins; until `over` it counts as broken off."""
        self._before = dict(self.tubes)
        for dose in plan.doses:
            self._add(PumpRun(dose.channel, dose.liquid_id, plan.purpose, plan.agent), self.tubes)

    def over(self, plan: PourPlan, log: PourLog) -> None:
        """The pour is over."""
        if plan.purpose is Purpose.DRINK:
            return
        (dose,), ended = plan.doses, log.ended
        run = PumpRun(
            dose.channel,
            dose.liquid_id,
            plan.purpose,
            plan.agent,
            turned=log.glass_g is not None,
            complete=ended is not None and ended.state == PourState.COMPLETE,
            delivered_g=0.0 if ended is None else ended.delivered_g,
        )
        self._add(run, self._before)

    def _add(self, run: PumpRun, before: Mapping[int, TubeState]) -> None:
        self.tubes[run.channel] = before.get(run.channel, TubeState()).after(run)
