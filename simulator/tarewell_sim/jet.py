"""Liquid in the air between nozzle and glass, and its impact when it lands."""

from collections import deque
from math import sqrt

from .tube import G_M_PER_S2


def fall(height_m: float, nozzle_m_per_s: float = 0.0) -> tuple[float, float]:
    """Time in the air and speed at impact, in s and m/s, for a drop height and a speed at the nozzle.

    v = sqrt(v0² + 2 g h), t = (v - v0) / g: free fall without drag, mechanics textbook.
    """
    impact = sqrt(nozzle_m_per_s * nozzle_m_per_s + 2 * G_M_PER_S2 * height_m)
    return (impact - nozzle_m_per_s) / G_M_PER_S2, impact


class Jet:
    """A queue of stretches of liquid, each with the span of time in which it lands.

    The height is taken when a stretch leaves the nozzle. Liquid that would overtake earlier liquid lands
    with it instead. Air drag, splash and break-up into drops are not modelled.
    """

    def __init__(self) -> None:
        self._falling: deque[list[float]] = deque()  # lands from s, to s, mass g, speed m/s
        self._left_s = -1.0
        self._lands_s = -1.0

    @property
    def mass_g(self) -> float:
        """Mass in the air."""
        return sum(stretch[2] for stretch in self._falling)

    @property
    def empty(self) -> bool:
        """Whether nothing is in the air."""
        return not self._falling

    def emit(self, now_s: float, dt_s: float, mass_g: float, nozzle_m_per_s: float, height_m: float) -> None:
        """Let `mass_g` leave the nozzle evenly between `now_s` and `now_s + dt_s`."""
        time_s, impact = fall(height_m, nozzle_m_per_s)
        start, left_s = self._lands_s, now_s + dt_s
        if not -1e-6 < self._left_s - now_s < 1e-6 and now_s + time_s > start:
            start = now_s + time_s
        end, least = left_s + time_s, start + 0.1 * dt_s
        if least > end:
            end = least
        self._falling.append([start, end, mass_g, impact])
        self._left_s, self._lands_s = left_s, end

    def land(self, until_s: float) -> tuple[float, float]:
        """The mass in g and momentum in g·m/s that land up to `until_s`."""
        mass, momentum, falling = 0.0, 0.0, self._falling
        while falling:
            stretch = falling[0]
            start, end, part, speed = stretch
            if start >= until_s:
                break
            if end > until_s:
                part *= (until_s - start) / (end - start)
                stretch[0] = until_s
                stretch[2] -= part
            else:
                falling.popleft()
            mass += part
            momentum += part * speed
        return mass, momentum
