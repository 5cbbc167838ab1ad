"""Watches for what must not happen between pours: a pump reported on, or mass rising as from a pump."""

from tarewell.dosing.alarms import Alarm, alarm
from tarewell_protocol.messages import CHANNELS_MAX, Sample

MIN_RISING_G_PER_S = 0.5
MAX_RISING_G_PER_S = 30.0
"""Flows of a pump or a siphon; a hand that puts something down is faster."""

RISING_S = 3.0


class IdleWatch:
    """Raises each alarm once; `reset` re-arms it."""

    def __init__(self) -> None:
        self._found = False
        self._rising_since_s: float | None = None

    def reset(self) -> None:
        """Somebody has attended to the machine, or the board has a new session."""
        self._found = False

    def check(self, sample: Sample, flow_g_per_s: float | None, now_s: float) -> Alarm | None:
        """The alarm to raise; None where all is well or it was raised already."""
        if self._found:
            return None
        if not sample.running:
            return self._rise(flow_g_per_s, now_s)
        self._found = True
        channels = [bit + 1 for bit in range(CHANNELS_MAX) if sample.running >> bit & 1]
        names = ", ".join(map(str, channels))
        detail = f"channel {names} is reported on and no pour is under way"
        return alarm("uncommanded_pump", detail, channels[0])

    def _rise(self, flow_g_per_s: float | None, now_s: float) -> Alarm | None:
        if flow_g_per_s is None or not MIN_RISING_G_PER_S < flow_g_per_s < MAX_RISING_G_PER_S:
            self._rising_since_s = None
        elif self._rising_since_s is None:
            self._rising_since_s = now_s
        elif now_s - self._rising_since_s >= RISING_S:
            self._found = True
            return alarm(
                "unexpected_mass", f"{flow_g_per_s:.1f} g/s for {RISING_S:g} s and no pour is under way"
            )
        return None
