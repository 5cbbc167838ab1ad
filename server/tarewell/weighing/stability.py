"""Is the load at rest?

OIML R 76 calls it stable equilibrium and tests it over 5 s (A.4.12). A pour cannot wait that long between
doses, so the window is configurable, and the machine's own zero and tare use a longer one.
"""

from dataclasses import dataclass

PARTS = 3

FEWEST = 2 * PARTS
"""Readings that a rest needs at least."""


@dataclass(frozen=True, slots=True)
class Rest:
    """A stable reading: its mean, and the difference between its earlier and later part, both in g."""

    mean_g: float
    range_g: float


def rest_of(early_g: float, late_g: float, band_g: float) -> Rest | None:
    """The rest that some readings show, at least `FEWEST`: the means of all but the last and of all but the
    first of their `PARTS` are the same within `band_g`.

    The means are Hann-weighted: insensitive to the platform's ringing and to noise, sensitive to liquid that
    still arrives or leaves.
    """
    range_g = abs(late_g - early_g)
    return Rest(late_g, range_g) if range_g <= band_g else None
