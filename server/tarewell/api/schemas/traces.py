"""A pour's trace: all of its events and outputs, or a picture of it."""

from dataclasses import asdict
from typing import Any, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from tarewell.charts.thinning import Columns, Curve
from tarewell.charts.trace_picture import StepSpan, TracePicture
from tarewell.records.exports import TraceLine

from . import View


class TraceView(View):
    """The trace of a pour; columns that an entry does not fill are left out."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "pour_id": "01959c44-7f7a-7000-8a52-0d7c4a1e93b1",
                    "entries": [
                        {"host_s": 4120.0, "what": "Ordered", "detail": {"order": "start"}},
                        {
                            "host_s": 4120.0125,
                            "what": "sample",
                            "board_ms": 1834023,
                            "count": 4711,
                            "counts": 472165,
                            "gross_g": 251.3,
                            "running": "",
                            "flags": "",
                        },
                    ],
                }
            ]
        }
    )

    pour_id: str
    entries: list[TraceLine]


BEFORE_TARE_S = 1.0
"""A picture begins so long before the tare, unless somebody asks for more."""


class PictureQuery(BaseModel):
    """How wide a picture of a trace is, and which time it shows."""

    model_config = ConfigDict(extra="forbid")

    points: int | None = Field(
        default=None, ge=10, le=4000, description="columns of a picture; null: all entries as they are"
    )
    from_s: float | None = Field(
        default=None,
        allow_inf_nan=False,
        description="begin of the picture in s from tare; null: 1 s before it",
    )
    until_s: float | None = Field(
        default=None, allow_inf_nan=False, description="its end in s from tare; null: the last reading"
    )
    window_s: float = Field(
        default=0.8, ge=0.1, le=5, description="time over which the line under the readings is fitted, in s"
    )

    @model_validator(mode="after")
    def _forward(self) -> Self:
        if self.from_s is not None and self.until_s is not None and self.until_s <= self.from_s:
            raise ValueError("until_s must be after from_s")
        return self

    def columns(self, picture: TracePicture, points: int) -> Columns:
        """So many columns over the time that is asked for; 1 s where that lies after the last reading."""
        first_s, last_s = picture.readings.span_s or (0.0, 1.0)
        if picture.glass_g is not None:
            first_s = max(first_s, -BEFORE_TARE_S)
        from_s = first_s if self.from_s is None else self.from_s
        until_s = last_s if self.until_s is None else self.until_s
        return Columns(points, from_s, until_s if until_s > from_s else from_s + 1.0)


def _s(t_s: float) -> float:
    return round(t_s, 3)


class TraceStepView(View):
    """A state of a pour with its times in s from tare; `to_s` null: it lasts. `dose` counts from 0."""

    step: str
    from_s: float
    to_s: float | None
    dose: int | None
    cause: str | None = Field(description="the alarm or command that led out of the pour's course")

    @classmethod
    def of(cls, span: StepSpan) -> Self:
        """From the picture."""
        to_s = None if span.to_s is None else _s(span.to_s)
        return cls(step=span.step, from_s=_s(span.from_s), to_s=to_s, dose=span.dose, cause=span.cause)


class CurveView(View):
    """Net masses in g at times in s from tare; a mass is null in a gap, where readings were lost."""

    t_s: list[float]
    net_g: list[float | None]

    @classmethod
    def of(cls, curve: Curve) -> Self:
        """From the thinned readings."""
        net_g = [None if mass_g is None else round(mass_g, 2) for mass_g in curve.mass_g]
        return cls(t_s=[_s(t_s) for t_s in curve.t_s], net_g=net_g)


class GapView(View):
    """No reading came between these times, in s from tare."""

    from_s: float
    to_s: float


class TargetView(View):
    """A dose under way: it begins at `start_g` net, and is to end at `start_g + target_g`, give or take
    `tolerance_g` (null: no drink). `planned_g` is the target before it was rescaled."""

    dose: int
    from_s: float
    to_s: float | None
    start_g: float
    target_g: float
    planned_g: float
    tolerance_g: float | None


class RescaledView(View):
    """New targets of the doses from `from_dose` on, in s from tare and g."""

    at_s: float
    from_dose: int
    targets_g: list[float]


class AlarmMarkView(View):
    """An alarm at its time in s from tare."""

    at_s: float
    name: str
    reaction: str
    text: str


class TracePictureView(View):
    """A pour's trace for a picture: times in s from tare, masses net in g. Where there was no tare, times
    count from the first entry and masses are gross."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "pour_id": "01959c44-7f7a-7000-8a52-0d7c4a1e93b1",
                    "glass_g": 251.3,
                    "readings": {"t_s": [0.0, 0.012, 0.025], "net_g": [0.1, -0.1, 0.2]},
                    "mass": {"t_s": [0.012], "net_g": [0.05]},
                    "gaps": [{"from_s": 7.4, "to_s": 7.9}],
                    "steps": [{"step": "coarse_feed", "from_s": 0.0, "to_s": 5.1, "dose": 0, "cause": None}],
                    "cut_offs_s": [5.1],
                    "targets": [
                        {
                            "dose": 0,
                            "from_s": 0.0,
                            "to_s": 6.4,
                            "start_g": 0.0,
                            "target_g": 45.0,
                            "planned_g": 45.0,
                            "tolerance_g": 2.02,
                        }
                    ],
                    "rescaled": [],
                    "alarms": [],
                }
            ]
        }
    )

    pour_id: str
    glass_g: float | None = Field(description="tared; null: the pour ended before")
    readings: CurveView = Field(description="least and largest of each column of pixels, in order of time")
    mass: CurveView = Field(description="Hann-weighted line through the readings around each column")
    gaps: list[GapView]
    steps: list[TraceStepView]
    cut_offs_s: list[float] = Field(description="when a feed ended, jogs included")
    targets: list[TargetView]
    rescaled: list[RescaledView]
    alarms: list[AlarmMarkView]

    @classmethod
    def of(cls, pour_id: str, picture: TracePicture, columns: Columns, window_s: float) -> Self:
        """From the picture, for so many columns."""
        readings = picture.readings
        return cls(
            pour_id=pour_id,
            glass_g=None if picture.glass_g is None else round(picture.glass_g, 2),
            readings=CurveView.of(readings.thinned(columns)),
            mass=CurveView.of(readings.fitted(columns, window_s)),
            gaps=[GapView(from_s=_s(begin_s), to_s=_s(end_s)) for begin_s, end_s in readings.gaps_s],
            steps=[TraceStepView.of(step) for step in picture.steps],
            cut_offs_s=[_s(at_s) for at_s in picture.cut_offs_s],
            targets=[TargetView(**_rounded(asdict(target))) for target in picture.targets],
            rescaled=[RescaledView(**_rounded(asdict(change))) for change in picture.rescaled],
            alarms=[
                AlarmMarkView(
                    at_s=_s(raised.at_s),
                    name=raised.alarm.name,
                    reaction=raised.alarm.reaction,
                    text=raised.alarm.text,
                )
                for raised in picture.alarms
            ],
        )


def _rounded(values: dict[str, Any]) -> dict[str, Any]:
    return {
        name: round(value, 3)
        if isinstance(value, float)
        else list(value)
        if isinstance(value, tuple)
        else value
        for name, value in values.items()
    }
