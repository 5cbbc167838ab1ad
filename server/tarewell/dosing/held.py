"""The glass of a pour that was held: is it the same one that stands there when the pour is restarted?"""

from dataclasses import dataclass

from .alarms import Alarm, alarm

RESTART_LESS_G = 3.0
RESTART_MORE_G = 8.0
"""How far a returned glass may be from what it weighed: a splash lost, the in-flight mass gained."""

REACTION_S = 0.4
"""For so long the flow may fall beside a glass that is lifted: until the pump stops and all has landed."""

SAME_G = 1.0
"""A glass that was refused is taken if it is put back, or left, within this and restarted again."""

PUDDLE_G = 0.5
PUDDLE_MAX_G = 40.0
"""What a platform without its glass reads between these is spilt liquid."""


def may_be_same(mass_g: float, seen_g: float) -> bool:
    """Whether this may be the glass that weighed `seen_g`, both in g."""
    return -RESTART_LESS_G <= mass_g - seen_g <= RESTART_MORE_G


@dataclass(slots=True)
class HeldGlass:
    """Masses in g. It weighed `mass_g` when it was held, or once it was `weighed` at rest since; the pump
    gave `flow_g_per_s` at that moment, 0 if it was off. `puddle_g` lies on the platform without it, and a
    glass of `refused_g` was refused last."""

    mass_g: float = 0.0
    flow_g_per_s: float = 0.0
    weighed: bool = False
    puddle_g: float = 0.0
    refused_g: float | None = None

    def weigh(self, mass_g: float) -> None:
        """It came to rest with this mass, which is its own."""
        self.weighed, self.mass_g = True, mass_g

    def lifted_off(self, rest_g: float) -> None:
        """The platform reads this without the glass, at rest."""
        self.puddle_g = rest_g if PUDDLE_G < rest_g < PUDDLE_MAX_G else 0.0

    def restart(self, mass_g: float, empty_g: float, *, lifted: bool) -> Alarm | None:
        """Restart with what is on the platform; the alarm if that is refused. `lifted`: the glass was off it
        since it was held; one that never left is the same, whatever fell in. `empty_g` is the empty glass."""
        if self._is_same(mass_g - self.puddle_g, lifted) or self._is_insisted_on(mass_g, empty_g):
            self.refused_g = None
            return None
        self.refused_g = mass_g
        return alarm("glass_changed", f"the scale reads {mass_g:.0f} g, it read {self.mass_g:.0f} g")

    def take_puddle_g(self) -> float:
        """What lies on the platform without the glass; it is told once."""
        puddle_g, self.puddle_g = self.puddle_g, 0.0
        return puddle_g

    def _is_same(self, mass_g: float, lifted: bool) -> bool:
        more_g = mass_g - self.mass_g
        less_g = RESTART_LESS_G + (REACTION_S * self.flow_g_per_s if lifted else 0.0)
        return -less_g <= more_g and (more_g <= RESTART_MORE_G or not lifted)

    def _is_insisted_on(self, mass_g: float, empty_g: float) -> bool:
        """Whether somebody restarts with the glass that was refused, and it is no lighter than the empty
        one."""
        if self.refused_g is None or mass_g < empty_g - SAME_G:
            return False
        return abs(mass_g - self.refused_g) <= SAME_G
