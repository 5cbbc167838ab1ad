"""Is the load at rest?

OIML R 76 calls it stable equilibrium and tests it over 5 s (A.4.12). A pour cannot wait that long between
doses, so the window is a setting here and the machine's own zero and tare use a longer one.
"""

from collections import deque
from dataclasses import dataclass
from itertools import pairwise


@dataclass(frozen=True, slots=True)
class Rest:
    """A stable reading: its mean and the range of its quarter means, both in g."""

    mean_g: float
    range_g: float


class StabilityTest:
    """Stable when the means of the window's four quarters lie within `band_g` of each other.

    Averaging over quarters makes it blind to the platform's ringing and to noise, and keeps it sharp for
    what matters: liquid that still arrives or leaves.
    """

    def __init__(self, window_s: float, band_g: float, gap_s: float = 0.25) -> None:
        self._window_s = window_s
        self._band_g = band_g
        self._gap_s = gap_s
        self._readings: deque[tuple[float, float]] = deque()

    def clear(self) -> None:
        """Start over, for instance when a pump starts or stops."""
        self._readings.clear()

    def feed(self, t_s: float, mass_g: float) -> Rest | None:
        """Take a reading; the rest that it completes, or None."""
        readings = self._readings
        if readings and t_s - readings[-1][0] > self._gap_s:
            readings.clear()
        readings.append((t_s, mass_g))
        while readings[0][0] < t_s - self._window_s:
            readings.popleft()
        count = len(readings)
        if count < 4 or t_s - readings[0][0] < 0.85 * self._window_s:
            return None
        values = [value_g for _, value_g in readings]
        bounds = [count * quarter // 4 for quarter in range(5)]
        means = [sum(values[low:high]) / (high - low) for low, high in pairwise(bounds)]
        range_g = max(means) - min(means)
        return Rest(sum(values) / count, range_g) if range_g <= self._band_g else None
