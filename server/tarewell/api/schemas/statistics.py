"""Statistics: errors with control limits, doses, use and waste."""

from dataclasses import asdict
from datetime import datetime
from typing import Any, Self

from pydantic import ConfigDict, Field, JsonValue

from tarewell.charts.control_chart import ControlChart, ControlLimits, ValueRun
from tarewell.records.error_history import ChangeKind, ErrorHistory, JudgedDose
from tarewell.records.statistics import DoseFilter, DoseSums, ErrorSummary, PourSums, Usage
from tarewell.setup_file.forms import MAX_SLUG

from . import View
from .periods import PeriodFilter

MAX_DOSES = 1000
_LIMITS: JsonValue = {"mean_g": 0.08, "lower_g": -0.71, "upper_g": 0.87}


class StatisticsFilter(PeriodFilter):
    """Drinks of a period, from a channel or with a liquid."""

    channel: int | None = Field(default=None, ge=1)
    liquid: str | None = Field(default=None, max_length=MAX_SLUG, description="id of the liquid")

    def doses(self) -> DoseFilter:
        """The filter for the store."""
        return DoseFilter(self.period(), self.channel, self.liquid)


class ChartFilter(PeriodFilter):
    """The newest `limit` doses of a period from a channel with a liquid."""

    channel: int = Field(ge=1)
    liquid: str = Field(max_length=MAX_SLUG, description="id of the liquid")
    limit: int = Field(default=200, ge=1, le=MAX_DOSES)


class LimitsView(View):
    """Centre and control limits in g."""

    mean_g: float
    lower_g: float
    upper_g: float

    @classmethod
    def of(cls, limits: ControlLimits | None) -> Self | None:
        """From the chart; None: too few doses."""
        return None if limits is None else cls(**_rounded(asdict(limits)))


class ErrorSummaryView(View):
    """Errors of a channel with a liquid. `limits` are null for fewer than 8 doses."""

    channel: int
    liquid_id: str
    liquid_name: str
    doses: int
    mean_error_g: float
    limits: LimitsView | None
    beyond: int = Field(description="doses outside the limits")

    @classmethod
    def of(cls, found: ErrorSummary) -> Self:
        """From the store."""
        return cls(
            channel=found.channel,
            liquid_id=found.liquid_id,
            liquid_name=found.liquid_name,
            doses=found.doses,
            mean_error_g=round(found.mean_error_g, 3),
            limits=LimitsView.of(found.limits),
            beyond=found.beyond,
        )


class StatisticsView(View):
    """Errors by channel and liquid, of doses of drinks that ended at their target."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "errors": [
                        {
                            "channel": 4,
                            "liquid_id": "prompters-cordial",
                            "liquid_name": "Prompter's Cordial",
                            "doses": 31,
                            "mean_error_g": 0.08,
                            "limits": _LIMITS,
                            "beyond": 1,
                        }
                    ]
                }
            ]
        }
    )

    errors: list[ErrorSummaryView]


class ChartDoseView(View):
    """A dose of the chart; `dose` counts from 0."""

    pour_id: str
    dose: int
    at: datetime
    target_g: float
    error_g: float
    verdict: str
    beyond: bool = Field(description="outside the limits")

    @classmethod
    def of(cls, dose: JudgedDose, beyond: bool) -> Self:
        """From the store."""
        return cls(**_rounded(asdict(dose)), beyond=beyond)


class ErrorRunView(View):
    """Eight doses or more in a row on one side of the mean; indexes of the chart's `doses`."""

    first: int
    last: int
    above: bool

    @classmethod
    def of(cls, run: ValueRun) -> Self:
        """From the chart."""
        return cls(**asdict(run))


class NamedChangeView(View):
    """What changed: a bottle was mounted, another liquid assigned, the tube changed, the scale calibrated,
    the channel primed, flushed or purged. `what` is the id of the bottle, the liquid or the pour."""

    at: datetime
    kind: ChangeKind
    what: str | None


class LessonView(View):
    """What a stop taught: in-flight time with its standard deviation, and flow at full speed (null: not
    measured yet)."""

    at: datetime
    lag_s: float
    spread_s: float
    flow_g_per_s: float | None


