"""The scale between and during pours: its indication, zero, tare and calibration."""

from tarewell.weighing.calibration import Calibration
from tarewell.weighing.estimator import Estimate
from tarewell.weighing.reading import Reading
from tarewell.weighing.scale import Indication, Scale, ScaleRating
from tarewell_protocol.messages import Identity, Sample

from .requests import NotReadyError

NOT_CALIBRATED = "the scale is not calibrated; calibrate it with a reference mass (`tarewell calibrate`)"

FULL_LOAD_SHARE = 0.25
"""Share of the converter's full scale at Max, for a cell of 1 mV/V at a gain of 128 and the bridge's supply
as reference: 1 mV/V of 1/256 of the supply either side. Only used to find rest before calibration."""


class Weighbridge:
    """Follows the samples. Before the first calibration it can only find rest, and shows nothing.

    `adjusted_zero_counts` is the zero of the last two-point calibration.
    """

    def __init__(
        self, rating: ScaleRating, calibration: Calibration | None, adjusted_zero_counts: float | None
    ) -> None:
        self._rating = rating
        self._scale = None if calibration is None else Scale(calibration, rating, adjusted_zero_counts)
        self.calibrated = calibration is not None

    @property
    def calibration(self) -> Calibration | None:
        """The calibration in use, zero-setting included."""
        return self._scale.calibration if self._scale is not None and self.calibrated else None

    def opened(self, identity: Identity) -> None:
        """A board has connected; without a calibration, its full scale gives a rough span."""
        if self._scale is None:
            per_g = FULL_LOAD_SHARE * identity.full_scale_counts / self._rating.max_g
            self._scale = Scale(Calibration(0.0, per_g), self._rating)

    def lost(self) -> None:
        """The link is gone: forget the last sample."""
        if self._scale is not None:
            self._scale.lost()

    def take(self, sample: Sample, now_s: float) -> Reading | None:
        """Weigh a sample that arrived at the host's `now_s`; None before a board has told its full scale."""
        return None if self._scale is None else self._scale.take(sample, now_s)

    @property
    def line(self) -> Estimate | None:
        """As `Scale.line`."""
        return None if self._scale is None else self._scale.line

    def indication(self, now_s: float) -> Indication | None:
        """The present indication; None without a calibration or a fresh reading."""
        return self._scale.indication(now_s) if self._scale is not None and self.calibrated else None

    def zeroed(self) -> Calibration:
        """A calibration by which the empty platform reads 0, to `adopt` once it is in the records.

        Raises:
            NotReadyError: not calibrated, or no reading.
            ScaleError: not at rest, or too far from the calibrated zero.
        """
        return self._in_use().zeroed()

    def set_tare(self) -> None:
        """Leave the present load out of the net mass.

        Raises:
            NotReadyError: not calibrated, or no reading.
            ScaleError: not at rest, or below zero.
        """
        self._in_use().set_tare()

    def clear_tare(self) -> None:
        """Net is gross again.

        Raises:
            NotReadyError: not calibrated, or no reading.
        """
        self._in_use().clear_tare()

    def empty_counts(self) -> float:
        """The raw reading of the empty platform at rest.

        Raises:
            NotReadyError: no reading.
            ScaleError: not at rest.
        """
        return self._following().rest_counts()

    def calibration_by(
        self, empty_counts: float, reference_g: float, accept_unlikely: bool = False
    ) -> Calibration:
        """A calibration by two points, with the reference mass, in g, on the platform now, to `adopt` once it
        is in the records.

        Raises:
            NotReadyError: no reading.
            ScaleError: not at rest.
            CalibrationError: see `Scale.calibrated`.
        """
        return self._following().calibrated(empty_counts, reference_g, accept_unlikely=accept_unlikely)

    def adopt(self, calibration: Calibration, adjusted_zero_counts: float | None = None) -> None:
        """Use a calibration from now on; one by two points has `adjusted_zero_counts`."""
        if self._scale is None:
            raise RuntimeError("a calibration was made before there was a scale")
        self._scale.adopt(calibration, adjusted_zero_counts)
        self.calibrated = True

    def _following(self) -> Scale:
        if self._scale is None or self._scale.reading is None:
            raise NotReadyError(
                "there is no reading of the load cell; check the link to the board (`tarewell status`)"
            )
        return self._scale

    def _in_use(self) -> Scale:
        scale = self._following()
        if not self.calibrated:
            raise NotReadyError(NOT_CALIBRATED)
        return scale
