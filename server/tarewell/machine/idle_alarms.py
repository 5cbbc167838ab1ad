"""Alarms while no pour is under way: in memory first, whatever becomes of the records."""

from tarewell.dosing.alarms import Alarm

SHOWN_S = 600.0
"""An alarm is shown for this long after it was raised last."""

AGAIN_S = 60.0
"""The same alarm is journaled again after this time at the earliest."""


class IdleAlarms:
    """By name; times in s on the host's monotonic clock."""

    def __init__(self) -> None:
        self._raised: dict[str, tuple[Alarm, float]] = {}
        self._journaled_s: dict[str, float] = {}

    def add(self, alarm: Alarm, now_s: float) -> bool:
        """Take an alarm; whether it goes into the journal, which holds no endless repetition."""
        self._raised[alarm.name] = alarm, now_s
        if now_s - self._journaled_s.get(alarm.name, float("-inf")) < AGAIN_S:
            return False
        self._journaled_s[alarm.name] = now_s
        return True

    def shown(self, now_s: float) -> tuple[Alarm, ...]:
        """Those to show, oldest first."""
        return tuple(alarm for alarm, at_s in self._raised.values() if now_s - at_s <= SHOWN_S)

    def clear(self) -> None:
        """Somebody has attended to the machine."""
        self._raised.clear()
        self._journaled_s.clear()
