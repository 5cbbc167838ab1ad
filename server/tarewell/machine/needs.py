"""What each channel needs before a drink, updated by every prime, flush and purge."""

from collections.abc import Iterable

from tarewell.dosing.maintenance import ChannelNeed, Maintenance, need_after
from tarewell.dosing.plan import PourPlan, Purpose
from tarewell.dosing.states import PourState

from .pour_log import PourLog


class Needs:
    """Starts from the maintenance of the past, oldest first."""

    def __init__(self, done: Iterable[Maintenance] = ()) -> None:
        self.now: dict[int, ChannelNeed] = {}
        self._before = ChannelNeed.NONE
        for maintenance in done:
            self._note(self.now.get(maintenance.channel, ChannelNeed.NONE), maintenance)

    def _note(self, before: ChannelNeed, done: Maintenance) -> None:
        self.now[done.channel] = need_after(before, done)

    def begun(self, plan: PourPlan) -> None:
        """A pour begins; until `over` it counts as broken off."""
        if plan.purpose is not Purpose.DRINK:
            self._before = self.now.get(plan.doses[0].channel, ChannelNeed.NONE)
            self._note(self._before, _maintenance(plan, ran=True, complete=False, delivered_g=0.0))

    def over(self, plan: PourPlan, log: PourLog) -> None:
        """The pour is over."""
        if plan.purpose is not Purpose.DRINK and log.ended is not None:
            complete = log.ended.state == PourState.COMPLETE
            ran = log.glass_g is not None
            self._note(self._before, _maintenance(plan, ran, complete, log.ended.delivered_g))


def _maintenance(plan: PourPlan, ran: bool, complete: bool, delivered_g: float) -> Maintenance:
    return Maintenance(plan.doses[0].channel, plan.purpose, plan.agent, ran, complete, delivered_g)
