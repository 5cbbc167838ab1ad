"""Looks after a channel: prime, flush and purge, weighed into a cup like a dose, but for what differs here.

They run at full speed, end once and are not topped up, are held against no tolerance, and teach nothing: a
tube that fills, that empties, or that carries a cleaner says nothing about the next drink.
"""

from dataclasses import dataclass

from tarewell.weighing.estimator import Estimate

from .alarms import Alarm, alarm
from .dose import ActiveDose, Feed
from .plan import Purpose
from .watch import FIRST_FLOW_G

DRY = "dry"
"""Cause of a purge's good end."""


@dataclass(slots=True)
class ServiceDose(ActiveDose):
    """A prime or a flush: the target is what arrives at least.

    It may be silent for `prime_wait_s` before the first liquid, and again through each bubble.
    """

    dry: bool = False
    came: bool = False
    level_g: float = 0.0
    since_s: float = 0.0

    def next_feed(self, mass_g: float) -> Feed:
        """One feed, and another one only after a hold."""
        if self.feeds or self._whole(mass_g):
            return Feed.NONE
        self.came, self.level_g, self.since_s = False, mass_g, 0.0
        return Feed.COARSE

    def _whole(self, mass_g: float) -> bool:
        return self.end_g - mass_g <= self.aim_g

    def fine_pays(self, flow_g_per_s: float) -> bool:
        """Never: a gram more does not matter."""
        return False

    def time_to_cut_s(self, mass_g: float, flow_g_per_s: float) -> float:
        """When the target has arrived; what is still in the air comes on top."""
        return 0.0 if mass_g >= self.end_g else float("inf")

    def stop_at(self, mass_g: float, estimate: Estimate, now_s: float) -> None:
        """The pump is told to stop; nothing is learned from it."""
        self.cut_off_s = now_s

    def check(self, on_s: float, mass_g: float) -> Alarm | None:
        """With the pump on for `on_s` s and `mass_g` g on the platform: does liquid arrive?"""
        silent_s = self.silent_s(on_s, mass_g)
        if silent_s < self.settings.prime_wait_s:
            return None
        return alarm("no_flow", f"nothing for {silent_s:.1f} s, {self.level_g - self.start_g:.1f} g before")

    def silent_s(self, on_s: float, mass_g: float) -> float:
        """Since when nothing has arrived."""
        if mass_g - self.level_g >= FIRST_FLOW_G:
            self.came, self.level_g, self.since_s = True, mass_g, on_s
        return on_s - self.since_s


@dataclass(slots=True)
class PurgeDose(ServiceDose):
    """A purge: it ends dry, when nothing came for `no_flow_s`, or in the first `prime_wait_s`. More than the
    target is more than a tube holds."""

    @property
    def end_cause(self) -> str:
        """Always dry."""
        return DRY

    def time_to_cut_s(self, mass_g: float, flow_g_per_s: float) -> float:
        """Never by mass."""
        return float("inf")

    def check(self, on_s: float, mass_g: float) -> Alarm | None:
        """With the pump on for `on_s` s and `mass_g` g on the platform: does it end?"""
        if mass_g >= self.end_g:
            return alarm("not_emptied", f"{mass_g - self.start_g:.0f} g and no end")
        wait_s = self.settings.no_flow_s if self.came else self.settings.prime_wait_s
        self.dry = self.silent_s(on_s, mass_g) >= wait_s
        return None

    def _whole(self, mass_g: float) -> bool:
        return self.dry


DOSES: dict[Purpose, type[ActiveDose]] = {
    Purpose.DRINK: ActiveDose,
    Purpose.PRIME: ServiceDose,
    Purpose.FLUSH: ServiceDose,
    Purpose.PURGE: PurgeDose,
}
"""How a dose goes, by what its pour is for."""
