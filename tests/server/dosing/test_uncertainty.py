"""The stated uncertainty of a mass: each part against figures from outside, all of it against the truth."""

from dataclasses import dataclass, replace
from functools import cache
from math import hypot, sqrt
from random import Random
from statistics import mean, median

import pytest

from random_machines import CLASSES, calibrated, drawn
from second_plant import PlantBuild
from tarewell.dosing.uncertainty import MassBudget, NetMass, SeenDrips, Weighing
from tarewell.weighing.calibration import Calibration
from tarewell.weighing.recent import RecentReadings

FINE = Calibration(0.0, 1e6)
EXACT = Weighing(0.0, 100.0)


def test_the_parts_are_combined_as_the_root_of_their_sum_of_squares() -> None:
    """JCGM 100:2008, 5.1.2: 0.03 g and 0.04 g are 0.05 g; a third part of 0.12 g makes 0.13 g."""
    start, end = Weighing(0.03, 100.0), Weighing(0.04, 100.0)
    assert NetMass(start, 0.0, 0.0).uncertainty_g(end, 0.0, FINE, 0.0) == pytest.approx(0.05, rel=1e-3)
    assert NetMass(start, 0.0, 0.12).uncertainty_g(end, 0.0, FINE, 0.0) == pytest.approx(0.13, rel=1e-3)
    assert NetMass(start, 0.0, 0.0).uncertainty_g(end, 0.0, FINE, 0.12) == pytest.approx(0.13, rel=1e-3)


def test_a_span_is_as_sure_as_a_reference_mass_of_class_m3() -> None:
    """OIML R 111-1:2004, Table 1 (from memory): 500 g of class M3 within 250 mg; of a half-width the standard
    uncertainty is 0.577 (JCGM 100:2008, 4.3.7)."""
    sigma_g = NetMass(EXACT, 500.0, 0.0).uncertainty_g(EXACT, 0.0, FINE, 0.0)
    assert sigma_g == pytest.approx(0.577 * 0.25, rel=1e-2)


def test_a_count_is_no_finer_than_half_of_it_either_way() -> None:
    """JCGM 100:2008, F.2.2.1: 0.29 of a step, here for each of two readings."""
    sigma_g = NetMass(EXACT, 0.0, 0.0).uncertainty_g(EXACT, 0.0, Calibration(0.0, -1.0), 0.0)
    assert sigma_g == pytest.approx(hypot(0.29, 0.29), rel=1e-2)


def test_a_cell_creeps_with_time_and_no_further_than_its_data_sheet() -> None:
    def after(seconds: float) -> float:
        return NetMass(EXACT, 0.0, 0.0).uncertainty_g(Weighing(0.0, 100.0 + seconds), 1000.0, FINE, 0.0)

    assert after(0.0) < 0.001 < after(10.0) < after(60.0) < after(3600.0)
    assert 0.5 < after(3600.0) < 0.578


def test_drips_are_learned_and_forgotten() -> None:
    drips = SeenDrips()
    for _ in range(10):
        drips = drips.learn(0.3)
    assert drips.rms_g == pytest.approx(0.3, abs=0.03)
    for _ in range(30):
        drips = drips.learn(0.0)
    assert drips.rms_g < 0.1
    assert drips.learn_later(0.2).later_g > drips.later_g > drips.learn_later(0.0).later_g


def test_a_dose_answers_for_what_drips_into_it_and_after_it_the_pour_only_for_the_last() -> None:
    budget = MassBudget(FINE, {1: SeenDrips(0.3, 0.0), 2: SeenDrips(0.3, 0.1)})
    budget.tared(EXACT)
    first_g = budget.ended(1, EXACT, 0.0, 0.0, 0.0, 0.0)
    assert (first_g, budget.whole_uncertainty_g) == (pytest.approx(0.3), pytest.approx(0.3))
    second_g = budget.ended(2, EXACT, 0.0, 0.0, 0.0, 0.0)
    assert (second_g, budget.whole_uncertainty_g) == (pytest.approx(0.5), pytest.approx(0.4))


