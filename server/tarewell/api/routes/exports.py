"""Traces and the history as files for other programs."""

import asyncio
from collections.abc import Sequence
from typing import Annotated

from fastapi import APIRouter, Header, Query, Response
from fastapi.responses import StreamingResponse

from tarewell.api.context import Machine, Services
from tarewell.api.kept import RecordId
from tarewell.api.problems import ProblemError, responses
from tarewell.api.schemas.pour_requests import PourFilter
from tarewell.api.schemas.traces import PictureQuery, TracePictureView, TraceView
from tarewell.records.exports import history_csv, journal_lines, trace_csv, trace_lines

router = APIRouter(prefix="/v1", tags=["exports"])

CSV = "text/csv"
JSON = "application/json"
JSON_LINES = "application/jsonl"

CSV_ANSWER = {"content": {CSV: {"schema": {"type": "string"}}}}


def preferred(accept: str | None, offered: Sequence[str] = (JSON, CSV)) -> str | None:
    """The media type that an Accept header prefers (RFC 9110, 12.5.1); on a draw the first."""
    quality: dict[str, float] = {}
    for item in (accept or "*/*").split(","):
        media, *parameters = (part.strip().lower() for part in item.split(";"))
        weights = [part[2:] for part in parameters if part.startswith("q=")]
        try:
            quality[media] = float(weights[0]) if weights else 1.0
        except ValueError:
            quality[media] = 0.0
    best, best_quality = None, 0.0
    for media in offered:
        family = media.split("/")[0] + "/*"
        found = quality.get(media, quality.get(family, quality.get("*/*", 0.0)))
        if found > best_quality:
            best, best_quality = media, found
    return best


def attached(filename: str) -> dict[str, str]:
    """Headers of an answer that a browser saves as this file."""
    return {"Content-Disposition": f'attachment; filename="{filename}"'}


async def _trace_csv(services: Services, pour_id: str) -> Response:
    entries = await services.store.pours.trace(pour_id)
    setup = await services.store.pours.setup(pour_id)
    text = "".join(trace_csv(trace_lines(entries, setup.calibration)))
    return Response(text, media_type=CSV, headers=attached(f"pour-{pour_id}.csv"))


@router.get(
    "/pours/{pour_id}/trace",
    summary="The trace of a pour",
    response_model=TraceView | TracePictureView,
    response_model_exclude_none=True,
    responses={200: CSV_ANSWER, **responses("not-found", "not-acceptable", "invalid-request")},
)
async def read_trace(
    pour_id: RecordId,
    machine: Machine,
    asked: Annotated[PictureQuery, Query()],
    accept: Annotated[str | None, Header()] = None,
) -> TraceView | Response:
    """As JSON, or as CSV by the Accept header; during the pour, what was written so far. With `points`
    thinned for a picture of that width."""
    if asked.points is not None:
        return await _picture(machine, pour_id, asked, asked.points)
    match preferred(accept):
        case "application/json":
            entries = await machine.store.pours.trace(pour_id)
            setup = await machine.store.pours.setup(pour_id)
            return TraceView(pour_id=pour_id, entries=list(trace_lines(entries, setup.calibration)))
        case "text/csv":
            return await _trace_csv(machine, pour_id)
    raise ProblemError("not-acceptable", f"a trace is available as {JSON} or {CSV}; accept one of them")


async def _picture(services: Services, pour_id: str, asked: PictureQuery, points: int) -> Response:
    picture = await services.store.pours.picture(pour_id)
    columns = asked.columns(picture, points)
    text = await asyncio.to_thread(
        lambda: TracePictureView.of(pour_id, picture, columns, asked.window_s).model_dump_json()
    )
    return Response(text, media_type=JSON)


@router.get(
    "/pours/{pour_id}/trace.csv",
    summary="The trace of a pour as a CSV file",
    response_class=Response,
    responses={200: CSV_ANSWER, **responses("not-found")},
)
async def read_trace_csv(pour_id: RecordId, machine: Machine) -> Response:
    """For a spreadsheet or a plot."""
    return await _trace_csv(machine, pour_id)


@router.get(
    "/pours.csv",
    summary="The history as a CSV file, one line per dose",
    response_class=Response,
    responses={200: CSV_ANSWER, **responses("invalid-request")},
)
async def export_pours(asked: Annotated[PourFilter, Query()], machine: Machine) -> StreamingResponse:
    """All matching pours, newest first; `limit` is ignored here."""
    return StreamingResponse(
        history_csv(machine.store.pours, asked.query()), media_type=CSV, headers=attached("pours.csv")
    )


@router.get(
    "/journal.jsonl",
    summary="The whole journal as JSON lines",
    response_class=Response,
    responses={200: {"content": {JSON_LINES: {"schema": {"type": "string"}}}}},
)
async def export_journal(machine: Machine) -> StreamingResponse:
    """Oldest first; each line has the columns that its hash covers, as they are stored."""
    return StreamingResponse(
        journal_lines(machine.store.journal), media_type=JSON_LINES, headers=attached("journal.jsonl")
    )
