"""Guests: what was poured for them, and the release of a waiting glass."""

from typing import Annotated

from fastapi import APIRouter, Path

from tarewell.api.context import Machine
from tarewell.api.problems import responses
from tarewell.api.schemas.guests import GuestView, ReleaseBody, ReleaseView
from tarewell.api.schemas.round_requests import MAX_GUEST
from tarewell.machine.requests import ReleaseGuest
from tarewell.setup_file.forms import GUEST

router = APIRouter(prefix="/v1/guests", tags=["rounds"])

GuestLabel = Annotated[str, Path(pattern=GUEST, max_length=MAX_GUEST, examples=["seat 14"])]


@router.get("/{guest}", summary="What was poured for a guest", responses=responses("invalid-request"))
async def read_guest(guest: GuestLabel, machine: Machine) -> GuestView:
    """In standard drinks, within the window of the setting; a count, not a measure of anybody's state."""
    return GuestView.of(await machine.planner.standing(guest))


@router.post(
    "/{guest}/release",
    summary="Release a guest's waiting glass",
    status_code=201,
    responses=responses("malformed-json", "invalid-request", "command-not-possible", "machine-not-ready"),
)
async def release(guest: GuestLabel, body: ReleaseBody, machine: Machine) -> ReleaseView:
    """For this one glass; who did so and why is recorded. Look after the guest first."""
    return ReleaseView.of(await machine.client.ask(ReleaseGuest(guest, body.released_by, body.reason)))
