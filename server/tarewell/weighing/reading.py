"""One sample, weighed."""

from tarewell_protocol.messages import Sample

from .calibration import Calibration
from .recent import RecentReadings


class Reading:
    """A sample with its mass in g and its time `t_s` on the board's clock in s.

    `recent` holds this reading and those before it, to ask for a line or a rest until `t_s`. With `pump_on`
    the board reports any channel running.
    """

    __slots__ = ("_offset_s", "gross_g", "pump_on", "recent", "sample", "t_s")

    def __init__(
        self, sample: Sample, t_s: float, gross_g: float, offset_s: float, recent: RecentReadings
    ) -> None:
        self.sample = sample
        self.t_s = t_s
        self.gross_g = gross_g
        self.recent = recent
        self.pump_on = sample.running != 0
        self._offset_s = offset_s

    def board_s(self, now_s: float) -> float:
        """The board's time at the host's `now_s`, by the samples up to this one."""
        return now_s - self._offset_s

    def reweighed(self, calibration: Calibration) -> "Reading":
        """The same sample by another calibration."""
        gross_g = calibration.grams(self.sample.counts)
        return Reading(self.sample, self.t_s, gross_g, self._offset_s, self.recent)
