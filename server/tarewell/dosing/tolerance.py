"""How far a dose may be from its target: OIML R 61, class X(x).

The in-service table is the same in the 1996 and 2004 editions (as reproduced in UK S.I. 2000/388 Sch. 5).
R 61 states it for the deviation of a fill from the mean of its test; here it bounds the deviation of each
dose from its target, which is stricter, since it takes in the setting error as well.
"""

from enum import StrEnum

_STEPS: tuple[tuple[float, float, float], ...] = (
    # fill up to g, share of the fill, constant g
    (50.0, 0.09, 0.0),
    (100.0, 0.0, 4.5),
    (200.0, 0.045, 0.0),
    (300.0, 0.0, 9.0),
    (500.0, 0.03, 0.0),
    (1000.0, 0.0, 15.0),
    (10_000.0, 0.015, 0.0),
    (15_000.0, 0.0, 150.0),
    (float("inf"), 0.01, 0.0),
)

SETTING_SHARE = 0.25
"""The mean fill may miss the preset by this share of the permissible deviation (R 61-1:1996, 2.3)."""


class Verdict(StrEnum):
    """How a dose ended, against its tolerance."""

    WITHIN = "within"
    UNDER = "under"
    OVER = "over"


def permissible_deviation_g(fill_g: float, accuracy_class: float) -> float:
    """In-service maximum permissible deviation in g for a fill of `fill_g` in class X(`accuracy_class`).

    Raises:
        ValueError: a fill that is not positive.
    """
    if fill_g <= 0:
        raise ValueError(f"a fill needs a positive mass, got {fill_g:g} g")
    _, share, constant_g = next(step for step in _STEPS if fill_g <= step[0])
    return accuracy_class * (share * fill_g + constant_g)


def judge(delivered_g: float, target_g: float, accuracy_class: float) -> Verdict:
    """Compare a dose with its target."""
    allowed_g = permissible_deviation_g(target_g, accuracy_class)
    if delivered_g > target_g + allowed_g:
        return Verdict.OVER
    return Verdict.UNDER if delivered_g < target_g - allowed_g else Verdict.WITHIN
