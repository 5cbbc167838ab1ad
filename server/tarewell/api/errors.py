"""Translates every exception that may reach the API into a problem for the client."""

import logging
import re
from collections.abc import Sequence
from http import HTTPStatus
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from starlette.exceptions import HTTPException

from tarewell.dosing.plan import PlanError
from tarewell.dosing.states import UnexpectedPourEvent
from tarewell.exchange.refusals import MachineFaultError
from tarewell.machine.alarms import NotShelvedError, UnknownAlarmError
from tarewell.machine.requests import (
    MachineBusyError,
    NotAnsweredError,
    NotReadyError,
    NotUnderWayError,
    RoundNotUnderWayError,
)
from tarewell.orders.states import UnexpectedOrderEvent
from tarewell.records.errors import (
    BarClosedError,
    ChangedMeanwhileError,
    ChannelTakenError,
    FaultyError,
    IdempotencyConflict,
    InUseError,
    StoreError,
    UnknownRecordError,
)
from tarewell.rounds.states import UnexpectedRoundEvent
from tarewell.setup_file.forms import FormError, message_of, pointer_to
from tarewell.setup_file.reading import SetupFaultsError
from tarewell.weighing.calibration import CalibrationError, UnlikelySpanError
from tarewell.weighing.scale import ScaleError

from .context import services
from .problems import FieldError, ProblemError, problem_response

log = logging.getLogger(__name__)

_BY_STATUS = {400: "bad-request", 404: "not-found", 405: "method-not-allowed", 413: "too-large"}


def pour_link(pour_id: str) -> str:
    """The link to a pour."""
    return f"/v1/pours/{pour_id}"


def round_link(round_id: str) -> str:
    """The link to a round."""
    return f"/v1/rounds/{round_id}"


def _taken(name: str, error: MachineBusyError | IdempotencyConflict) -> ProblemError:
    """A conflict with a pour or a round; the problem links to it."""
    if error.what == "order":  # its id is the guest's own
        return ProblemError(name, "the idempotency key was used for another order; send a new one")
    if error.what == "round":
        return ProblemError(name, str(error), round_=round_link(error.owner_id))
    return ProblemError(name, str(error), pour=pour_link(error.owner_id))


def as_problem(error: Exception, request: Request) -> ProblemError:
    """The problem for an exception."""
    match error:
        case ProblemError():
            return error
        case RequestValidationError():
            return _validation(error.errors())
        case HTTPException():
            return _http(error, request)
        case PlanError():
            pointer = "/doses" if error.dose is None else f"/doses/{error.dose}"
            return ProblemError(
                "pour-not-possible", str(error), errors=[FieldError(detail=str(error), pointer=pointer)]
            )
        case MachineBusyError():
            return _taken("machine-busy", error)
        case IdempotencyConflict():
            return _taken("idempotency-conflict", error)
        case NotAnsweredError():
            return ProblemError("machine-silent", str(error), headers={"Retry-After": "1"})
        case NotReadyError():
            blockers = services(request).client.state.status.blockers
            return ProblemError("machine-not-ready", str(error), blockers=blockers or (str(error),))
        case (
            NotUnderWayError()
            | RoundNotUnderWayError()
            | UnexpectedPourEvent()
            | UnexpectedRoundEvent()
            | UnexpectedOrderEvent()
            | NotShelvedError()
        ):
            return ProblemError("command-not-possible", str(error))
        case UnlikelySpanError():
            return ProblemError("calibration-unlikely", str(error))
        case CalibrationError():
            return ProblemError("calibration-refused", str(error))
        case ScaleError():
            return ProblemError("scale-not-ready", str(error))
        case UnknownRecordError() | UnknownAlarmError():
            return ProblemError("not-found", str(error))
        case InUseError():
            return ProblemError("in-use", str(error))
        case BarClosedError():
            return ProblemError("bar-closed", str(error))
        case ChannelTakenError():
            return ProblemError("channel-taken", str(error))
        case ChangedMeanwhileError():
            return ProblemError("changed-meanwhile", str(error))
        case FormError() | FaultyError():
            return _invalid([FieldError(detail=f.message, pointer=f.pointer) for f in error.faults])
        case SetupFaultsError():
            faults = [FieldError(detail=f.message, pointer=f.pointer, line=f.line) for f in error.faults]
            return ProblemError("setup-at-fault", str(error), errors=faults)
        case StoreError():
            log.error("records unavailable: %s", error)
            return ProblemError("records-unavailable", str(error))
        case MachineFaultError():
            return ProblemError(
                "internal-error", f"the machine met an unexpected error ({error}); see its log"
            )
    log.error("unexpected error at %s %s", request.method, request.url.path, exc_info=error)
    return ProblemError("internal-error", "the daemon met an unexpected error; its log has the details")


