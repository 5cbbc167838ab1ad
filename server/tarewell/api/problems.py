"""Problem details for HTTP APIs, RFC 9457: every error is an `application/problem+json` with its cure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from fastapi.responses import JSONResponse
from pydantic import BaseModel, ConfigDict, Field

MEDIA_TYPE = "application/problem+json"


@dataclass(frozen=True, slots=True)
class ProblemKind:
    """One type of problem: its name in the type URI, its title, its usual HTTP status and its meaning."""

    name: str
    status: int
    title: str
    meaning: str

    @property
    def uri(self) -> str:
        """The type member: a reference relative to the daemon's root, where a page explains it."""
        return f"/problems/{self.name}"


_KINDS = (
    ProblemKind(
        "malformed-json",
        400,
        "The body is not JSON",
        "The body could not be read as JSON. Correct it at the place named; send UTF-8.",
    ),
    ProblemKind(
        "bad-request",
        400,
        "The request cannot be understood",
        "A header or the request line is wrong. The detail says which.",
    ),
    ProblemKind(
        "token-required",
        401,
        "A valid token is required",
        "The daemon was started with a token. Send it as `Authorization: Bearer TOKEN`, or sign in with it.",
    ),
    ProblemKind(
        "operators-only",
        403,
        "This is for operators",
        "The session is that of a guest, who sees the menu and orders. Sign in with the daemon's token.",
    ),
    ProblemKind(
        "foreign-origin",
        403,
        "A page of another site may not do this",
        "The request changes something and came from a web page of another origin, or with a session's "
        "cookie from no page of the daemon. Send it from a page of the daemon, or from a program with the "
        "token; the setting `allowed_origins` lists other pages.",
    ),
    ProblemKind(
        "not-found",
        404,
        "There is no such thing",
        "The path, or the pour, order, liquid or channel that it names, does not exist. List them to see "
        "which do.",
    ),
    ProblemKind(
        "method-not-allowed",
        405,
        "The path does not support this method",
        "The Allow header lists the methods that it supports.",
    ),
    ProblemKind(
        "not-acceptable",
        406,
        "None of the accepted media types is available",
        "Ask for one of the types that the detail names.",
    ),
    ProblemKind(
        "machine-busy",
        409,
        "A pour or a round is under way",
        "There is one platform. `pour` or `round` links to what is under way: wait for its end, or stop it.",
    ),
    ProblemKind(
        "machine-not-ready",
        409,
        "The machine cannot do this now",
        "`blockers` lists why: no link to the board, not calibrated, the emergency stop latched. Remove "
        "them, then try again.",
    ),
    ProblemKind(
        "machine-silent",
        503,
        "The machine did not answer in time",
        "The request may have been carried out: check the machine or, with the same idempotency key, send it "
        "again. Retry-After says when.",
    ),
    ProblemKind(
        "too-many",
        503,
        "Too many at once",
        "Too many event streams or imports are open. Close some, or try again when Retry-After says.",
    ),
    ProblemKind(
        "command-not-possible",
        409,
        "The command cannot be carried out now",
        "The pour, round or order is over, or its state does not accept the command. The detail says which "
        "commands it accepts.",
    ),
    ProblemKind(
        "scale-not-ready",
        409,
        "The scale cannot do this now",
        "Usually it is not at rest. Keep hands and tubes off the platform, then try again.",
    ),
    ProblemKind(
        "in-use",
        409,
        "It is retired or in use",
        "An item that is assigned to a channel, used in a recipe or being poured cannot be retired, and a "
        "retired one cannot be used. The detail names both and says what to do.",
    ),
    ProblemKind(
        "channel-taken",
        409,
        "Another bottle is on the channel",
        "A channel has one bottle. Swap the bottles, or unmount the present one.",
    ),
    ProblemKind(
        "recording-unreadable",
        409,
        "This program version cannot read the recording",
        "Another version wrote it, or it is damaged. The detail names the version: read it with that one.",
    ),
    ProblemKind(
        "bar-closed",
        409,
        "The bar takes no orders now",
        "No service is open, guests may not order, or too many orders are in line. The detail says which.",
    ),
    ProblemKind(
        "changed-meanwhile",
        412,
        "It was changed meanwhile",
        "`If-Match` or `If-None-Match` does not hold, or somebody changed the item while the request was "
        "carried out. The request changed nothing. Read the item again, then decide.",
    ),
    ProblemKind(
        "too-large",
        413,
        "The body is too large",
        "No request needs more than 64 KiB, a set-up no more than 1 MiB. Send less.",
    ),
    ProblemKind(
        "unknown-host",
        421,
        "The daemon is not known by that name",
        "The Host header names neither this computer nor the setting `host` nor one of `hosts`. Use one of "
        "these, or add the name to `hosts`.",
    ),
    ProblemKind(
        "invalid-request",
        422,
        "The request has invalid fields",
        "`errors` has one entry each, with a JSON pointer (RFC 6901) into the body or a parameter's name.",
    ),
    ProblemKind(
        "setup-at-fault",
        422,
        "The set-up file has faults",
        "`errors` has all of them, each with its line and the path as a JSON pointer (RFC 6901). Nothing was "
        "changed.",
    ),
    ProblemKind(
        "weighing-refused",
        422,
        "This cannot be the bottle's mass",
        "The mass of the empty bottle is not known, or the reading is below an empty or above a full one. "
        "The detail says what to do.",
    ),
    ProblemKind(
        "pour-not-possible",
        422,
        "The pour cannot be carried out",
        "An unknown channel, an amount out of range, or more than the glass or the scale can take. `errors` "
        "points at the dose.",
    ),
    ProblemKind(
        "round-not-possible",
        422,
        "The round cannot be poured as it is",
        "There is no such recipe, or not all glasses can be poured. The detail says how many can and what "
        "blocks the others; `errors` points at those. `allow_short` begins without them.",
    ),
    ProblemKind(
        "order-not-possible",
        422,
        "The drink cannot be ordered now",
        "There is no such recipe, or it cannot be poured now. The detail says why. Choose another drink.",
    ),
    ProblemKind(
        "idempotency-conflict",
        422,
        "The idempotency key belongs to another request",
        "A key identifies one request for ever. Send a new key with a new request; `pour` or `round` links "
        "to the old one.",
    ),
    ProblemKind(
        "calibration-refused",
        422,
        "This calibration would not weigh",
        "The reading moved too little, or the reference mass is out of range. The detail says what to do.",
    ),
    ProblemKind(
        "calibration-unlikely",
        422,
        "This is hardly the reference mass that was given",
        "The span would be twice the expected one or more, or half of it or less. Check what is on the "
        "platform and send its mass. If mass and cell are right, `accept_unlikely` keeps the calibration.",
    ),
    ProblemKind(
        "too-many-tries",
        429,
        "Too many wrong tokens",
        "Several wrong tokens came from this address. Wait as long as Retry-After says, then try again.",
    ),
    ProblemKind(
        "internal-error",
        500,
        "The daemon failed",
        "An error in the program. The pumps stop on their own. See the daemon's log and report what it says.",
    ),
    ProblemKind(
        "not-ready",
        503,
        "No pour can start now",
        "The answer to a request that needs a working machine: `blockers` lists why there is none.",
    ),
    ProblemKind(
        "records-unavailable",
        503,
        "The records cannot be read or written",
        "No pour starts without its record. The detail says what the database reported and what to do.",
    ),
    ProblemKind(
        "http-error", 400, "The request failed", "The status says how; the detail says what was wrong."
    ),
)