@pytest.mark.parametrize("conversions", [1, 4])
def test_the_scatter_of_a_rest_is_told_though_the_filter_makes_neighbours_alike(conversions: int) -> None:
    """The mean of 36 readings, each the mean of so many conversions with noise of 0.1 g."""
    random = Random(61)
    errors_g, sigmas_g = [], []
    for _ in range(150):
        noise_g = [random.gauss(0.0, 0.1) for _ in range(36 + conversions)]
        recent = RecentReadings()
        for number in range(36):
            recent.add(number / 80, 100.0 + mean(noise_g[number : number + conversions]))
        rest, line = recent.rest(0.43, 1.0, 35 / 80), recent.line(1.0, 35 / 80)
        assert rest is not None and line is not None
        errors_g.append(rest.mean_g - 100.0)
        sigmas_g.append(hypot(line.mean_sigma_g, rest.range_g / sqrt(3)))
    assert 0.9 < _rms(sigmas_g) / _rms(errors_g) < 1.7


def _rms(values: list[float]) -> float:
    return sqrt(mean(value**2 for value in values))


@dataclass(frozen=True)
class _Mass:
    """A recorded mass, judged or final, of a machine that drips or not."""

    final: bool
    drips: bool
    error_g: float
    sigma_g: float

    @property
    def sigmas(self) -> float:
        """Its error in standard uncertainties, at most three, so that no single one decides."""
        return min(abs(self.error_g) / self.sigma_g, 3.0)


TARGETS_G = (28.0, 19.0, 36.0)
SEEDS = (1401, 1402, 1403, 1404)


def _machine(seed: int, drips: bool) -> PlantBuild:
    """A machine drawn by lot, but with a dry nozzle on a calm platform, or one that drips on and on."""
    build = drawn(Random(seed), tuple(CLASSES.values())[seed % 3])
    pump = replace(build.pumps[1], max_drips=6 if drips else 0, drip_spacing_s=0.45)
    calm = build.damping if drips else 0.2
    return replace(build, pumps={1: pump}, rate_hz=80, damping=calm)


@cache
def _masses() -> tuple[_Mass, ...]:
    """Those of doses that raised no alarm."""
    found = []
    for drips in (True, False):
        for seed in SEEDS:
            rig = calibrated(_machine(seed, drips), seed)
            for target_g in TARGETS_G:
                before_g = rig.machine.delivered_g[1]
                result = rig.begin([(1, target_g)])
                rig.finish()
                rig.run_for(6.0)
                if result.alarms:
                    continue
                (dose,), dripped = result.doses, result.dripped
                assert dose.uncertainty_g is not None and dripped is not None
                error_g = dose.delivered_g - (rig.machine.delivered_g[1] - before_g)
                found.append(_Mass(False, drips, error_g, dose.uncertainty_g))
                error_g += dripped.dripped_g
                found.append(_Mass(True, drips, error_g, dripped.dose_uncertainty_g))
    return tuple(found)


def _is_honest(masses: tuple[_Mass, ...]) -> bool:
    """Whether nine in ten lie within two sigmas, those judged before it dripped are off by about as much as
    stated, and a nozzle that stays dry makes the final mass surer."""
    within = sum(mass.sigmas <= 2.0 for mass in masses)
    before = [mass.sigmas for mass in masses if mass.drips and not mass.final]
    dry_g, dripping_g = (
        median(mass.sigma_g for mass in masses if mass.final and mass.drips is drips)
        for drips in (False, True)
    )
    return within >= 0.9 * len(masses) and 0.5 < _rms(before) < 1.4 and dry_g < 0.9 * dripping_g


def test_masses_lie_within_the_stated_uncertainty() -> None:
    masses = _masses()
    assert len(masses) >= 40
    assert _is_honest(masses)
    assert 2 * median(mass.sigma_g for mass in masses if mass.final and not mass.drips) < 0.15


def test_half_the_uncertainty_or_the_same_everywhere_would_not_do() -> None:
    masses = _masses()
    usual_g = mean(mass.sigma_g for mass in masses)
    assert not _is_honest(tuple(replace(mass, sigma_g=mass.sigma_g / 2) for mass in masses))
    assert not _is_honest(tuple(replace(mass, sigma_g=usual_g) for mass in masses))
