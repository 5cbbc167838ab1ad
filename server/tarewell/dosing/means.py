"""A mean with its spread, as one more value moves them."""

from math import sqrt


def moved(mean: float, spread: float, seen: float, gain: float, outlier_sigmas: float) -> tuple[float, float]:
    """Mean and standard deviation with one more value of weight `gain`, 0 to 1. One that is further off than
    so many standard deviations counts as if it were so far, which widens the spread and moves the mean
    less."""
    limit = outlier_sigmas * spread
    error = max(-limit, min(limit, seen - mean))
    return mean + gain * error, sqrt((1 - gain) * (spread**2 + gain * error**2))