PROBLEMS = {kind.name: kind for kind in _KINDS}


class FieldError(BaseModel):
    """One field at fault: `pointer` into the body, `parameter` in path, query or header, `line` of a file."""

    detail: str
    line: int | None = None
    pointer: str | None = None
    parameter: str | None = None


class Problem(BaseModel):
    """Problem details of RFC 9457. `pour` and `blockers` are present where they apply."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "type": "/problems/machine-busy",
                    "title": "A pour or a round is under way",
                    "status": 409,
                    "detail": "pour 01JD8B7C2N is under way and there is one platform; wait for its end, "
                    "or stop it first (`tarewell stop`)",
                    "instance": "/v1/pours",
                    "pour": "/v1/pours/01JD8B7C2N",
                }
            ]
        }
    )

    type: str
    title: str
    status: int
    detail: str
    instance: str
    errors: list[FieldError] | None = Field(default=None, description="the fields at fault")
    pour: str | None = Field(default=None, description="link to the conflicting pour")
    round: str | None = Field(default=None, description="link to the conflicting round")
    blockers: list[str] | None = Field(default=None, description="why no pour can start")


class ProblemError(Exception):
    """Answer the request with a problem of this kind."""

    def __init__(
        self,
        name: str,
        detail: str,
        *,
        status: int | None = None,
        errors: Sequence[FieldError] | None = None,
        pour: str | None = None,
        round_: str | None = None,
        blockers: Sequence[str] | None = None,
        headers: Mapping[str, str] | None = None,
    ) -> None:
        super().__init__(detail)
        self.kind = PROBLEMS[name]
        self.detail = detail
        self.status = status or self.kind.status
        self.errors = None if errors is None else list(errors)
        self.pour = pour
        self.round = round_
        self.blockers = None if blockers is None else list(blockers)
        self.headers = dict(headers or {})


def problem_response(error: ProblemError, instance: str) -> JSONResponse:
    """The response for a problem with the request to `instance`."""
    body = Problem(
        type=error.kind.uri,
        title=error.kind.title,
        status=error.status,
        detail=error.detail,
        instance=instance,
        errors=error.errors,
        pour=error.pour,
        round=error.round,
        blockers=error.blockers,
    )
    return JSONResponse(
        body.model_dump(exclude_none=True),
        status_code=error.status,
        headers=error.headers,
        media_type=MEDIA_TYPE,
    )


def responses(*names: str) -> dict[int | str, dict[str, Any]]:
    """The OpenAPI responses of a route with these problems."""
    by_status: dict[int | str, list[ProblemKind]] = {}
    for name in names:
        by_status.setdefault(PROBLEMS[name].status, []).append(PROBLEMS[name])
    return {
        status: {
            "model": Problem,
            "description": "; ".join(kind.title for kind in kinds),
        }
        for status, kinds in by_status.items()
    }
