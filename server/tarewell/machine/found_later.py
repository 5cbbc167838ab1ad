"""What landed on the platform after a pour had ended without weighing it: found once the load is at rest.

A pour that is aborted, or cut off with its link or its program, records the last mass known. Liquid still
falls, a driver may be stuck. The difference to a rest some seconds later is found later, for certain only
where nobody can have had a hand in it: the glass was not lifted, nothing fell in or leaned on it, and it is
no more than the pump could give.
"""

from dataclasses import dataclass

from tarewell.dosing import events as e
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.jog import MAX_FLOW_G_PER_S
from tarewell.dosing.setup import PourSetup
from tarewell.dosing.states import PourState
from tarewell.dosing.watch import LIFTED_SHARE
from tarewell.weighing.reading import Reading
from tarewell.weighing.recent import WHOLE_SHARE

from .effects import Effect, Persist
from .pour_log import PourLog
from .pour_record import Certainty, FoundLater

LOOK_S, IDLE_LOOK_S = 0.1, 0.5
"""How often the load is looked at while something is sought, and while not."""

SETTLED_S, SETTLED_BAND_G = 0.5, 0.08
REST_S, REST_BAND_G = 3.5, 0.1
"""The drink is weighed over a rest so long that what drips has fallen; 3 s of readings suffice for it."""

STOOD_S = 1.0
"""A rest of this length before a tare stands for it."""

DRIPS_G = 1.0
LESS_G = 3.0
"""A reading taken while the jet falls may be this much too high."""

UNSEEN_S = 2.5
"""With nobody watching a pump runs on until its lease ends, and what it gave falls; a program that was killed
had not written its last second."""

SLACK = 1.3
"""A stuck driver runs its pump faster than the board does."""

LINE_S, HAND_FACTOR, HAND_G_PER_S = 0.3, 1.5, 8.0
"""A slope over this time that is steeper than so many times the flow, and this, is no liquid."""

SOME_G = 0.5
"""Less than this is nothing where no dose was under way."""

UNCOMMANDED = ("unexpected_mass", "uncommanded_pump", "pump_stuck", "emergency_stop")
"""Causes of an abort that tell that liquid may have come before the tare."""

LATE_S = 600.0
"""After so long without a reading nobody can tell what happened to the glass meanwhile."""


@dataclass(frozen=True, slots=True)
class Unweighed:
    """A pour that was cut short, as it was known at that moment; masses in g.

    `stands_g` is what should stand on the platform: the empty glass, `glass_g`, the mass recorded, and what
    else lies there. `flow_g_per_s` is the flow that may have gone on, 0 where no pump ran. `dose_index` is
    the dose under way, None if there was none. `ago_s` is how long ago it ended, 0 for now.
    """

    pour_id: str
    glass_g: float
    stands_g: float
    flow_g_per_s: float
    dose_index: int | None
    ago_s: float = 0.0


def unweighed(
    pour_id: str,
    setup: PourSetup,
    log: PourLog,
    *,
    cause: str,
    stands_g: float,
    held_weighed: bool = True,
    ago_s: float = 0.0,
) -> Unweighed | None:
    """What a pour left by its log, None where it had no glass. `held_weighed` tells whether it was weighed
    after it was held, if it was."""
    if log.glass_g is None or log.dose is None:
        return None
    dose = setup.plan.doses[log.dose]
    learned = log.learned.get((dose.channel, dose.liquid_id)) or setup.known.get(dose.channel, InFlight())
    flow_g_per_s = learned.flow_g_per_s or MAX_FLOW_G_PER_S
    if log.left == PourState.HELD and held_weighed and cause in ("abort", "link_lost", "program_ended"):
        flow_g_per_s = 0.0
    return Unweighed(pour_id, log.glass_g, stands_g, flow_g_per_s, log.dose, ago_s)


@dataclass(slots=True)
class Search:
    """What is sought, since when in s of the host's clock, and what happened to it meanwhile.

    `settled_g` is the first rest since, seen at `settled_s`; `most_g` the most that stood there.
    """

    of: Unweighed
    since_s: float
    most_g: float
    unseen: bool = False
    lifted: bool = False
    touched: bool = False
    settled_g: float | None = None
    settled_s: float = 0.0


@dataclass(slots=True)
class LaterState:
    """What it remembers. `reading_s`, `look_s` and `quiet_s` are board times in s: of the last reading, which
    weighed `gross_g`, of the last look, and of the last pump on.

    `left` is what an earlier run of the program left. `stood_g` is the last rest of a glass that was not
    lifted since, `last_pour_id` the pour that ended in order into it.
    """

    left: Unweighed | None = None
    search: Search | None = None
    reading_s: float = 0.0
    gross_g: float = 0.0
    look_s: float = 0.0
    quiet_s: float = 0.0
    stood_g: float | None = None
    last_pour_id: str | None = None


