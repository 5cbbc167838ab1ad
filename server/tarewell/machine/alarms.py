"""The one registry of active alarms, with states as in ISA-18.2 / IEC 62682 (cited from memory).

An alarm is raised, returns to normal when its condition has gone, and leaves the registry once it has also
been acknowledged. One of low priority needs no acknowledgement; one that latches stays while the emergency
stop is latched. Shelving hides an alarm for a limited time; it never changes what the alarm does to a pour.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum

from tarewell.dosing.alarm_kinds import ALARMS, AlarmKind, Priority, Reaction
from tarewell.dosing.alarms import Alarm
from tarewell.dosing.events import PourEnded, PourOutput, PourStateChanged, Raised
from tarewell.dosing.states import RUNNING, PourState

SHOWN_S = 600.0
"""An alarm of low priority that has returned to normal is still shown for this long."""

MAX_SHELVE_S = 8 * 3600.0
"""An evening: nobody remembers longer what was shelved."""

_GOES_ON = RUNNING | {PourState.RESTARTING}
_PRIORITIES = list(Priority)


class AlarmState(StrEnum):
    """Where an alarm stands."""

    UNACKNOWLEDGED = "unacknowledged"
    ACKNOWLEDGED = "acknowledged"
    RETURNED = "returned_to_normal"
    """Its condition has gone; nobody has acknowledged it."""
    LATCHED = "latched"
    """Its condition has gone; it stays until the emergency stop is released."""
    SHELVED = "shelved"


class AlarmAct(StrEnum):
    """What happened to an alarm, as the journal names it."""

    RAISED = "alarm"
    RETURNED = "alarm_returned"
    ACKNOWLEDGED = "alarm_acknowledged"
    SHELVED = "alarm_shelved"
    UNSHELVED = "alarm_unshelved"


class UnknownAlarmError(Exception):
    """No such alarm is active."""


class NotShelvedError(Exception):
    """The alarm may not be shelved, or not for so long."""


@dataclass(frozen=True, slots=True)
class ActiveAlarm:
    """An alarm in the registry; times in s of the host's clock.

    `present`: its condition holds, or held at `seen_s` and its off-delay has not passed. After its return to
    normal `seen_s` is when that was. `pour_id` is the pour that raised it.
    """

    alarm: Alarm
    raised_s: float
    seen_s: float
    pour_id: str | None = None
    present: bool = True
    acknowledged: bool = False
    latched: bool = False
    shelved_until_s: float | None = None

    @property
    def id(self) -> str:
        """See `Alarm.id`."""
        return self.alarm.id

    @property
    def kind(self) -> AlarmKind:
        """Its kind."""
        return ALARMS[self.alarm.name]

    @property
    def state(self) -> AlarmState:
        """Its state."""
        if self.shelved_until_s is not None:
            return AlarmState.SHELVED
        if self.present:
            return AlarmState.ACKNOWLEDGED if self.acknowledged else AlarmState.UNACKNOWLEDGED
        return AlarmState.LATCHED if self.latched else AlarmState.RETURNED


@dataclass(frozen=True, slots=True)
class PendingAlarm:
    """A condition within its on-delay, since `since_s`."""

    alarm: Alarm
    since_s: float


@dataclass(frozen=True, slots=True)
class ChannelLabel:
    """What people call a channel's contents: the liquid's name and the id of the bottle."""

    liquid: str | None = None
    bottle: str | None = None


@dataclass(frozen=True, slots=True)
class RegistryState:
    """Everything that a registry remembers, as plain values."""

    active: tuple[ActiveAlarm, ...] = ()
    pending: tuple[PendingAlarm, ...] = ()
    labels: Mapping[int, ChannelLabel] = field(default_factory=dict)
    latched: bool = False


@dataclass(frozen=True, slots=True)
class AlarmChange:
    """Something happened to an alarm, which is now as `active` says."""

    act: AlarmAct
    active: ActiveAlarm


class Registry:
    """The active alarms by id. Every method that takes `now_s`, in s of the host's clock, returns what
    changed, and first lets the time pass."""

    def __init__(self, state: RegistryState | None = None) -> None:
        state = RegistryState() if state is None else state
        self._active = {found.id: found for found in state.active}
        self._pending = {found.alarm.id: found for found in state.pending}
        self._latched = state.latched
        self._labels = state.labels
        self._changes: list[AlarmChange] = []

    @property
    def state(self) -> RegistryState:
        """What to make the same registry from."""
        return RegistryState(
            tuple(self._active.values()), tuple(self._pending.values()), self._labels, self._latched
        )

    @property
    def worst_first(self) -> tuple[ActiveAlarm, ...]:
        """All active alarms: shelved ones last, then by priority, unacknowledged ones first, newest first."""

        def rank(found: ActiveAlarm) -> tuple[bool, int, bool, bool, float]:
            shelved = found.state is AlarmState.SHELVED
            priority = _PRIORITIES.index(found.kind.priority)
            return shelved, priority, found.acknowledged, not found.present, -found.raised_s

        return tuple(sorted(self._active.values(), key=rank))

    def named(self, alarm: Alarm) -> Alarm:
        """The alarm with the names of its channel's liquid and bottle."""
        label = self._labels.get(alarm.channel) if alarm.channel is not None else None
        if label is None or alarm.liquid is not None:
            return alarm
        return replace(alarm, liquid=label.liquid, bottle=label.bottle)

    def relabel(self, labels: Mapping[int, ChannelLabel]) -> None:
        """Which liquid and bottle each channel has now."""
        self._labels = labels

    # What the machine finds

    def update(self, findings: Sequence[Alarm], now_s: float) -> list[AlarmChange]:
        """Take the conditions that hold now, among those that are checked again and again.

        Each is raised after its on-delay, and returns to normal once it was absent for its off-delay.
        """
        found_ids = {found.id for found in findings}
        self._pending = {id_: pending for id_, pending in self._pending.items() if id_ in found_ids}
        self._pass_time(now_s)
        for found in findings:
            pending = self._pending.setdefault(found.id, PendingAlarm(found, now_s))
            if now_s - pending.since_s >= ALARMS[found.name].on_delay_s:
                self._raise(found, now_s, None)
        return self._take_changes()

    def raise_(self, found: Alarm, now_s: float) -> list[AlarmChange]:
        """Raise an alarm now. While it is present, raising it again renews it without a change."""
        self._pass_time(now_s)
        self._raise(found, now_s, None)
        return self._take_changes()

    def follow(self, pour_id: str, output: PourOutput, now_s: float) -> list[AlarmChange]:
        """Take an output of a pour: each of its alarms is raised, and returns to normal when it goes on or
        ends."""
        self._pass_time(now_s)
        match output:
            case Raised(found):
                self._raise(found, now_s, pour_id)
            case PourStateChanged(state) if PourState(state) in _GOES_ON:
                self._return_all(pour_id, now_s, {Reaction.HOLD})
            case PourEnded():
                self._return_all(pour_id, now_s, set(Reaction))
        return self._take_changes()

    @property
    def latching(self) -> Alarm | None:
        """The worst alarm behind a latched emergency stop, if one is known."""
        return next((found.alarm for found in self.worst_first if found.latched), None)

    @property
    def trips(self) -> bool:
        """Whether the condition of an alarm holds that latches the emergency stop."""
        return any(found.present and found.kind.latches for found in self._active.values())

    def latch(self, latched: bool, now_s: float) -> list[AlarmChange]:
        """Whether the emergency stop is latched now."""
        self._pass_time(now_s)
        self._latched = latched
        for found in list(self._active.values()):
            if found.kind.latches and found.latched is not latched:
                self._put(replace(found, latched=latched))
                self._end_if_done(self._active[found.id], now_s)
        return self._take_changes()

    # What people do

    def acknowledge(self, alarm_id: str, now_s: float) -> list[AlarmChange]:
        """Somebody has seen the alarm and attends to it.

        Raises:
            UnknownAlarmError: no such alarm is active.
        """
        self._require(alarm_id)
        self._pass_time(now_s)
        found = self._active.get(alarm_id)
        if found is not None and not found.acknowledged:
            self._acknowledge(found, now_s)
        return self._take_changes()

    def acknowledge_pour(self, pour_id: str, now_s: float) -> list[AlarmChange]:
        """Somebody has given the pour a command, so its alarms were seen."""
        self._pass_time(now_s)
        for found in list(self._active.values()):
            if found.pour_id == pour_id and not found.acknowledged:
                self._acknowledge(found, now_s)
        return self._take_changes()

    def shelve(self, alarm_id: str, for_s: float, now_s: float) -> list[AlarmChange]:
        """Hide an alarm for `for_s`, above 0 and at most `MAX_SHELVE_S`.

        Raises:
            UnknownAlarmError: no such alarm is active.
            NotShelvedError: it is of high priority, or the time is out of range.
        """
        if self._require(alarm_id).kind.priority is Priority.HIGH:
            raise NotShelvedError(f"{alarm_id} is of high priority and is never shelved; attend to it")
        if not 0 < for_s <= MAX_SHELVE_S:
            raise NotShelvedError(
                f"an alarm is shelved for more than 0 and at most {MAX_SHELVE_S:.0f} s, got {for_s:g} s"
            )
        self._pass_time(now_s)
        if (found := self._active.get(alarm_id)) is not None:
            shelved = replace(found, shelved_until_s=now_s + for_s)
            self._put(shelved)
            self._note(AlarmAct.SHELVED, shelved)
        return self._take_changes()

    def clear(self, now_s: float) -> list[AlarmChange]:
        """The emergency stop was released by somebody who has removed the cause: what latches has gone."""
        self._pass_time(now_s)
        self._latched = False
        for found in list(self._active.values()):
            if found.kind.latches:
                found = replace(found, latched=False)
                self._put(found)
                if not found.acknowledged:
                    self._acknowledge(found, now_s)
                self._return(found.id, now_s)
        self._drop_settled(now_s)
        return self._take_changes()

    # How

    def _pass_time(self, now_s: float) -> None:
        for found in list(self._active.values()):
            until_s, off_delay_s = found.shelved_until_s, found.kind.off_delay_s
            if until_s is not None and now_s >= until_s:
                found = replace(found, shelved_until_s=None)
                self._put(found)
                self._note(AlarmAct.UNSHELVED, found)
            own = found.pour_id is None and found.id not in self._pending and off_delay_s is not None
            if found.present and own and now_s - found.seen_s > (off_delay_s or 0.0):
                self._return(found.id, now_s)
        self._drop_settled(now_s)

    def _drop_settled(self, now_s: float) -> None:
        """Drop what has returned to normal and needs no more attention."""
        for found in list(self._active.values()):
            old = found.kind.priority is Priority.LOW and now_s - found.seen_s >= SHOWN_S
            if not found.present and not found.latched and (found.acknowledged or old):
                del self._active[found.id]

    def _raise(self, found: Alarm, now_s: float, pour_id: str | None) -> None:
        before = self._active.get(found.id)
        if before is not None and before.present and pour_id is None:
            self._put(replace(before, alarm=self.named(found), seen_s=now_s))
            return
        raised = ActiveAlarm(
            self.named(found),
            now_s,
            now_s,
            pour_id,
            latched=self._latched and ALARMS[found.name].latches,
            shelved_until_s=None if before is None else before.shelved_until_s,
        )
        self._put(raised)
        self._note(AlarmAct.RAISED, raised)

    def _return_all(self, pour_id: str, now_s: float, reactions: set[Reaction]) -> None:
        for found in list(self._active.values()):
            if found.pour_id == pour_id and found.kind.reaction in reactions:
                self._return(found.id, now_s)

    def _return(self, alarm_id: str, now_s: float) -> None:
        found = self._active.get(alarm_id)
        if found is None or not found.present:
            return
        returned = replace(found, present=False, seen_s=now_s)
        self._put(returned)
        self._note(AlarmAct.RETURNED, returned)
        self._drop_settled(now_s)

    def _acknowledge(self, found: ActiveAlarm, now_s: float) -> None:
        acknowledged = replace(found, acknowledged=True)
        self._put(acknowledged)
        self._note(AlarmAct.ACKNOWLEDGED, acknowledged)
        self._end_if_done(acknowledged, now_s)

    def _end_if_done(self, found: ActiveAlarm, now_s: float) -> None:
        """What nobody can see the end of ends with its acknowledgement."""
        unseen = found.kind.off_delay_s is None and found.pour_id is None
        if unseen and found.acknowledged and not found.latched:
            self._return(found.id, now_s)
        self._drop_settled(now_s)

    def _require(self, alarm_id: str) -> ActiveAlarm:
        """Before the time passes, so that a refusal changes nothing."""
        found = self._active.get(alarm_id)
        if found is None:
            ids = ", ".join(self._active) or "none"
            raise UnknownAlarmError(f"no alarm {alarm_id!r} is active; active: {ids}")
        return found

    def _put(self, found: ActiveAlarm) -> None:
        self._active[found.id] = found

    def _note(self, act: AlarmAct, found: ActiveAlarm) -> None:
        self._changes.append(AlarmChange(act, found))

    def _take_changes(self) -> list[AlarmChange]:
        changes, self._changes = self._changes, []
        return changes
