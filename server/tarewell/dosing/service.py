"""Maintenance of a channel: prime, flush and purge, weighed into a cup like a dose.

They run at full speed, are never topped up, have no tolerance, and teach nothing: a tube that fills, empties,
or carries a cleaner says nothing about the next drink.
"""

from dataclasses import dataclass

from tarewell.weighing.estimator import Estimate

from .alarms import Alarm, alarm
from .dose import ActiveDose, Feed
from .plan import Purpose
from .watch import FIRST_FLOW_G

DRY = "dry"
"""The cause with which a purge ends well."""


@dataclass(slots=True)
class ServiceDose(ActiveDose):
    """A prime or a flush: the target is the least that must arrive.

    Nothing need arrive for `prime_wait_s` before the first liquid, and again during each bubble.
    """

    dry: bool = False
    came: bool = False
    level_g: float = 0.0
    since_s: float = 0.0

    def next_feed(self, mass_g: float) -> Feed:
        """One feed; another only after a hold."""
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
        """When the target has arrived; what is in the air comes on top."""
        return 0.0 if mass_g >= self.end_g else float("inf")

    def stop_at(
        self, mass_g: float, estimate: Estimate, now_s: float, measured_g_per_s: float, ran_s: float
    ) -> None:
        """The pump is commanded to stop; nothing is learned."""
        self.cut_off_s = now_s

    def check(self, on_s: float, mass_g: float) -> Alarm | None:
        """Does liquid arrive, with the pump on for `on_s` s and `mass_g` g on the platform?"""
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
    """A purge: it ends dry once nothing came for `no_flow_s`, or for the first `prime_wait_s`. More than the
    target is more than a tube holds."""

    @property
    def end_cause(self) -> str:
        """Always dry."""
        return DRY

    def time_to_cut_s(self, mass_g: float, flow_g_per_s: float) -> float:
        """Never by mass."""
        return float("inf")

    def check(self, on_s: float, mass_g: float) -> Alarm | None:
        """Does the liquid end, with the pump on for `on_s` s and `mass_g` g on the platform?"""
        if mass_g >= self.end_g:
            return alarm("not_emptied", f"{mass_g - self.start_g:.0f} g and still flowing")
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
"""The class of a pour's doses, by its purpose."""
