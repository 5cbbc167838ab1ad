"""The scale: its indication and its calibration."""

from datetime import datetime
from typing import Self

from pydantic import ConfigDict, Field

from tarewell.records.values import CalibrationRecord
from tarewell.weighing.calibration import Calibration
from tarewell.weighing.corners import CornerCheck
from tarewell.weighing.scale import Indication
from tarewell_protocol.messages import COUNTS_MAX, COUNTS_MIN

from . import Body, View


class IndicationView(View):
    """One reading: masses in g. `net_g` is gross less tare."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "gross_g": 251.3,
                    "net_g": 0.0,
                    "tare_g": 251.3,
                    "counts": 455443,
                    "stable": True,
                    "overload": False,
                }
            ]
        }
    )

    gross_g: float
    net_g: float
    tare_g: float
    counts: int = Field(description="raw reading of the load cell")
    stable: bool
    overload: bool

    @classmethod
    def of(cls, indication: Indication) -> Self:
        """From the scale's indication; masses to 0.01 g."""
        return cls(
            gross_g=round(indication.gross_g, 2),
            net_g=round(indication.net_g, 2),
            tare_g=round(indication.tare_g, 2),
            counts=indication.counts,
            stable=indication.stable,
            overload=indication.overload,
        )


class EmptyView(View):
    """The raw reading of the empty platform at rest, for the calibration that follows."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"empty_counts": -84213.4}]})

    empty_counts: float


class CalibrationRequest(Body):
    """The second step of a calibration: the reference mass is on the platform."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"empty_counts": -84213.4, "reference_g": 500.0}]}
    )

    empty_counts: float = Field(
        ge=COUNTS_MIN, le=COUNTS_MAX, description="as returned by POST /v1/scale/calibration/empty"
    )
    reference_g: float = Field(gt=0, description="the known mass in g: 5 % of Max at least, Max at most")
    accept_unlikely: bool = Field(default=False, description="keep it even if it is far from the expected")


class CornersBody(Body):
    """What the scale read with a known mass in the middle of each quarter of the platform."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"reference_g": 500.0, "readings_g": [500.1, 499.9, 500.0, 499.8]}]}
    )

    reference_g: float = Field(gt=0, description="the known mass in g")
    readings_g: list[float] = Field(
        min_length=4, max_length=4, description="front left, front right, back right, back left, in g"
    )


class CornersView(View):
    """Its errors in the order of the readings. `limit_g` is the maximum permissible error in service of class
    III (OIML R 76-1, 3.5.2)."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"errors_g": [0.1, -0.1, 0.0, -0.2], "limit_g": 0.3, "within": True}]}
    )

    errors_g: list[float]
    limit_g: float
    within: bool = Field(description="whether no error is larger than the limit")

    @classmethod
    def of(cls, check: CornerCheck) -> Self:
        """From the check; masses to 0.01 g."""
        errors_g = [round(error_g, 2) for error_g in check.errors_g]
        return cls(errors_g=errors_g, limit_g=round(check.limit_e * check.e_g, 2), within=check.within)


class CalibrationView(View):
    """A straight line from raw counts to grams."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "zero_counts": -84213.4,
                    "counts_per_g": 2214.05,
                    "calibrated_at": "2031-03-14T18:05:12Z",
                    "how": "two_point",
                }
            ]
        }
    )

    zero_counts: float
    counts_per_g: float = Field(description="negative for a cell whose counts fall with load")
    calibrated_at: datetime | None = None
    how: str | None = Field(default=None, description='"two_point", or "zero" if only the zero was set since')

    @classmethod
    def of(cls, calibration: Calibration, record: CalibrationRecord | None = None) -> Self:
        """From a calibration and, where it is known, its record."""
        return cls(
            zero_counts=calibration.zero_counts,
            counts_per_g=calibration.counts_per_g,
            calibrated_at=None if record is None else record.at,
            how=None if record is None else record.how,
        )
