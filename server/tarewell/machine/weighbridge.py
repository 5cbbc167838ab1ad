"""The scale between and during pours: its indication, zero, tare and calibration."""

from dataclasses import replace

from tarewell.weighing.calibration import Calibration
from tarewell.weighing.clocks import BoardClock
from tarewell.weighing.estimator import LineEstimator
from tarewell.weighing.scale import Indication, Scale, ScaleRating
from tarewell_protocol.messages import Identity, Sample

from .requests import NotReadyError

NOT_CALIBRATED = "the scale is not calibrated; calibrate it with a reference mass (`tarewell calibrate`)"

FRESH_S = 0.25
"""A reading older than this is stale."""

FLOW_WINDOW_S = 0.5

FULL_LOAD_SHARE = 0.25
"""Share of the converter's full scale at Max, for a cell of 1 mV/V at a gain of 128 and the bridge's supply
as reference: 1 mV/V of 1/256 of the supply either side. Only used before the first calibration, to find rest
and to question an unlikely span."""


class Weighbridge:
    """Follows the samples. Before the first calibration it can only find rest, and shows nothing.

    `adjusted_zero_counts` is the zero of the last two-point calibration.
    """

    def __init__(
        self, rating: ScaleRating, calibration: Calibration | None, adjusted_zero_counts: float | None
    ) -> None:
        self._rating = rating
        self._scale = None if calibration is None else Scale(calibration, rating, adjusted_zero_counts)
        self._clock = BoardClock()
        self._line = LineEstimator(FLOW_WINDOW_S, 0.0)
        self._seen_s = float("-inf")
        self._indication: Indication | None = None
        self.calibrated = calibration is not None
        self.flow_g_per_s: float | None = None

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
        self._indication, self.flow_g_per_s = None, None
        self._clock, self._line = BoardClock(), LineEstimator(FLOW_WINDOW_S, 0.0)

    def feed(self, sample: Sample, now_s: float) -> None:
        """Take a sample that arrived at the host's `now_s`."""
        if self._scale is None:
            return
        self._indication, self._seen_s = self._scale.feed(sample), now_s
        estimate = self._line.feed(self._clock.seconds(sample.board_ms), self._indication.gross_g)
        self.flow_g_per_s = None if estimate is None else estimate.flow_g_per_s

    def indication(self, now_s: float) -> Indication | None:
        """The present indication; None without a calibration or a fresh reading."""
        fresh = now_s - self._seen_s <= FRESH_S
        return self._indication if fresh and self.calibrated else None

    def zeroed(self) -> Calibration:
        """A calibration by which the empty platform reads 0, to `adopt` once it is in the records.

        Raises:
            NotReadyError: not calibrated, or no reading.
            ScaleError: not at rest, or too far from the calibrated zero.
        """
        return self._in_use()[0].zeroed()

    def set_tare(self) -> None:
        """Leave the present load out of the net mass.

        Raises:
            NotReadyError: not calibrated, or no reading.
            ScaleError: not at rest, or below zero.
        """
        scale, _ = self._in_use()
        scale.set_tare()
        self._show_anew()

    def clear_tare(self) -> None:
        """Net is gross again.

        Raises:
            NotReadyError: not calibrated, or no reading.
        """
        scale, _ = self._in_use()
        scale.clear_tare()
        self._show_anew()

    def empty_counts(self) -> float:
        """The raw reading of the empty platform at rest.

        Raises:
            NotReadyError: no reading.
            ScaleError: not at rest.
        """
        scale, _ = self._following()
        return scale.rest_counts()

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
        scale, _ = self._following()
        return scale.calibrated(empty_counts, reference_g, accept_unlikely=accept_unlikely)

    def adopt(self, calibration: Calibration, adjusted_zero_counts: float | None = None) -> None:
        """Use a calibration from now on; one by two points has `adjusted_zero_counts`."""
        if self._scale is None:
            raise RuntimeError("a calibration was made before there was a scale")
        self._scale.adopt(calibration, adjusted_zero_counts)
        self.calibrated = True
        self._line.clear()
        if self._indication is not None:
            self._show_anew()

    def _following(self) -> tuple[Scale, Indication]:
        if self._scale is None or self._indication is None:
            raise NotReadyError(
                "there is no reading of the load cell; check the link to the board (`tarewell status`)"
            )
        return self._scale, self._indication

    def _in_use(self) -> tuple[Scale, Indication]:
        scale, shown = self._following()
        if not self.calibrated:
            raise NotReadyError(NOT_CALIBRATED)
        return scale, shown

    def _show_anew(self) -> None:
        """The last reading with the present zero and tare."""
        scale, shown = self._in_use()
        gross_g = scale.calibration.grams(shown.counts)
        net_g = gross_g - scale.tare_g
        shown = replace(shown, gross_g=gross_g, net_g=net_g, tare_g=scale.tare_g, rest_g=None)
        self._indication = shown
