"""The set-up as a file: export, import, and its schema."""

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request, Response

from tarewell.api.context import Machine
from tarewell.api.problems import ProblemError, responses
from tarewell.api.schemas.setups import ImportView
from tarewell.setup_file.document import json_schema_text
from tarewell.setup_file.exchange import apply_import, export_setup

router = APIRouter(prefix="/v1/setup", tags=["set-up"])

TOML = "application/toml"
SCHEMA = "application/schema+json"

_EXAMPLE = """format = 1

[liquids.house-water]
name = "House Water"
abv_percent = 0
sugar_g_per_l = 0
"""
_TOML_BODY = {"content": {TOML: {"schema": {"type": "string"}, "example": _EXAMPLE}}}

_SCHEMA_ANSWER: dict[int | str, dict[str, Any]] = {200: {"content": {SCHEMA: {"schema": {"type": "object"}}}}}


@router.get("", summary="The whole set-up as one file", response_class=Response, responses={200: _TOML_BODY})
async def read_setup(machine: Machine) -> Response:
    """TOML: liquids, glasses, recipes, channels and bottles, without retired items and used-up bottles."""
    headers = {"Content-Disposition": 'attachment; filename="tarewell-setup.toml"'}
    return Response(await export_setup(machine.store), media_type=TOML, headers=headers)


@router.post(
    "/import",
    summary="Import a set-up file",
    responses=responses(
        "setup-at-fault",
        "in-use",
        "channel-taken",
        "changed-meanwhile",
        "bad-request",
        "invalid-request",
        "too-many",
        "too-large",
    ),
    openapi_extra={"requestBody": {"required": True, **_TOML_BODY}},
)
async def import_setup(
    machine: Machine,
    request: Request,
    dry_run: Annotated[bool, Query(description="true: only report what would change")] = True,
) -> ImportView:
    """Adds and changes items; everything else stays. All of it or, where anything is wrong, nothing."""
    try:
        text = (await request.body()).decode("utf-8")
    except UnicodeDecodeError as error:
        raise ProblemError(
            "bad-request", f"the file is not UTF-8 at byte {error.start}; save it as UTF-8 and send it again"
        ) from error
    plan = await machine.importer.plan(text)
    if not dry_run:
        await apply_import(machine.store, plan)
    return ImportView.of(plan, applied=not dry_run)


@router.get(
    "/schema", summary="JSON Schema of the set-up file", response_class=Response, responses=_SCHEMA_ANSWER
)
async def read_schema() -> Response:
    """Draft 2020-12, for editors that complete and check TOML."""
    return Response(json_schema_text(), media_type=SCHEMA)
