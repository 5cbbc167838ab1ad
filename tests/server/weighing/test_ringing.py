"""The level under ringing, against the closed form of a damped oscillator and against scipy's fit of it."""

from math import exp, pi, sin, sqrt
from random import Random

import numpy as np
import pytest
from scipy.optimize import curve_fit

from tarewell.weighing.recent import RecentReadings
from tarewell.weighing.ringing import level_of

PERIOD_S = 1 / 80
LEVEL_G, NOISE_G = 250.0, 0.02


def decay(t_s: float, amplitude_g: float, hz: float, damping: float, phase: float) -> float:
    """Free decay of a lightly damped oscillator (any text on vibrations)."""
    turn = 2 * pi * hz
    return amplitude_g * exp(-damping * turn * t_s) * sin(turn * sqrt(1 - damping**2) * t_s + phase)


def rung(random: Random, count: int, slope_g_per_s: float = 0.0) -> tuple[list[float], list[float]]:
    """Readings of a platform that rings with up to 4 g, as after a stop."""
    hz, damping = random.uniform(7, 20), random.uniform(0.02, 0.2)
    amplitude_g, phase = random.uniform(0.2, 4.0), random.uniform(0, 2 * pi)
    times_s = [index * PERIOD_S for index in range(count)]
    middle_s = times_s[-1] / 2
    masses_g = [
        LEVEL_G
        + slope_g_per_s * (t_s - middle_s)
        + decay(t_s, amplitude_g, hz, damping, phase)
        + random.gauss(0, NOISE_G)
        for t_s in times_s
    ]
    return times_s, masses_g


@pytest.mark.parametrize("count", [16, 20, 24, 28, 32])
def test_most_levels_lie_within_two_of_their_uncertainties_where_a_mean_is_far_off(count: int) -> None:
    random = Random(count)
    inside, fitted_g, plain_g = 0, [], []
    for _ in range(200):
        _, masses_g = rung(random, count)
        level = level_of(masses_g, PERIOD_S)
        assert level is not None
        away_g = level.mass_g - LEVEL_G
        inside += abs(away_g) <= 2 * level.mass_sigma_g
        fitted_g.append(abs(away_g))
        plain_g.append(abs(sum(masses_g) / count - LEVEL_G))
    assert inside >= 180
    assert sorted(fitted_g)[180] < 0.06
    assert sorted(plain_g)[180] > 2 * sorted(fitted_g)[180]


def test_it_agrees_with_a_nonlinear_fit_of_the_oscillator() -> None:
    random = Random(7)
    for _ in range(20):
        times_s, masses_g = rung(random, 28)
        level = level_of(masses_g, PERIOD_S)
        assert level is not None

        def model(t: float, at_g: float, one_g: float, hz: float, fade: float, phase: float) -> float:
            return at_g + one_g * np.exp(-fade * t) * np.sin(2 * pi * hz * t + phase)

        fits = []
        for hz in range(6, 23, 2):
            for phase in (0.0, pi / 2):
                try:
                    found, spread = curve_fit(model, times_s, masses_g, [LEVEL_G, 1.0, hz, 5.0, phase])
                except RuntimeError:
                    continue
                squares = sum((model(t, *found) - g) ** 2 for t, g in zip(times_s, masses_g, strict=True))
                fits.append((squares, found[0], spread[0][0] ** 0.5))
        _, fitted_g, sigma_g = min(fits)
        assert abs(level.mass_g - fitted_g) < 4 * (level.mass_sigma_g + sigma_g)


def test_a_flow_shows_in_the_slope() -> None:
    random = Random(3)
    for slope_g_per_s in (-3.0, 2.0, 8.0):
        for _ in range(50):
            _, masses_g = rung(random, 28, slope_g_per_s)
            level = level_of(masses_g, PERIOD_S)
            assert level is not None
            assert abs(level.slope_g_per_s - slope_g_per_s) < 4 * level.slope_sigma_g_per_s + 0.5


def test_ten_samples_a_second_cannot_show_it_and_a_lost_reading_spoils_it() -> None:
    _, masses_g = rung(Random(1), 16)
    assert level_of(masses_g, 0.1) is None
    recent, holed = RecentReadings(), RecentReadings()
    for index, mass_g in enumerate(masses_g):
        recent.add(index * PERIOD_S, mass_g)
        holed.add((index + (index > 9)) * PERIOD_S, mass_g)
    assert recent.level(15 * PERIOD_S, 0.0) == level_of(masses_g, PERIOD_S)
    assert holed.level(16 * PERIOD_S, 0.0) is None
    assert recent.level(15 * PERIOD_S, PERIOD_S) is None
