"""Statistics over the history."""

from typing import Annotated

from fastapi import APIRouter, Query

from tarewell.api.context import Machine
from tarewell.api.problems import responses
from tarewell.api.schemas.periods import PeriodFilter
from tarewell.api.schemas.pour_requests import PourSelection
from tarewell.api.schemas.statistics import (
    ChartFilter,
    DoseSumsView,
    ErrorChartView,
    ErrorSummaryView,
    PourSumsView,
    StatisticsFilter,
    StatisticsView,
    UsageView,
)
from tarewell.charts.control_chart import control_chart

router = APIRouter(prefix="/v1/statistics", tags=["statistics"], responses=responses("invalid-request"))


@router.get("", summary="Errors of each channel with each liquid, with control limits")
async def read_statistics(asked: Annotated[StatisticsFilter, Query()], machine: Machine) -> StatisticsView:
    """Of the doses of drinks that ended at their target."""
    found = await machine.store.statistics.errors(asked.doses())
    return StatisticsView(errors=[ErrorSummaryView.of(summary) for summary in found])


@router.get("/errors", summary="Control chart of a channel with a liquid")
async def read_errors(asked: Annotated[ChartFilter, Query()], machine: Machine) -> ErrorChartView:
    """Each dose in order of time, what changed meanwhile, and what the channel learned."""
    history = await machine.store.errors.of(asked.channel, asked.liquid, asked.period(), asked.limit)
    return ErrorChartView.of(asked, history, control_chart([dose.error_g for dose in history.doses]))


@router.get("/doses", summary="Doses by day, channel and liquid")
async def read_dose_sums(asked: Annotated[StatisticsFilter, Query()], machine: Machine) -> list[DoseSumsView]:
    """The newest day first; doses of drinks that ended at their target."""
    return [DoseSumsView.of(found) for found in await machine.store.statistics.doses(asked.doses())]


@router.get("/usage", summary="Use and waste by day and liquid")
async def read_usage(asked: Annotated[PeriodFilter, Query()], machine: Machine) -> list[UsageView]:
    """The newest day first, in ml at serving temperature."""
    return [UsageView.of(found) for found in await machine.store.statistics.usage(asked.period())]


@router.get("/pours", summary="Sums of the pours that filters find")
async def read_pour_sums(asked: Annotated[PourSelection, Query()], machine: Machine) -> PourSumsView:
    """With the filters of the list of pours, for instance those of a day."""
    return PourSumsView.of(await machine.store.statistics.sums(asked.query()))
