"""Traces and the history as files for other programs."""

import json
from collections.abc import AsyncIterator
from typing import Annotated

from fastapi import APIRouter, Header, Query, Response
from fastapi.responses import StreamingResponse

from tarewell.api.context import Machine, Services
from tarewell.api.csv_text import csv_lines
from tarewell.api.problems import ProblemError, responses
from tarewell.api.schemas.pours import PourFilter
from tarewell.api.schemas.traces import TraceRow, TraceView
from tarewell.records.values import PAGE_MOST, PourRecord

from .pours import PourId

router = APIRouter(prefix="/v1", tags=["exports"])

CSV = "text/csv"
JSON = "application/json"

TRACE_COLUMNS = tuple(TraceRow.model_fields)
POUR_COLUMNS = (
    "pour_id",
    "created_at",
    "state",
    "cause",
    "origin",
    "dose",
    "channel",
    "liquid_id",
    "liquid_name",
    "abv_percent",
    "target_g",
    "delivered_g",
    "error_g",
    "verdict",
)

_CSV_ANSWER = {"content": {CSV: {"schema": {"type": "string"}}}}


def _csv(text: str, filename: str) -> Response:
    return Response(
        text, media_type=CSV, headers={"Content-Disposition": f'attachment; filename="{filename}"'}
    )


def preferred(accept: str | None) -> str | None:
    """Which of JSON and CSV an Accept header asks for (RFC 9110, 12.5.1), JSON on a draw; None: neither."""
    quality: dict[str, float] = {}
    for item in (accept or "*/*").split(","):
        media, *parameters = (part.strip().lower() for part in item.split(";"))
        weights = [part[2:] for part in parameters if part.startswith("q=")]
        try:
            quality[media] = float(weights[0]) if weights else 1.0
        except ValueError:
            quality[media] = 0.0
    best, best_quality = None, 0.0
    for media in (JSON, CSV):
        family = media.split("/")[0] + "/*"
        found = quality.get(media, quality.get(family, quality.get("*/*", 0.0)))
        if found > best_quality:
            best, best_quality = media, found
    return best


async def _rows(services: Services, pour_id: str) -> list[TraceRow]:
    entries = await services.store.pours.trace(pour_id)
    setup = await services.store.pours.setup(pour_id)
    return [TraceRow.of(entry, entries[0].now_s, setup.calibration) for entry in entries]


async def _trace_csv(services: Services, pour_id: str) -> Response:
    rows = await _rows(services, pour_id)
    cells = (
        [json.dumps(value) if isinstance(value, dict) else value for value in row.model_dump().values()]
        for row in rows
    )
    return _csv(csv_lines([TRACE_COLUMNS, *cells]), f"pour-{pour_id}.csv")


@router.get(
    "/pours/{pour_id}/trace",
    summary="Everything a pour saw and did",
    response_model=TraceView,
    responses={200: _CSV_ANSWER, **responses("not-found", "not-acceptable")},
)
async def read_trace(
    pour_id: PourId, machine: Machine, accept: Annotated[str | None, Header()] = None
) -> TraceView | Response:
    """As JSON, or as CSV by the Accept header; what was written so far while the pour is under way."""
    match preferred(accept):
        case "application/json":
            return TraceView(pour_id=pour_id, entries=await _rows(machine, pour_id))
        case "text/csv":
            return await _trace_csv(machine, pour_id)
    raise ProblemError("not-acceptable", f"a trace is given as {JSON} or {CSV}; accept one of them")


@router.get(
    "/pours/{pour_id}/trace.csv",
    summary="The same as a CSV file",
    response_class=Response,
    responses={200: _CSV_ANSWER, **responses("not-found")},
)
async def read_trace_csv(pour_id: PourId, machine: Machine) -> Response:
    """For a spreadsheet or a plot."""
    return await _trace_csv(machine, pour_id)


@router.get(
    "/pours.csv",
    summary="The history as a CSV file, one line per dose",
    response_class=Response,
    responses={200: _CSV_ANSWER, **responses("invalid-request")},
)
async def export_pours(asked: Annotated[PourFilter, Query()], machine: Machine) -> StreamingResponse:
    """All pours that the filters let through, newest first; `limit` and cursors are of no use here."""
    return StreamingResponse(
        _history(machine, asked),
        media_type=CSV,
        headers={"Content-Disposition": 'attachment; filename="pours.csv"'},
    )


async def _history(services: Services, asked: PourFilter) -> AsyncIterator[str]:
    yield csv_lines([POUR_COLUMNS])
    before: str | None = None
    while True:
        query = asked.model_copy(update={"limit": PAGE_MOST, "before": before, "after": None}).query()
        page = await services.store.pours.list(query)
        yield csv_lines(row for record in page.pours for row in _dose_rows(record))
        if page.older is None:
            return
        before = page.older


def _dose_rows(record: PourRecord) -> list[tuple[object, ...]]:
    cause = None if record.outcome is None else record.outcome.cause
    rows: list[tuple[object, ...]] = []
    for dose in record.doses:
        end = dose.outcome
        delivered: tuple[object, ...] = (None, None, None)
        if end is not None:
            delivered = (
                round(end.delivered_g, 2),
                round(end.delivered_g - dose.target_g, 2),
                None if end.verdict is None else end.verdict.value,
            )
        rows.append(
            (
                record.id,
                record.created_at.isoformat(),
                record.state,
                cause,
                record.origin,
                dose.index + 1,
                dose.channel,
                dose.liquid_id,
                dose.liquid_name,
                dose.abv_percent,
                round(dose.target_g, 2),
                *delivered,
            )
        )
    return rows