class LaterWeighing:
    """Follows the platform, pour or no pour. `left` is what an earlier run of the program left."""

    def __init__(self, min_glass_g: float, left: Unweighed | None = None) -> None:
        self._min_glass_g = min_glass_g
        self.state = LaterState(left)

    def follow(self, event: e.PourInput, now_s: float) -> list[Effect]:
        """Take a reading, after the pour under way has, or the loss of the link."""
        state = self.state
        if (left := state.left) is not None:
            state.left = None
            state.search = _search(left, now_s - left.ago_s, unseen=True)
        match event:
            case Reading():
                return self._see(event, now_s)
            case e.LinkLost():
                if state.search is not None:
                    state.search.unseen = True
                self.state = LaterState(search=state.search)
        return []

    def ended(self, pour_id: str, ended: e.PourEnded, left: Unweighed | None, now_s: float) -> list[Effect]:
        """A pour is over: seek what it left, if it did not weigh that itself."""
        state = self.state
        if ended.state != PourState.ABORTED:
            state.last_pour_id = pour_id
            return []
        state.quiet_s = state.reading_s
        if left is not None:
            state.search = _search(left, now_s)
            return []
        if state.search is not None or ended.cause not in UNCOMMANDED:
            return []
        if self._seek_beyond(pour_id, now_s) or state.gross_g < self._min_glass_g:
            return []
        return [Persist(FoundLater(pour_id, Certainty.UNKNOWN, None, None, "not_tared"))]

    def tared(self, glass_g: float, now_s: float) -> list[Effect]:
        """The next pour has tared what stands there, with what the last one left."""
        self.state.stood_g = self.state.last_pour_id = None
        return [] if self.state.search is None else self._decide(self.state.search, glass_g, now_s)

    def _seek_beyond(self, pour_id: str, now_s: float) -> bool:
        """Seek what no dose gave, on top of what stood there last; whether that is known."""
        if (stood_g := self.state.stood_g) is None:
            return False
        self.state.search = _search(Unweighed(pour_id, stood_g, stood_g, MAX_FLOW_G_PER_S, None), now_s)
        return True

    def _see(self, reading: Reading, now_s: float) -> list[Effect]:
        state, t_s = self.state, reading.t_s
        if t_s < state.reading_s:  # the board's clock began anew
            state.look_s = state.quiet_s = 0.0
        state.reading_s, state.gross_g = t_s, reading.gross_g
        if reading.pump_on:
            state.quiet_s = t_s
        if reading.gross_g < self._min_glass_g:
            state.stood_g = state.last_pour_id = None
        if reading.sample.latched and state.last_pour_id is not None and state.search is None:
            self._seek_beyond(state.last_pour_id, now_s)
            state.last_pour_id = None
        search = state.search
        if search is not None and reading.gross_g < LIFTED_SHARE * search.of.glass_g:
            search.lifted = True
        if reading.sample.saturated or t_s - state.look_s < (IDLE_LOOK_S if search is None else LOOK_S):
            return []
        state.look_s = t_s
        if search is None:
            stood = reading.recent.rest(STOOD_S, SETTLED_BAND_G, t_s, state.quiet_s)
            if stood is not None and stood.mean_g >= self._min_glass_g:
                state.stood_g = stood.mean_g
            return []
        return self._look(search, reading, now_s)

    def _look(self, search: Search, reading: Reading, now_s: float) -> list[Effect]:
        recent, t_s, quiet_s = reading.recent, reading.t_s, self.state.quiet_s
        if search.unseen and now_s - search.since_s > LATE_S:
            return self._tell(search, Certainty.UNKNOWN, None, "too_late")
        line = recent.line(LINE_S, t_s, quiet_s)
        if line is not None and line.span_s >= WHOLE_SHARE * LINE_S:
            limit = HAND_G_PER_S + HAND_FACTOR * search.of.flow_g_per_s
            search.touched |= abs(line.flow_g_per_s) > limit
        if search.settled_g is None and (rest := recent.rest(SETTLED_S, SETTLED_BAND_G, t_s, quiet_s)):
            search.settled_g, search.settled_s = rest.mean_g, now_s
            search.most_g = max(search.most_g, rest.mean_g)
        rest = recent.rest(REST_S, REST_BAND_G, t_s, quiet_s)
        return [] if rest is None else self._decide(search, rest.mean_g, now_s)

    def _decide(self, search: Search, mass_g: float, now_s: float) -> list[Effect]:
        """Judge a mass at rest."""
        of, settled_g = search.of, search.settled_g
        found_g = mass_g - of.stands_g
        flowed_s = UNSEEN_S
        if not search.unseen:
            flowed_s += (search.settled_s if settled_g is not None else now_s) - search.since_s
        possible = -LESS_G <= found_g <= DRIPS_G + SLACK * flowed_s * of.flow_g_per_s
        touched = search.touched or (settled_g is not None and abs(mass_g - settled_g) > DRIPS_G)
        if mass_g < LIFTED_SHARE * of.glass_g or (search.lifted and not possible):
            return self._tell(search, Certainty.UNKNOWN, None, "lifted")
        if found_g < -LESS_G:
            return self._tell(search, Certainty.UNKNOWN, None, "lighter")
        if search.lifted:
            return self._tell(search, Certainty.DOUBTFUL, found_g, "lifted")
        if touched:
            return self._tell(search, Certainty.DOUBTFUL, found_g, "touched")
        if not possible:
            return self._tell(search, Certainty.DOUBTFUL, found_g, "too_much")
        return self._tell(search, Certainty.WEIGHED, found_g, None)

    def _tell(
        self, search: Search, certainty: Certainty, found_g: float | None, reason: str | None
    ) -> list[Effect]:
        self.state.search = None
        of = search.of
        is_nothing = abs(found_g or 0.0) < SOME_G and search.most_g - of.stands_g < SOME_G
        if of.dose_index is None and is_nothing:
            return []
        return [Persist(FoundLater(of.pour_id, certainty, found_g, of.dose_index, reason))]


def _search(left: Unweighed, since_s: float, *, unseen: bool = False) -> Search:
    return Search(left, since_s, left.stands_g, unseen)
