"""A pump that does not turn: its drive is too weak at the speed of the fine feed."""

from dataclasses import dataclass

STANDS_S = 1.5
STANDS_SHARE = 0.1
STANDS_G_PER_S = 0.1
"""A pump in the fine feed that for this long delivers less than this share of its full flow, or this flow, as
good as stands."""

MAX_STANDS = 2
"""So many speeds of a dose may be too slow; at the next there is nothing to pump."""


@dataclass(slots=True)
class Standstill:
    """When liquid last moved, and at how many speeds of the dose it did not. Times in s."""

    moved_s: float = 0.0
    stood: int = 0

    def lasts(self, flow_g_per_s: float, full_g_per_s: float, now_s: float, patience_s: float) -> bool:
        """Whether it has lasted beyond `STANDS_S`, or beyond a longer `patience_s` in s."""
        if flow_g_per_s >= max(STANDS_G_PER_S, STANDS_SHARE * full_g_per_s):
            self.moved_s = now_s
        return now_s - self.moved_s > max(STANDS_S, patience_s)

    @property
    def is_hopeless(self) -> bool:
        """Whether it stood at so many speeds that it is not the speed."""
        return self.stood == MAX_STANDS
