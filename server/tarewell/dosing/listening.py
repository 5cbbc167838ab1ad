"""When readings stay away: is the board silent, or was this computer too busy to listen?"""

from dataclasses import dataclass

from .alarms import Alarm, alarm

LATE_S = 0.1
"""A silence this much longer than `stale_s`, whose end is a wake-up, shows that the computer was late."""


@dataclass(slots=True)
class Listening:
    """Times in s of the host's clock; a reading is stale after `stale_s`, a run ends `lease_s` after its last
    renewal."""

    stale_s: float
    lease_s: float
    heard_s: float | None = None
    """When the last reading came."""
    late_s: float = 0.0
    late_until_s: float = float("-inf")

    @property
    def due_s(self) -> float | None:
        """When the last reading is stale."""
        return None if self.heard_s is None else self.heard_s + self.stale_s

    def hear(self, now_s: float) -> None:
        """A reading came."""
        self.heard_s = now_s

    def note(self, now_s: float) -> None:
        """Something happened; it would have been a wake-up, had it not been late."""
        if self.heard_s is None:
            return
        late_s = now_s - (self.heard_s + self.stale_s)
        if late_s > LATE_S:
            self.late_s, self.late_until_s = late_s, now_s + self.lease_s

    def stale(self, now_s: float) -> Alarm | None:
        """The alarm once the last reading is stale."""
        if self.heard_s is None or self.due_s is None or now_s < self.due_s:
            return None
        return self.blame(alarm("stale_reading", f"none for {(now_s - self.heard_s) * 1000:.0f} ms"), now_s)

    def blame(self, found: Alarm, now_s: float) -> Alarm:
        """The alarm, or that this computer was late where the alarm would blame the cable for it."""
        if found.name not in ("lease_ended", "stale_reading") or now_s > self.late_until_s:
            return found
        return alarm("host_late", f"it was {self.late_s * 1000:.0f} ms late; {found.detail}")
