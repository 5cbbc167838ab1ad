"""Polynomials, and one root of a continuous function between two bounds."""

from collections.abc import Callable

_STEPS = 100


def polynomial(x: float, coefficients: tuple[float, ...]) -> float:
    """The polynomial at x, lowest power first, by Horner's rule."""
    total = 0.0
    for coefficient in reversed(coefficients):
        total = total * x + coefficient
    return total


def root(function: Callable[[float], float], low: float, high: float, tolerance: float = 1e-12) -> float:
    """The zero of `function`, which has opposite signs at `low` and `high`; false position, Illinois variant.

    Ends once a step moves by less than `tolerance`, usually after 6 to 10 evaluations.

    Raises:
        ValueError: no change of sign between the bounds.
    """
    f_low, f_high = function(low), function(high)
    if f_low == 0:
        return low
    if f_high == 0:
        return high
    if (f_low < 0) == (f_high < 0):
        raise ValueError(f"expected a change of sign between {low} and {high}, got {f_low} and {f_high}")
    last, kept = low, 0
    for _ in range(_STEPS):
        guess = (low * f_high - high * f_low) / (f_high - f_low)
        value = function(guess)
        if value == 0 or abs(guess - last) < tolerance:
            return guess
        last = guess
        if (value < 0) == (f_low < 0):
            low, f_low = guess, value
            f_high *= 0.5 if kept == 1 else 1
            kept = 1
        else:
            high, f_high = guess, value
            f_low *= 0.5 if kept == -1 else 1
            kept = -1
    return last
