"""The scale between and during pours: its indication, zero, tare and calibration."""

from tarewell.weighing.calibration import Calibration
from tarewell.weighing.scale import Indication, Scale, ScaleRating
from tarewell_protocol.messages import Identity

from .requests import NotReadyError

NOT_CALIBRATED = "the scale is not calibrated; calibrate it with a reference mass (`tarewell calibrate`)"

FULL_LOAD_SHARE = 0.25
"""Share of the converter's full scale at Max, for a cell of 1 mV/V at a gain of 128 and the bridge's supply
as reference: 1 mV/V of 1/256 of the supply either side. Only used to find rest before calibration."""


_ROUGH = Calibration(0.0, 1.0)
"""Before a board has told its full scale."""


class Weighbridge(Scale):
    """Follows the samples. Before the first calibration it can only find rest, and shows nothing.

    `adjusted_zero_counts` is the zero of the last two-point calibration.
    """

    def __init__(
        self, rating: ScaleRating, calibration: Calibration | None, adjusted_zero_counts: float | None
    ) -> None:
        super().__init__(calibration or _ROUGH, rating, adjusted_zero_counts)
        self.is_calibrated = calibration is not None

    @property
    def in_use(self) -> Calibration | None:
        """The calibration in use, zero-setting included; None: the scale was never calibrated."""
        return self.calibration if self.is_calibrated else None

    def opened(self, identity: Identity) -> None:
        """A board has connected; without a calibration, its full scale gives a rough span."""
        if not self.is_calibrated:
            per_g = FULL_LOAD_SHARE * identity.full_scale_counts / self.rating.max_g
            super().adopt(Calibration(0.0, per_g))

    def indication(self, now_s: float) -> Indication | None:
        """The present indication; None without a calibration or a fresh reading."""
        return super().indication(now_s) if self.is_calibrated else None

    @property
    def rest_g(self) -> float | None:
        """The gross mean at rest; None without a calibration."""
        return super().rest_g if self.is_calibrated else None

    def zeroed(self) -> Calibration:
        """A calibration by which the empty platform reads 0, to `adopt` once it is in the records.

        Raises:
            NotReadyError: not calibrated, or no reading.
            ScaleError: not at rest, or too far from the calibrated zero.
        """
        self._require_calibrated()
        return super().zeroed()

    def set_tare(self) -> float:
        """Leave the present load out of the net mass; returns the tare in g.

        Raises:
            NotReadyError: not calibrated, or no reading.
            ScaleError: not at rest, or below zero.
        """
        self._require_calibrated()
        return super().set_tare()

    def clear_tare(self) -> None:
        """Net is gross again.

        Raises:
            NotReadyError: not calibrated, or no reading.
        """
        self._require_calibrated()
        super().clear_tare()

    def rest_counts(self) -> float:
        """The raw reading of the empty platform at rest.

        Raises:
            NotReadyError: no reading.
            ScaleError: not at rest.
        """
        self._require_reading()
        return super().rest_counts()

    def calibrated(
        self, empty_counts: float, reference_g: float, *, accept_unlikely: bool = False
    ) -> Calibration:
        """See `Scale.calibrated`.

        Raises:
            NotReadyError: no reading.
        """
        self._require_reading()
        return super().calibrated(empty_counts, reference_g, accept_unlikely=accept_unlikely)

    def adopt(self, calibration: Calibration, adjusted_zero_counts: float | None = None) -> None:
        """Use a calibration from now on; one by two points has `adjusted_zero_counts`."""
        super().adopt(calibration, adjusted_zero_counts)
        self.is_calibrated = True

    def _require_reading(self) -> None:
        if self.reading is None:
            raise NotReadyError(
                "there is no reading of the load cell; check the link to the board (`tarewell status`)"
            )

    def _require_calibrated(self) -> None:
        self._require_reading()
        if not self.is_calibrated:
            raise NotReadyError(NOT_CALIBRATED)
