"""Alarms: active, acknowledged, shelved, and their history."""

import asyncio
from typing import Annotated

from fastapi import APIRouter, Path, Query, Response

from tarewell.api.context import Machine, Services
from tarewell.api.kept import listed, set_page_links
from tarewell.api.problems import responses
from tarewell.api.schemas.alarms import ActiveAlarmView, AlarmEventView, AlarmsView, ShelveBody
from tarewell.machine.alarms import AlarmAct
from tarewell.machine.requests import AcknowledgeAlarm, ShelveAlarm
from tarewell.records.values import MAX_PAGE

router = APIRouter(prefix="/v1/alarms", tags=["alarms"])

AlarmId = Annotated[str, Path(max_length=64, description="as listed", examples=["no_flow-4"])]


@router.get(
    "",
    summary="Active alarms, and their history",
    responses=listed("`next` to the older part of the history"),
)
async def read_alarms(
    machine: Machine,
    response: Response,
    limit: Annotated[int, Query(ge=1, le=MAX_PAGE, description="entries of the history")] = 50,
    before: Annotated[int | None, Query(ge=1, description="cursor of a next link")] = None,
) -> AlarmsView:
    """The active ones are in memory and shown even while the records cannot be written."""
    events, older = await machine.store.journal.newest(list(AlarmAct), before, limit)
    set_page_links(response, router.prefix, {"limit": limit}, None if older is None else str(older))
    return AlarmsView(active=_active(machine), history=[AlarmEventView.of(event) for event in events])


@router.post(
    "/{alarm_id}/acknowledge",
    summary="Acknowledge an alarm",
    responses=responses("not-found", "machine-not-ready"),
)
async def acknowledge(alarm_id: AlarmId, machine: Machine) -> list[ActiveAlarmView]:
    """Somebody has seen it and attends to it. Releases nothing and restarts nothing. Returns the active
    alarms."""
    await machine.client.ask(AcknowledgeAlarm(alarm_id))
    return _active(machine)


@router.post(
    "/{alarm_id}/shelve",
    summary="Shelve an alarm for a time",
    responses=responses(
        "malformed-json", "not-found", "command-not-possible", "invalid-request", "machine-not-ready"
    ),
)
async def shelve(alarm_id: AlarmId, body: ShelveBody, machine: Machine) -> list[ActiveAlarmView]:
    """Hides a nuisance; what the alarm does to a pour stays the same. One of high priority is never shelved.
    Returns the active alarms."""
    await machine.client.ask(ShelveAlarm(alarm_id, body.for_s))
    return _active(machine)


def _active(machine: Services) -> list[ActiveAlarmView]:
    now_s = asyncio.get_running_loop().time()
    return [ActiveAlarmView.of_active(found, now_s) for found in machine.client.state.status.alarms]
