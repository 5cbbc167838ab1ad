"""The level about which a platform rings, from a short stretch of readings.

A mean over a fraction of a second holds part of the ringing, so it has to wait for several periods. A fit of
the oscillation itself does not: level, slope, and a cosine and a sine whose amplitudes change linearly in
time, which stands for damping and for a frequency that is a little off. The frequency is searched for. With
the frequency given it is a linear least-squares fit, here by orthogonal columns (modified Gram-Schmidt; G.
Golub, C. Van Loan, Matrix Computations, 5.2; from memory), level last, so that its uncertainty is read off
the last column.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import cos, hypot, pi, sin, sqrt
from operator import mul

LOWEST_HZ, HIGHEST_HZ = 6.0, 22.0
"""Platforms of this kind ring within these, loaded or not."""

STEPS = 16
LEAST_TURNS = 1.4
"""Slower ringing looks like a slope."""

COLUMNS = 6
FEWEST_OF_FIT = 16
STEP = 4
MOST_OF_FIT = 32
"""A fit takes so many readings, in steps."""


@dataclass(frozen=True, slots=True)
class RingingLevel:
    """The level in g in the middle of the readings, which span `span_s`, and its slope in g/s, with their
    standard uncertainties."""

    mass_g: float
    mass_sigma_g: float
    slope_g_per_s: float
    slope_sigma_g_per_s: float
    span_s: float

    @property
    def end_g(self) -> float:
        """The level at the last reading."""
        return self.mass_g + self.slope_g_per_s * self.span_s / 2

    @property
    def end_sigma_g(self) -> float:
        """Its standard uncertainty."""
        return hypot(self.mass_sigma_g, self.slope_sigma_g_per_s * self.span_s / 2)


def level_of(masses_g: Sequence[float], period_s: float) -> RingingLevel | None:
    """The level of evenly spaced readings, `FEWEST_OF_FIT` to `MOST_OF_FIT` of them in steps of `STEP`; None
    where they are too far apart to show ringing."""
    count, from_g = len(masses_g), masses_g[-1]
    away_g = [mass_g - from_g for mass_g in masses_g]
    total = sum(map(mul, away_g, away_g))
    fits = []
    for fit in _fits(count, round(period_s, 3)):
        parts = [sum(map(mul, column, away_g)) for column in fit.columns]
        fits.append((total - sum(map(mul, parts, parts)), fit, parts))
    if not fits:
        return None
    squares, fit, parts = min(fits, key=lambda found: found[0])
    scatter_g = sqrt(max(squares, 0.0) / (count - COLUMNS - 1))
    level_g = parts[-1] / fit.level_norm
    slope_g_per_s = (parts[-2] - fit.slope_of_level * level_g) / fit.slope_norm / period_s
    slope_sigma = hypot(1.0, fit.slope_of_level / fit.level_norm) / fit.slope_norm / period_s
    return RingingLevel(
        from_g + level_g,
        scatter_g / fit.level_norm,
        slope_g_per_s,
        scatter_g * slope_sigma,
        (count - 1) * period_s,
    )


@dataclass(frozen=True, slots=True)
class _Fit:
    """Orthonormal columns of one frequency, the last two for slope and level, and what is left of the norms
    of these two beside the columns before."""

    columns: tuple[tuple[float, ...], ...]
    slope_norm: float
    slope_of_level: float
    level_norm: float


@cache
def _fits(count: int, period_s: float) -> list[_Fit]:
    turns = [period_s * (LOWEST_HZ + (HIGHEST_HZ - LOWEST_HZ) * step / (STEPS - 1)) for step in range(STEPS)]
    return [_fit(count, each) for each in turns if LEAST_TURNS / count <= each < 0.45]


def _fit(count: int, turns_per_reading: float) -> _Fit:
    places = [index - (count - 1) / 2 for index in range(count)]
    even = [cos(2 * pi * turns_per_reading * place) for place in places]
    odd = [sin(2 * pi * turns_per_reading * place) for place in places]
    raw = [even, odd, list(map(mul, places, even)), list(map(mul, places, odd)), places, [1.0] * count]
    columns: list[tuple[float, ...]] = []
    norms: list[float] = []
    shares: list[float] = []
    for column in raw:
        shares = []
        for done in columns:
            share = sum(map(mul, done, column))
            column = [value - share * basis for value, basis in zip(column, done, strict=True)]
            shares.append(share)
        norms.append(sqrt(sum(map(mul, column, column))))
        columns.append(tuple(value / norms[-1] for value in column))
    return _Fit(tuple(columns), norms[-2], shares[-1], norms[-1])
