"""Recordings of the flight recorder: what happened around an alarm."""

import asyncio
from typing import Annotated

from fastapi import APIRouter, Header, Path, Response

from tarewell.api.context import Machine, Services
from tarewell.api.problems import ProblemError, responses
from tarewell.api.schemas.recordings import RecordingTraceView, RecordingView
from tarewell.machine.recording import RecordingError
from tarewell.records.exports import TraceLine, trace_csv
from tarewell.records.recording_lines import recording_lines
from tarewell.records.recordings import RecordingSummary

from .exports import CSV, CSV_ANSWER, JSON, attached, preferred

router = APIRouter(prefix="/v1/recordings", tags=["exports"])

RecordingId = Annotated[
    str, Path(max_length=64, description="as listed", examples=["01959c45-1d02-7000-9b11-5f0c7a61d2e4"])
]


@router.get("", summary="The flight recorder's recordings, newest first")
async def list_recordings(machine: Machine) -> list[RecordingView]:
    """All that are kept, also those of another program version."""
    return [RecordingView.of(found) for found in await machine.store.recordings.list()]


async def _lines(services: Services, recording_id: str) -> tuple[RecordingSummary, list[TraceLine]]:
    found, data = await services.store.recordings.get(recording_id)
    try:
        return found, await asyncio.to_thread(lambda: list(recording_lines(data)))
    except RecordingError as error:
        raise ProblemError(
            "recording-unreadable",
            f"recording {found.id} was written by program version {found.program_version}: {error}",
        ) from error


async def _csv(services: Services, recording_id: str) -> Response:
    found, lines = await _lines(services, recording_id)
    headers = attached(f"recording-{found.id}.csv")
    return Response("".join(trace_csv(lines)), media_type=CSV, headers=headers)


@router.get(
    "/{recording_id}.csv",
    summary="A recording as a CSV file",
    response_class=Response,
    responses={200: CSV_ANSWER, **responses("not-found", "recording-unreadable")},
)
async def read_recording_csv(recording_id: RecordingId, machine: Machine) -> Response:
    """For a spreadsheet or a plot."""
    return await _csv(machine, recording_id)


@router.get(
    "/{recording_id}",
    summary="One recording, as a trace",
    response_model=RecordingTraceView,
    response_model_exclude_none=True,
    responses={200: CSV_ANSWER, **responses("not-found", "not-acceptable", "recording-unreadable")},
)
async def read_recording(
    recording_id: RecordingId, machine: Machine, accept: Annotated[str | None, Header()] = None
) -> RecordingTraceView | Response:
    """Every event with what the machine answered, as JSON, or as CSV by the Accept header."""
    match preferred(accept):
        case "application/json":
            found, lines = await _lines(machine, recording_id)
            return RecordingTraceView.of(found, entries=lines)
        case "text/csv":
            return await _csv(machine, recording_id)
    raise ProblemError("not-acceptable", f"a recording is available as {JSON} or {CSV}; accept one of them")
