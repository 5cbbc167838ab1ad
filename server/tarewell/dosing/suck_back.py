"""After the verdict the pump turns back for a moment and draws the last drop off the nozzle into the tube.

What it leaves there is an air gap, which the next start of the channel has to fill: its runs have an offset
of their own (`RunOffset.after_gap`). The scale does not see how much was drawn back, so the length of the
run depends on nothing but the flow: then the gap is nearly the same each time, and can be learned.
"""

from .setup import DosingSettings
from .taught import Taught

APART_S = 0.12
"""All pumps stand still for so long after a reverse run; the board asks for 0.1 s (SPEC.md)."""

SHORTEST_S, LONGEST_S = 0.02, 1.0
"""In less a pump hardly moves; a slow one draws back less rather than turn back for longer."""

FASTEST_G_PER_S = 12.0
"""The gap that a faster pump leaves scatters by as much as what would drip, and costs more than it gains."""


def reverse_s(taught: Taught, settings: DosingSettings) -> float | None:
    """How long the pump should turn back at full speed; None: not at all, since nothing is to be drawn back,
    the flow is not known well enough, or it is too large. What the pump moves less while it runs up it moves
    more as it coasts."""
    flow = taught.inflight.flow_g_per_s
    if settings.suck_back_g <= 0 or not taught.sure_of_flow or not 0 < flow <= FASTEST_G_PER_S:
        return None
    return min(max(settings.suck_back_g / flow, SHORTEST_S), LONGEST_S)
