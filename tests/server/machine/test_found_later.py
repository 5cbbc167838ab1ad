"""What a cut-short pour left, found on a platform whose load is scripted, and for any hands."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from random import Random
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from machine_double import CALIBRATION
from playbook import Playbook
from tarewell.dosing.events import LinkLost, PourEnded
from tarewell.machine.effects import Persist
from tarewell.machine.found_later import LATE_S, LaterState, LaterWeighing, Unweighed
from tarewell.machine.pour_record import Certainty, FoundLater
from tarewell.typed_json import dump, load
from tarewell.weighing.scale import Scale, ScaleRating
from tarewell_protocol.messages import Sample

RATE_HZ = 25
GLASS_G = 250.0
FLOW_G_PER_S = 8.0
ABORTED, COMPLETE = PourEnded("aborted", "abort", 20.0), PourEnded("complete", "target", 20.0)
LEFT = Unweighed("pour 1", GLASS_G, GLASS_G + 20.0, FLOW_G_PER_S, 0)


@dataclass(frozen=True)
class Load:
    """For so long the load goes steadily from what it was to `to_g`; None: it stays."""

    seconds: float
    to_g: float | None = None
    running: int = 0
    latched: bool = False


@dataclass(frozen=True)
class Over:
    """A pour is over."""

    pour_id: str
    ended: PourEnded
    left: Unweighed | None


@dataclass(frozen=True)
class Tare:
    """The next pour has tared its glass."""

    glass_g: float


@dataclass
class Platform:
    """The part under a platform with noise, whose state is stored and restored after every event."""

    later: LaterWeighing = field(default_factory=lambda: LaterWeighing(20.0))
    load_g: float = 0.0
    random: Random = field(default_factory=lambda: Random(51))

    def __post_init__(self) -> None:
        self._scale = Scale(CALIBRATION, ScaleRating())
        self._count = 0
        self._late_s = 0.0

    def handle(self, event: Any, now_s: float) -> Sequence[Any]:
        effects = list(self._effects(event))
        self.later.state = load(LaterState, dump(self.later.state))
        return effects

    @property
    def _now_s(self) -> float:
        return 100.0 + self._late_s + self._count / RATE_HZ

    def _effects(self, event: Any) -> Sequence[Any]:
        match event:
            case Load(seconds, to_g, running, latched):
                return self._weigh(round(seconds * RATE_HZ), to_g, running, latched)
            case Over(pour_id, ended, left):
                return self.later.ended(pour_id, ended, left, self._now_s)
            case Tare(glass_g):
                return self.later.tared(glass_g, self._now_s)
            case LinkLost():
                self._scale.lost()
                return self.later.follow(event, self._now_s)
        raise TypeError(f"nobody plays {event!r}")

    def pass_time(self, seconds: float) -> None:
        """Time in which no reading comes."""
        self._late_s += seconds

    def _weigh(self, count: int, to_g: float | None, running: int, latched: bool) -> list[Any]:
        from_g, effects = self.load_g, []
        self.load_g = from_g if to_g is None else to_g
        for number in range(1, count + 1):
            self._count += 1
            mass_g = from_g + (self.load_g - from_g) * number / count + self.random.gauss(0, 0.03)
            counts = round(CALIBRATION.counts(mass_g))
            board_ms = 1000 * self._count // RATE_HZ
            sample = Sample(board_ms, self._count, counts, running, latched=latched)
            effects += self.later.follow(self._scale.take(sample, self._now_s), self._now_s)
        return effects


def near(found_g: float) -> Any:
    """A mass within 0.1 g."""

    class Near(float):
        def __eq__(self, other: object) -> bool:
            return isinstance(other, float) and abs(other - float(self)) < 0.1

        __hash__ = float.__hash__

    return Near(found_g)


def told(
    certainty: Certainty, found_g: float | None, reason: str | None = None, dose: int | None = 0
) -> Persist:
    mass_g = None if found_g is None else near(found_g)
    return Persist(FoundLater("pour 1", certainty, mass_g, dose, reason))


def poured(left: Unweighed = LEFT) -> Playbook[Platform]:
    """20 g are in the glass, and their pour is aborted with its pump on."""
    book = Playbook(Platform(load_g=GLASS_G))
    assert not book.feed(Load(2.0), Load(2.5, GLASS_G + 20.0, running=1), Over("pour 1", ABORTED, left))
    return book


def test_what_was_in_flight_is_weighed_after_some_seconds_of_rest() -> None:
    book = poured()
    assert book >> Load(0.4, 273.0) >> Load(2.5) >> Load(1.0) << told(Certainty.WEIGHED, 3.0) >> Load(9.0)


def test_drips_within_those_seconds_count() -> None:
    book = poured()
    assert (
        book >> Load(0.4, 273.0) >> Load(1.0) >> Load(0.1, 273.4) >> Load(5.0) << told(Certainty.WEIGHED, 3.4)
    )


def test_a_pump_that_runs_on_is_waited_for() -> None:
    book = poured()
    flow = Load(3.0, 294.0)
    assert book >> flow >> Load(1.0, running=1) >> Load(2.9) >> Load(1.0) << told(Certainty.WEIGHED, 24.0)


def test_an_impact_that_was_taken_for_liquid_is_taken_back() -> None:
    book = poured()
    assert book >> Load(0.2, 269.4) >> Load(4.0) << told(Certainty.WEIGHED, -0.6)


def test_a_glass_that_is_taken_is_told() -> None:
    book = poured()
    assert book >> Load(1.0) >> Load(0.2, 0.0) >> Load(4.0) << told(Certainty.UNKNOWN, None, "lifted")


def test_a_glass_that_was_off_in_between_is_doubtful() -> None:
    book = poured()
    there_and_back = book >> Load(0.2, 0.0) >> Load(0.3) >> Load(0.2, 272.0)
    assert there_and_back >> Load(4.0) << told(Certainty.DOUBTFUL, 2.0, "lifted")


def test_another_glass_after_it_is_none_of_it() -> None:
    book = poured()
    assert book >> Load(0.2, 0.0) >> Load(0.2, 390.0) >> Load(4.0) << told(Certainty.UNKNOWN, None, "lifted")


def test_what_falls_in_is_doubtful() -> None:
    book = poured()
    assert book >> Load(1.0) >> Load(0.05, 276.0) >> Load(4.0) << told(Certainty.DOUBTFUL, 6.0, "touched")


def test_what_is_added_slowly_after_all_had_landed_is_doubtful() -> None:
    book = poured()
    assert book >> Load(2.0) >> Load(1.0, 274.0) >> Load(4.0) << told(Certainty.DOUBTFUL, 4.0, "touched")


def test_what_is_added_where_no_pump_ran_is_doubtful() -> None:
    book = poured(Unweighed("pour 1", GLASS_G, GLASS_G + 20.0, 0.0, 0))
    assert book >> Load(0.5, 273.0) >> Load(4.0) << told(Certainty.DOUBTFUL, 3.0, "too_much")


def test_what_is_taken_out_leaves_it_unknown() -> None:
    book = poured()
    assert book >> Load(1.0, 262.0) >> Load(5.0) << told(Certainty.UNKNOWN, None, "lighter")


def test_behind_a_lost_link_no_more_counts_than_its_lease_allows() -> None:
    for more_g, certainty, reason in ((9.0, Certainty.WEIGHED, None), (90.0, Certainty.DOUBTFUL, "too_much")):
        book = poured()
        assert not book.feed(LinkLost("unplugged"))
        book.machine.load_g += more_g
        assert book >> Load(2.5) >> Load(1.0) << told(certainty, more_g, reason)


def test_after_too_long_without_a_reading_nobody_knows() -> None:
    book = poured()
    assert not book.feed(LinkLost("unplugged"))
    book.machine.pass_time(LATE_S)
    assert book >> Load(0.5) << told(Certainty.UNKNOWN, None, "too_late")


def test_an_earlier_run_of_the_program_leaves_it_to_the_next() -> None:
    book = Playbook(Platform(LaterWeighing(20.0, LEFT), load_g=275.5))
    assert book >> Load(2.5) >> Load(1.0) << told(Certainty.WEIGHED, 5.5) >> Load(9.0)


def test_the_next_tare_of_the_same_glass_weighs_it() -> None:
    book = poured()
    assert book >> Load(1.5, 272.0) >> Tare(272.0) << told(Certainty.WEIGHED, 2.0) >> Load(9.0)


def test_what_came_before_any_tare_is_weighed_above_what_stood_there() -> None:
    book = Playbook(Platform(load_g=GLASS_G))
    aborted = Over("pour 1", PourEnded("aborted", "unexpected_mass", 0.0), None)
    flowed = book >> Load(2.0) >> Load(1.5, 262.0) >> aborted >> Load(0.5, 266.0)
    assert flowed >> Load(5.0) << told(Certainty.WEIGHED, 16.0, dose=None)


def test_an_abort_before_the_tare_with_nothing_poured_tells_nothing() -> None:
    book = Playbook(Platform(load_g=GLASS_G))
    pressed = Over("pour 1", PourEnded("aborted", "emergency_stop", 0.0), None)
    assert book >> Load(2.0) >> pressed >> Load(6.0) >> Load(0.2, 0.0) >> Load(6.0)


def test_liquid_into_a_glass_that_never_rested_is_unknown() -> None:
    book = Playbook(Platform())
    aborted = Over("pour 1", PourEnded("aborted", "unexpected_mass", 0.0), None)
    put_down = book >> Load(2.0) >> Load(0.1, GLASS_G) >> Load(1.5, 262.0)
    assert put_down >> aborted << told(Certainty.UNKNOWN, None, "not_tared", dose=None)


def test_a_driver_that_sticks_after_a_pour_in_order_is_found_once_the_stop_is_latched() -> None:
    book = Playbook(Platform(load_g=GLASS_G + 20.0))
    over = book >> Load(2.0) >> Over("pour 1", COMPLETE, None) >> Load(60.0) >> Load(1.5, 282.0)
    latched = over >> Load(0.5, 286.0, latched=True)
    assert latched >> Load(5.0, latched=True) << told(Certainty.WEIGHED, 16.0, dose=None) >> Load(9.0)


HANDS = st.sampled_from(["none", "lift", "drop", "sip"])


@settings(max_examples=25)
@given(
    st.lists(
        st.tuples(st.floats(0.0, 30.0), st.floats(-0.8, 6.0), HANDS, st.booleans(), st.floats(0.6, 6.0)),
        min_size=1,
        max_size=4,
    )
)
def test_recorded_and_found_never_exceed_what_stands_there(
    pours: list[tuple[float, float, str, bool, float]],
) -> None:
    """Aborts in a row into one glass, with hands in between."""
    book = Playbook(Platform(load_g=GLASS_G))
    book.feed(Load(1.5))
    counted_g = 0.0
    for number, (recorded_g, later_g, hand, link_lost, wait_s) in enumerate(pours):
        tare_g = book.machine.load_g
        left = Unweighed(str(number), tare_g, tare_g + recorded_g, FLOW_G_PER_S, 0)
        before = len(book.of(Persist))
        steps: list[Any] = [Load(2.0, tare_g + recorded_g, running=1), Over(str(number), ABORTED, left)]
        steps += [LinkLost("unplugged")] if link_lost else []
        steps.append(Load(0.5, max(book.machine.load_g + recorded_g + later_g, GLASS_G)))
        book.feed(*steps)
        whole_g = book.machine.load_g
        match hand:
            case "lift":
                book.feed(Load(0.2, 0.0), Load(0.5), Load(0.2, whole_g))
            case "drop":
                book.feed(Load(0.05, whole_g + 12.0))
            case "sip":
                book.feed(Load(0.5, max(whole_g - 5.0, GLASS_G)))
        book.feed(Load(wait_s), Tare(book.machine.load_g))
        found = [effect.change for effect in book.of(Persist)[before:]]
        assert [one.pour_id for one in found] == [str(number)]
        if hand in ("lift", "drop") and not link_lost:
            assert found[0].certainty is not Certainty.WEIGHED
        counted_g += recorded_g
        if found[0].certainty is Certainty.WEIGHED:
            counted_g += found[0].found_g
            assert counted_g <= book.machine.load_g - GLASS_G + 0.1 * (number + 1)
        counted_g = min(counted_g, book.machine.load_g - GLASS_G)
