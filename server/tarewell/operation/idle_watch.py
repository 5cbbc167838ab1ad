"""A pump reported on while no pour is under way."""

from typing import Any

from tarewell.dosing.alarms import alarm
from tarewell_protocol.messages import Sample


class IdleWatch:
    """Finds it once; `reset` makes it look again."""

    def __init__(self) -> None:
        self._found = False

    def reset(self) -> None:
        """Somebody has looked after the machine, or the board has a new session."""
        self._found = False

    def check(self, sample: Sample) -> dict[str, Any] | None:
        """The alarm to tell, as the journal holds it; None where all is well or it was told already."""
        if not sample.running or self._found:
            return None
        self._found = True
        channels = [bit + 1 for bit in range(8) if sample.running >> bit & 1]
        names = ", ".join(map(str, channels))
        found = alarm("unexpected_mass", f"channel {names} is reported on and no pour is under way")
        return {
            "name": found.name,
            "reaction": found.reaction.value,
            "message": found.message,
            "cure": found.cure,
            "detail": found.detail,
        }