def install(app: FastAPI) -> None:
    """Answer every error of the app with a problem."""

    async def answer(request: Request, error: Exception) -> JSONResponse:
        return problem_response(as_problem(error, request), request.url.path)

    for kind in (
        ProblemError,
        RequestValidationError,
        HTTPException,
        PlanError,
        MachineBusyError,
        IdempotencyConflict,
        NotReadyError,
        NotUnderWayError,
        UnexpectedPourEvent,
        RoundNotUnderWayError,
        UnexpectedRoundEvent,
        UnexpectedOrderEvent,
        BarClosedError,
        NotShelvedError,
        CalibrationError,
        ScaleError,
        UnknownRecordError,
        UnknownAlarmError,
        InUseError,
        ChannelTakenError,
        ChangedMeanwhileError,
        FormError,
        FaultyError,
        SetupFaultsError,
        StoreError,
        MachineFaultError,
        Exception,
    ):
        app.add_exception_handler(kind, answer)


def _http(error: HTTPException, request: Request) -> ProblemError:
    name = _BY_STATUS.get(error.status_code, "http-error")
    if name == "not-found" and error.detail == HTTPStatus.NOT_FOUND.phrase:
        detail = f"there is nothing at {request.url.path}; GET /openapi.json lists every path"
    elif name == "method-not-allowed":
        allowed = _allowed(request) or (error.headers or {}).get("Allow", "other methods")
        detail = f"{request.url.path} takes {allowed}, got {request.method}"
        return ProblemError(name, detail, headers={"Allow": allowed})
    else:
        detail = str(error.detail) or HTTPStatus(error.status_code).phrase
    return ProblemError(name, detail, status=error.status_code, headers=error.headers)


def _allowed(request: Request) -> str:
    """Every method of the path; the framework names only those of the first matching route."""
    described: dict[str, dict[str, Any]] = request.app.openapi()["paths"]
    return ", ".join(
        method.upper()
        for path, item in described.items()
        if re.fullmatch(re.sub(r"\{\w+\}", "[^/]+", path), request.url.path)
        for method in item
    )


def _validation(errors: Sequence[Any]) -> ProblemError:
    broken = next((item for item in errors if item["type"] == "json_invalid"), None)
    if broken is not None:
        reason = broken.get("ctx", {}).get("error", "it cannot be parsed")
        place = broken["loc"][-1] if len(broken["loc"]) > 1 else 0
        return ProblemError(
            "malformed-json", f"the body is not JSON at character {place}: {reason}; correct it there"
        )
    return _invalid([_field(item) for item in errors])


def _invalid(fields: Sequence[FieldError]) -> ProblemError:
    first = fields[0]
    where = first.pointer or first.parameter or "the body"
    more = f" (and {len(fields) - 1} more, see errors)" if len(fields) > 1 else ""
    return ProblemError("invalid-request", f"{where}: {first.detail}{more}", errors=fields)


def _field(item: Any) -> FieldError:
    place, *path = item["loc"]
    if place != "body":
        return FieldError(detail=message_of(item), parameter=str(path[0]) if path else place)
    return FieldError(detail=message_of(item), pointer=pointer_to(path))
