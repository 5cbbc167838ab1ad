"""What drips after a pour is weighed once, on a platform whose load is scripted; nothing else is."""

import json
from random import Random

import pytest

from machine_double import CALIBRATION
from tarewell.dosing.course import Course
from tarewell.dosing.drips import DripWatch
from tarewell.dosing.events import LinkLost
from tarewell.dosing.plan import DosePlan, PourPlan
from tarewell.dosing.settling_stop import SettlingStop
from tarewell.dosing.setup import PourSetup
from tarewell.dosing.uncertainty import Judged, NetMass, SeenDrips, Weighing
from tarewell.machine.effects import AddLateDrips, Persist
from tarewell.machine.late_drips import LateDrips, RestTaught
from tarewell.state_json import dump_state, load_state
from tarewell.weighing.scale import Scale, ScaleRating
from tarewell_protocol.messages import Sample

RATE_HZ = 25
STANDS_G = 290.0
DOSE = 2, "house-water"
PLAN = PourPlan((DosePlan(*DOSE, 40.0),))


class AfterPour:
    """A platform on which a pour of 40 g has just ended, by a mass at rest or one that was foreseen."""

    def __init__(self, foreseen_g: float | None = None) -> None:
        self._scale = Scale(CALIBRATION, ScaleRating())
        self._random = Random(71)
        self._count = 0
        course = Course(PourSetup(PLAN, CALIBRATION, sample_rate_hz=RATE_HZ))
        for _ in range(2 * RATE_HZ):
            course.take(self._scale.take(self._sample(STANDS_G), self._now_s))
        dose = NetMass(Weighing(0.01, 90.0), 40.0, 0.0)
        judged = Judged(dose, dose, STANDS_G, SeenDrips(), CALIBRATION)
        self.late = LateDrips({})
        stop = None if foreseen_g is None else SettlingStop(8.0, (STANDS_G, 0.1), 0.0)
        if stop is not None:
            course.begin(self._now_s)
        stands_g = STANDS_G if foreseen_g is None else foreseen_g
        self.late.ended("pour 1", PLAN, DripWatch(course, judged, 0, stands_g, 0.0, self._now_s, stop=stop))
        self.taught: list[RestTaught] = []

    @property
    def _now_s(self) -> float:
        return 100.0 + self._count / RATE_HZ

    def _sample(self, load_g: float, running: int = 0) -> Sample:
        self._count += 1
        counts = round(CALIBRATION.counts(load_g + self._random.gauss(0.0, 0.02)))
        return Sample(1000 * self._count // RATE_HZ, self._count, counts, running)

    def stand(self, seconds: float, load_g: float = STANDS_G, *, tared: bool = False) -> list[AddLateDrips]:
        """Let a load stand; what is written. `tared`: the next pour tares at its end."""
        self.late = load_state(json.loads(json.dumps(dump_state(self.late))))
        effects, whole = [], round(seconds * RATE_HZ)
        for number in range(whole):
            reading = self._scale.take(self._sample(load_g), self._now_s)
            last = number == whole - 1
            effects += self.late.follow(reading, self._now_s, tared=tared and last)
            if self.late.taught is not None:
                self.taught.append(self.late.taught)
        return [effect.change for effect in effects if isinstance(effect, Persist)]  # type: ignore[misc]

    def lose_link(self) -> None:
        self.late.follow(LinkLost("nothing heard"), self._now_s, tared=False)


def test_a_glass_into_which_nothing_falls_has_its_mass_confirmed_after_two_seconds() -> None:
    platform = AfterPour()
    assert platform.stand(1.9) == []
    (found,) = platform.stand(0.5)
    assert (found.pour_id, found.dripped.index) == ("pour 1", 0)
    assert found.dripped.dripped_g == pytest.approx(0.0, abs=0.03)
    assert 0.01 < found.dripped.uncertainty_g < 0.06
    assert platform.stand(8.0) == []


def test_drips_are_found_and_learned_with_what_still_falls() -> None:
    platform = AfterPour()
    assert platform.stand(0.6) == []
    (found,) = platform.stand(2.0, STANDS_G + 0.2)
    assert found.dripped.dripped_g == pytest.approx(0.2, abs=0.03)
    learned = platform.late.seen[DOSE]
    assert (learned.count, learned.rms_g > SeenDrips().rms_g) == (1, True)
    assert platform.stand(4.0, STANDS_G + 0.3) == []
    assert platform.late.seen[DOSE].later_g > learned.later_g


def test_a_mass_that_was_foreseen_wrongly_teaches_how_it_came_to_rest_and_counts_as_no_drips() -> None:
    platform = AfterPour(foreseen_g=STANDS_G - 0.2)
    (found,) = platform.stand(2.8)
    assert found.dripped.dripped_g == pytest.approx(0.2, abs=0.03)
    assert platform.late.seen[DOSE].mean_g == pytest.approx(0.0, abs=0.02)
    (taught,) = platform.taught
    assert (taught.pour_id, taught.channel, taught.liquid_id) == ("pour 1", *DOSE)
    assert [lack_s for _, lack_s in taught.lacks] == pytest.approx([0.0] * len(taught.lacks), abs=0.005)
    assert taught.lacks


def test_the_next_tare_finds_them_earlier() -> None:
    platform = AfterPour()
    platform.stand(0.2)
    (found,) = platform.stand(1.3, STANDS_G + 0.1, tared=True)
    assert found.dripped.dripped_g == pytest.approx(0.1, abs=0.03)
    assert platform.stand(6.0, STANDS_G + 20.0) == []


@pytest.mark.parametrize("load_g", [0.0, STANDS_G + 40.0, STANDS_G + 4.0, STANDS_G - 2.0])
def test_a_glass_that_is_lifted_or_gets_more_than_drips_is_not_weighed(load_g: float) -> None:
    platform = AfterPour()
    assert platform.stand(1.0) == []
    assert platform.stand(1.5, load_g) == []
    assert platform.stand(6.0) == []
    assert platform.late.seen == {}


def test_nobody_can_tell_after_the_link_was_lost() -> None:
    platform = AfterPour()
    platform.stand(1.0)
    platform.lose_link()
    assert platform.stand(6.0) == []
