"""The machine, its emergency stop, and the health of daemon and machine."""

import asyncio

from fastapi import APIRouter

from tarewell import __version__
from tarewell.api.context import Machine, Services
from tarewell.api.problems import ProblemError, responses
from tarewell.api.schemas.about import AboutView
from tarewell.api.schemas.machine import BoardStatsView, HealthView, MachineView, ReadyView
from tarewell.machine.guard import LATCHED
from tarewell.machine.requests import ReadCounters, ReleaseLatchedStop, TriggerEmergencyStop

router = APIRouter(prefix="/v1", tags=["machine"])


async def view(machine: Services) -> MachineView:
    """The machine at a glance."""
    status, latching = machine.client.state.status, None
    if status.latched:
        latching = next(iter((await machine.store.journal.newest([LATCHED], None, 1))[0]), None)
    return MachineView.of(status, asyncio.get_running_loop().time(), latching)


@router.get("/machine", summary="The machine at a glance")
async def read_machine(machine: Machine) -> MachineView:
    """Link and board, calibration, emergency stop, the pour under way, alarms, and blockers."""
    return await view(machine)


@router.get("/machine/board", summary="The board's counters", responses=responses("machine-not-ready"))
async def read_board(machine: Machine) -> BoardStatsView:
    """Counters of its line and load cell since its reset."""
    return BoardStatsView.of(await machine.client.ask(ReadCounters()))


@router.post(
    "/machine/emergency-stop",
    summary="Stop every pump and latch",
    responses=responses("machine-not-ready"),
)
async def emergency_stop(machine: Machine) -> MachineView:
    """Aborts the pour under way; nothing runs until the release. It does not replace a switch in the pump
    supply."""
    await machine.client.ask(TriggerEmergencyStop(machine.origin))
    return await view(machine)


@router.post(
    "/machine/release", summary="Release the emergency stop", responses=responses("machine-not-ready")
)
async def release(machine: Machine) -> MachineView:
    """Only after the cause was found and removed. Starts nothing."""
    await machine.client.ask(ReleaseLatchedStop(machine.origin))
    return await view(machine)


@router.get("/health", summary="Whether the daemon answers", tags=["health"])
async def health(machine: Machine) -> HealthView:
    """Needs no token and checks nothing else."""
    return HealthView(version=__version__, page=machine.page.version)


@router.get("/about", summary="The bar, and the settings that people see")
async def read_about(machine: Machine) -> AboutView:
    """What a page shows beside the machine: names, currency, rating of the scale, limits, versions."""
    return AboutView.of(machine)


@router.get(
    "/ready", summary="Whether a pour could start now", tags=["health"], responses=responses("not-ready")
)
async def ready(machine: Machine) -> ReadyView:
    """Otherwise a problem of status 503 with the blockers; a pour under way is no blocker."""
    blockers = machine.client.state.status.blockers
    if blockers:
        raise ProblemError("not-ready", "no pour can start: " + "; ".join(blockers), blockers=blockers)
    return ReadyView()