class ErrorChartView(View):
    """A chart of individuals in order of time. Limits are the mean error ± 2.66 times the mean moving range
    (ISO 7870-2); null for fewer than 8 doses."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "channel": 4,
                    "liquid_id": "prompters-cordial",
                    "limits": _LIMITS,
                    "doses": [
                        {
                            "pour_id": "01959c44-7f7a-7000-8a52-0d7c4a1e93b1",
                            "dose": 1,
                            "at": "2031-03-14T19:42:10.120000Z",
                            "target_g": 22.5,
                            "error_g": 0.11,
                            "verdict": "within",
                            "beyond": False,
                        }
                    ],
                    "runs": [],
                    "changes": [{"at": "2031-03-14T19:20:00Z", "kind": "bottle", "what": "cordial-2"}],
                    "learned": [
                        {
                            "at": "2031-03-14T19:42:27.300000Z",
                            "lag_s": 0.312,
                            "spread_s": 0.021,
                            "flow_g_per_s": 6.9,
                        }
                    ],
                }
            ]
        }
    )

    channel: int
    liquid_id: str
    limits: LimitsView | None
    doses: list[ChartDoseView]
    runs: list[ErrorRunView]
    changes: list[NamedChangeView]
    learned: list[LessonView]

    @classmethod
    def of(cls, asked: ChartFilter, history: ErrorHistory, chart: ControlChart) -> Self:
        """From the store's doses, judged."""
        beyond = set(chart.beyond)
        return cls(
            channel=asked.channel,
            liquid_id=asked.liquid,
            limits=LimitsView.of(chart.limits),
            doses=[ChartDoseView.of(dose, index in beyond) for index, dose in enumerate(history.doses)],
            runs=[ErrorRunView.of(run) for run in chart.runs],
            changes=[NamedChangeView(**asdict(change)) for change in history.changes],
            learned=[LessonView(**_rounded(asdict(lesson))) for lesson in history.learned],
        )


class DoseSumsView(View):
    """Doses of a day from a channel with a liquid: `within`, `under` and `over` their tolerance."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "day": "2031-03-14",
                    "channel": 4,
                    "liquid_id": "prompters-cordial",
                    "liquid_name": "Prompter's Cordial",
                    "doses": 31,
                    "delivered_g": 702.4,
                    "delivered_ml": 582.9,
                    "mean_error_g": 0.08,
                    "min_error_g": -0.6,
                    "max_error_g": 1.31,
                    "within": 30,
                    "under": 0,
                    "over": 1,
                }
            ]
        }
    )

    day: str
    channel: int
    liquid_id: str
    liquid_name: str
    doses: int
    delivered_g: float
    delivered_ml: float
    mean_error_g: float
    min_error_g: float
    max_error_g: float
    within: int
    under: int
    over: int

    @classmethod
    def of(cls, found: DoseSums) -> Self:
        """From the store."""
        return cls(**_rounded(asdict(found)))


class UsageView(View):
    """What became of a liquid on a day, in ml."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "day": "2031-03-14",
                    "liquid_id": "prompters-cordial",
                    "liquid_name": "Prompter's Cordial",
                    "poured_ml": 582.9,
                    "unfinished_ml": 18.7,
                    "found_later_ml": 2.4,
                    "primed_ml": 8.3,
                    "purged_ml": 0.0,
                    "spilt_ml": 4.1,
                    "flushed_g": 0.0,
                }
            ]
        }
    )

    day: str
    liquid_id: str
    liquid_name: str
    poured_ml: float = Field(description="in drinks that were completed")
    unfinished_ml: float = Field(description="in drinks that were stopped, aborted or interrupted")
    found_later_ml: float = Field(description="weighed in a glass after its pour had ended")
    primed_ml: float
    purged_ml: float
    spilt_ml: float = Field(description="beside the glass, as far as the scale could tell")
    flushed_g: float = Field(description="water or cleaner, in g")

    @classmethod
    def of(cls, found: Usage) -> Self:
        """From the store."""
        return cls(**_rounded(asdict(found)))


class PourSumsView(View):
    """How many pours, and what the drinks among them hold; `out_of_tolerance` have a dose under or over."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "pours": 38,
                    "drinks": 36,
                    "delivered_g": 7924.5,
                    "delivered_ml": 7610.2,
                    "out_of_tolerance": 1,
                }
            ]
        }
    )

    pours: int
    drinks: int
    delivered_g: float
    delivered_ml: float
    out_of_tolerance: int

    @classmethod
    def of(cls, found: PourSums) -> Self:
        """From the store."""
        return cls(**_rounded(asdict(found)))


def _rounded(values: dict[str, Any]) -> dict[str, Any]:
    return {name: round(value, 3) if isinstance(value, float) else value for name, value in values.items()}
