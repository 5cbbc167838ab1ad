"""A pump reported on while no pour is under way."""

from tarewell.dosing.alarms import Alarm, alarm
from tarewell_protocol.messages import CHANNELS_MAX, Sample


class IdleWatch:
    """Finds it once; `reset` makes it look again."""

    def __init__(self) -> None:
        self._found = False

    def reset(self) -> None:
        """Somebody has looked after the machine, or the board has a new session."""
        self._found = False

    def check(self, sample: Sample) -> Alarm | None:
        """The alarm to tell; None where all is well or it was told already."""
        if not sample.running or self._found:
            return None
        self._found = True
        channels = [bit + 1 for bit in range(CHANNELS_MAX) if sample.running >> bit & 1]
        names = ", ".join(map(str, channels))
        return alarm("unexpected_mass", f"channel {names} is reported on and no pour is under way")
