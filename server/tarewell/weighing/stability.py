"""Is the load at rest?

OIML R 76 calls it stable equilibrium and tests it over 5 s (A.4.12). A pour cannot wait that long between
doses, so the window is configurable, and the machine's own zero and tare use a longer one.
"""

from collections import deque
from dataclasses import dataclass
from math import inf

from .taper import hann_mean

PARTS = 3


@dataclass(frozen=True, slots=True)
class Rest:
    """A stable reading: its mean, and the difference between its earlier and later part, both in g."""

    mean_g: float
    range_g: float


class StabilityTest:
    """Stable when the first and the last two thirds of the window have the same mean, within `band_g`.

    The means are Hann-weighted: insensitive to the platform's ringing and to noise, sensitive to liquid that
    still arrives or leaves. Where readings are lost the window reaches back until it holds `least` of
    them.
    """

    def __init__(self, window_s: float, band_g: float, gap_s: float = 0.25, least: int = 2 * PARTS) -> None:
        self._window_s = window_s
        self._least = least
        self._band_g = band_g
        self._gap_s = gap_s
        self._readings: deque[tuple[float, float]] = deque()
        self._from_s = -inf

    def clear(self) -> None:
        """Start over, for instance when a glass comes or goes."""
        self._readings.clear()

    def start_at(self, t_s: float) -> None:
        """Start over with the readings stamped `t_s` or later; until then the load still moves."""
        self._from_s = max(self._from_s, t_s)
        self._readings.clear()

    def feed(self, t_s: float, mass_g: float) -> Rest | None:
        """Take a reading; returns the rest that it completes, or None."""
        readings = self._readings
        if t_s < self._from_s:
            return None
        if readings and t_s - readings[-1][0] > self._gap_s:
            readings.clear()
        readings.append((t_s, mass_g))
        while len(readings) > self._least and readings[0][0] < t_s - self._window_s:
            readings.popleft()
        count = len(readings)
        if count < self._least or t_s - readings[0][0] < 0.85 * self._window_s:
            return None
        values = [value_g for _, value_g in readings]
        part = count // PARTS
        early_g, late_g = hann_mean(values[: count - part]), hann_mean(values[part:])
        range_g = abs(late_g - early_g)
        return Rest(late_g, range_g) if range_g <= self._band_g else None
