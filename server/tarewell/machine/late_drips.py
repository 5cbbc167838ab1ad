"""What a glass shows after the verdict on its pour: what falls into it, and how it came to rest."""

from collections.abc import Mapping
from dataclasses import dataclass

from tarewell.dosing import events as e
from tarewell.dosing.drips import DripWatch
from tarewell.dosing.plan import DosePlan, PourPlan
from tarewell.dosing.uncertainty import SeenDrips
from tarewell.weighing.reading import Reading

from .effects import AddLateDrips, Effect, Persist


@dataclass(frozen=True, slots=True)
class _Watched:
    pour_id: str
    plan: PourPlan
    watch: DripWatch

    @property
    def dose(self) -> DosePlan:
        """The dose that may drip."""
        return self.plan.doses[self.watch.index]


@dataclass(frozen=True, slots=True)
class RestTaught:
    """How a glass came to rest after the verdict on a pour had foreseen it, see `settling.with_lacks`."""

    pour_id: str
    channel: int
    liquid_id: str
    lacks: tuple[tuple[float, float], ...]


class LateDrips:
    """Watches the glass of one pour after the other. `seen` is by channel and liquid."""

    def __init__(self, seen: Mapping[tuple[int, str], SeenDrips]) -> None:
        self.seen = dict(seen)
        self.taught: RestTaught | None = None
        """What the last reading has shown of a rest that was foreseen."""
        self._watched: _Watched | None = None

    def forget(self, channel: int) -> None:
        """Nothing is known of a channel any more."""
        self.seen = {key: drips for key, drips in self.seen.items() if key[0] != channel}
        if self._watched is not None and self._watched.dose.channel == channel:
            self._watched = None

    def ended(self, pour_id: str, plan: PourPlan, watch: DripWatch | None) -> None:
        """A pour is over: watch its glass, if it came to rest."""
        self._watched = None if watch is None else _Watched(pour_id, plan, watch)

    def follow(self, event: e.PourInput, now_s: float, *, tared: bool) -> list[Effect]:
        """Take a reading, by which the next pour may have `tared` its glass, or the loss of the link."""
        self.taught = None
        watched = self._watched
        if watched is None or isinstance(event, e.LinkLost):
            self._watched = None
            return []
        if not isinstance(event, Reading):
            return []
        watch = watched.watch
        dripped = watch.take(event, now_s, tared=tared)
        dose = watched.dose
        channel = dose.channel, dose.liquid_id
        if watch.over:
            self._watched = None
        if watch.lacks:
            self.taught, watch.lacks = RestTaught(watched.pour_id, *channel, watch.lacks), ()
        if watch.later_g is not None:
            self.seen[channel] = self.seen.get(channel, SeenDrips()).learn_later(watch.later_g)
        if dripped is None:
            return []
        self.seen[channel] = self.seen.get(channel, SeenDrips()).learn(dripped.dripped_g - watch.rested_g)
        return [Persist(AddLateDrips(watched.pour_id, dripped))]
