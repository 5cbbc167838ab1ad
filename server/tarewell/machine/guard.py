"""What is wrong with the machine: the watch, the active alarms, and the emergency stop that they trip."""

from collections.abc import Mapping

from tarewell.dosing.alarms import Alarm, alarm
from tarewell.dosing.events import PourOutput
from tarewell_protocol import messages as m

from .alarm_records import journaled
from .alarms import ActiveAlarm, ChannelLabel, Registry, RegistryState
from .effects import AppendEvent, Command, Effect, Persist
from .known import Known
from .watch import Watch

LOOK_S = 1.0
"""How often conditions that last are checked."""

LATCHED = "emergency_stop"
"""The kind of the journal's event for an emergency stop that latches. Its `origin` is who asked for it, or
one of the two below."""

BY_WATCH, BY_BOARD = "watch", "board"
"""An alarm tripped it, or the board did: its button, or the pump supply."""

TRIP_AGAIN_S = 0.5
"""A board that forgot its emergency stop is told again after this time."""


class MachineGuard:
    """Times in s of the host's clock. An emergency stop holds until it is released here, whatever makes the
    board forget it."""

    def __init__(self, known: Known) -> None:
        self.watch = Watch()
        self._registry = Registry(RegistryState(labels=known.labels, latched=known.latched))
        self._latched = known.latched
        self._trip_again_s = float("-inf")
        self.look_due_s = float("-inf")
        """When `look` is due."""

    @property
    def latched(self) -> bool:
        """Whether the emergency stop is latched."""
        return self._latched

    @property
    def latched_by(self) -> Alarm | None:
        """The worst alarm behind a latched emergency stop, if one is known."""
        return self._registry.latching

    @property
    def worst_first(self) -> tuple[ActiveAlarm, ...]:
        """The active alarms."""
        return self._registry.worst_first

    def named(self, found: Alarm) -> Alarm:
        """The alarm with the names of its channel's liquid and bottle."""
        return self._registry.named(found)

    def relabel(self, labels: Mapping[int, ChannelLabel]) -> None:
        """Take what people call the contents of each channel."""
        self._registry.relabel(labels)

    # The emergency stop

    def opened(self) -> list[Effect]:
        """A board has connected: it is told of an emergency stop that nobody released."""
        self.watch.reset()
        return [Command(m.EmergencyStop())] if self._latched else []

    def compare(self, sample: m.Sample, is_releasing: bool, is_pouring: bool, now_s: float) -> list[Effect]:
        """Compare with what the board reports of its emergency stop."""
        if sample.latched and not self._latched:
            return self.latch(BY_WATCH if self._registry.trips else BY_BOARD, now_s)
        if sample.latched and self.latched_by is None and not is_pouring:
            found = alarm("emergency_stop", "the board reports it latched")
            return self.raise_(alarm("supply_lost", "it is off") if sample.supply_off else found, now_s)
        if sample.latched or not self._latched or is_releasing or now_s < self._trip_again_s:
            return []
        self._trip_again_s = now_s + TRIP_AGAIN_S
        return [Command(m.EmergencyStop())]

    def trip(self, now_s: float) -> list[Effect]:
        """Stop all pumps and latch, on the board and here."""
        return [Command(m.Stop()), Command(m.EmergencyStop()), *self.latch(BY_WATCH, now_s)]

    def latch(self, origin: str, now_s: float) -> list[Effect]:
        """The board latches its emergency stop, or is told to by `origin`."""
        self._trip_again_s = now_s + TRIP_AGAIN_S
        first = Persist(AppendEvent(LATCHED, {"origin": origin}))
        noted: list[Effect] = [] if self._latched else [first]
        self._latched = True
        return [*noted, *journaled(self._registry.latch(True, now_s), now_s)]

    def release(self, origin: str, now_s: float) -> list[Effect]:
        """The board has released it; `origin` asked for it."""
        self._latched = False
        self.watch.reset()
        cleared = journaled(self._registry.clear(now_s), now_s)
        return [*cleared, Persist(AppendEvent("emergency_stop_released", {"origin": origin}))]

    # Alarms

    def raise_(self, found: Alarm, now_s: float) -> list[Effect]:
        """Raise an alarm that no pour has to answer."""
        return journaled(self._registry.raise_(found, now_s), now_s)

    def follow(self, pour_id: str, output: PourOutput, now_s: float) -> list[Effect]:
        """What a pour decided, as far as alarms follow it."""
        return journaled(self._registry.follow(pour_id, output, now_s), now_s)

    def look(self, records_fault: str | None, now_s: float) -> list[Effect]:
        """See what lasts, and let the time of alarms pass."""
        self.look_due_s = now_s + LOOK_S
        lasting = [] if records_fault is None else [alarm("records_failing", records_fault)]
        return journaled(self._registry.update(lasting, now_s), now_s)

    def acknowledge(self, alarm_id: str, now_s: float) -> list[Effect]:
        """See `Registry.acknowledge`."""
        return journaled(self._registry.acknowledge(alarm_id, now_s), now_s)

    def acknowledge_pour(self, pour_id: str, now_s: float) -> list[Effect]:
        """See `Registry.acknowledge_pour`."""
        return journaled(self._registry.acknowledge_pour(pour_id, now_s), now_s)

    def shelve(self, alarm_id: str, for_s: float, now_s: float) -> list[Effect]:
        """See `Registry.shelve`."""
        return journaled(self._registry.shelve(alarm_id, for_s, now_s), now_s)
