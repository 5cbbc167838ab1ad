"""Rounds one after the other, and whether the platform is clear for the next drink."""

from collections.abc import Iterable

from tarewell.rounds import events as e
from tarewell.rounds.plan import RoundPlan
from tarewell.rounds.progress import RoundProgress
from tarewell.rounds.round import Round

from .known import Known
from .requests import RoundNotUnderWayError
from .round_record import RoundRecord, ServedRecord
from .round_run import Decided, RoundRun


class Rounds:
    """One round at a time. It is `followed` until its outcome is in the records."""

    def __init__(self, min_glass_g: float, known: Known) -> None:
        self._min_glass_g = min_glass_g
        self._cleared = known.cleared
        self._run: RoundRun | None = None

    @property
    def under_way(self) -> RoundRun | None:
        """The round under way."""
        return None if self._run is None or self._run.finished else self._run

    def followed(self, now_s: float, pouring: tuple[float, ...]) -> tuple[str, RoundProgress] | None:
        """The round at a glance, until its outcome is in the records; `pouring` is what the doses of the pour
        under way have delivered so far, in g."""
        return None if self._run is None else (self._run.round_id, self._run.progress(now_s, pouring))

    def begin(
        self, record: RoundRecord, plan: RoundPlan, served: Iterable[ServedRecord], now_s: float
    ) -> Decided:
        """Its intent is in the records: begin. `served` is what guests had before."""
        before = [item.on_clock(record.created_at, now_s) for item in served]
        self._run = RoundRun(record.id, Round(plan, before, self._cleared))
        return self._run.command(e.RoundCommand.START, now_s)

    def get(self, round_id: str) -> RoundRun:
        """The round under way.

        Raises:
            RoundNotUnderWayError: it is over, or there is no such round.
        """
        run = self.under_way
        if run is None or run.round_id != round_id:
            raise RoundNotUnderWayError(f"round {round_id} is not under way; {self._what_is()}")
        return run

    def waiting(self, guest: str, now_s: float) -> tuple[RoundRun, int]:
        """The round under way, and the guest's glass in it that waits for a release.

        Raises:
            RoundNotUnderWayError: none does.
        """
        run = self.under_way
        glass = None if run is None else run.waiting_glass(guest, now_s)
        if run is None or glass is None:
            raise RoundNotUnderWayError(
                f"no glass of {guest} waits for a release; {self._what_is()} under way"
            )
        return run, glass

    @property
    def cleared(self) -> bool:
        """Whether the platform was seen empty since a pour last ran into what is on it."""
        return self._cleared

    def see(self, poured_into: bool, rest_g: float | None, now_s: float) -> Decided:
        """A sample was weighed: the load at rest in g, None where it moves; whether a pour runs into it."""
        if poured_into:
            self._cleared = False
        elif rest_g is not None and rest_g < self._min_glass_g:
            self._cleared = True
        if rest_g is None or (run := self.under_way) is None:
            return [], []
        return run.feed(e.PlatformRead(rest_g), now_s)

    def kept(self, key: str) -> None:
        """A write with this key is done: a round whose outcome it was is followed no longer."""
        if self._run is not None and self._run.kept_key == key:
            self._run = None

    def _what_is(self) -> str:
        return "none is" if self.under_way is None else f"round {self.under_way.round_id} is"
