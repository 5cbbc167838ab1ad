"""What each channel needs before a drink, updated by every prime, flush and purge."""

from collections.abc import Callable, Iterable

from tarewell.dosing.maintenance import ChannelNeed, Maintenance, need_after
from tarewell.dosing.plan import PourPlan, Purpose
from tarewell.dosing.states import PourState

from .pour_log import PourLog


class Needs:
    """Starts from the maintenance of the past, oldest first."""

    def __init__(self, done: Iterable[Maintenance] = ()) -> None:
        self.now: dict[int, ChannelNeed] = {}
        for maintenance in done:
            self._note(self.now.get(maintenance.channel, ChannelNeed.NONE), maintenance)

    def _note(self, before: ChannelNeed, done: Maintenance) -> None:
        self.now[done.channel] = need_after(before, done)

    def begun(self, plan: PourPlan) -> Callable[[PourLog], None]:
        """A pour begins; it counts as broken off until the returned callback gets its log."""
        if plan.purpose is Purpose.DRINK:
            return lambda _: None
        channel = plan.doses[0].channel
        before = self.now.get(channel, ChannelNeed.NONE)

        def over(log: PourLog) -> None:
            ended = log.ended
            complete = ended is not None and ended.state == PourState.COMPLETE
            mass_g = 0.0 if ended is None else ended.delivered_g
            ran = log.glass_g is not None
            self._note(before, Maintenance(channel, plan.purpose, plan.agent, ran, complete, mass_g))

        self._note(before, Maintenance(channel, plan.purpose, plan.agent, True, False, 0.0))
        return over
