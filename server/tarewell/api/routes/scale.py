"""The scale: reading, zero, tare and calibration."""

from fastapi import APIRouter

from tarewell.api.context import Machine
from tarewell.api.problems import ProblemError, responses
from tarewell.api.schemas.scale import (
    CalibrationRequest,
    CalibrationView,
    CornersBody,
    CornersView,
    EmptyView,
    IndicationView,
)
from tarewell.machine.requests import Calibrate, ClearTare, ReadEmpty, SetTare, SetZero
from tarewell.weighing.corners import CornerCheck

router = APIRouter(prefix="/v1/scale", tags=["scale"])

_REFUSALS = responses("scale-not-ready", "machine-not-ready", "machine-busy")


@router.get("", summary="What the scale shows", responses=responses("not-ready"))
async def read_scale(machine: Machine) -> IndicationView:
    """The last reading; a problem when there is no fresh one."""
    status = machine.client.state.status
    if status.indication is None:
        raise ProblemError(
            "not-ready",
            "; ".join(("the scale has no reading", *status.blockers)),
            blockers=status.blockers,
        )
    return IndicationView.of(status.indication)


@router.post("/zero", summary="Set zero", responses=_REFUSALS)
async def zero(machine: Machine) -> IndicationView:
    """The empty platform at rest now reads 0; clears the tare."""
    return IndicationView.of(await machine.client.ask(SetZero()))


@router.post("/tare", summary="Set tare", responses=_REFUSALS)
async def tare(machine: Machine) -> IndicationView:
    """The load at rest is left out of the net mass."""
    await machine.client.ask(SetTare())
    return await read_scale(machine)


@router.delete("/tare", summary="Clear the tare", responses=_REFUSALS)
async def clear_tare(machine: Machine) -> IndicationView:
    """Net is gross again."""
    await machine.client.ask(ClearTare())
    return await read_scale(machine)


@router.post(
    "/calibration/empty", summary="Calibrate, first step: read the empty platform", responses=_REFUSALS
)
async def calibration_empty(machine: Machine) -> EmptyView:
    """Changes nothing; send the counts back in the second step."""
    return EmptyView(empty_counts=await machine.client.ask(ReadEmpty()))


@router.post(
    "/calibration",
    summary="Calibrate, second step: read the reference mass",
    responses=responses(
        "scale-not-ready",
        "machine-not-ready",
        "machine-busy",
        "calibration-refused",
        "calibration-unlikely",
        "invalid-request",
    ),
)
async def calibrate(body: CalibrationRequest, machine: Machine) -> CalibrationView:
    """Two-point calibration from the empty platform and a known mass; kept from now on."""
    asked = Calibrate(body.empty_counts, body.reference_g, body.accept_unlikely)
    return CalibrationView.of(await machine.client.ask(asked))


@router.post("/corners", summary="Check the corners of the platform", responses=responses("invalid-request"))
async def check_corners(body: CornersBody, machine: Machine) -> CornersView:
    """The eccentricity test of OIML R 76-1, by readings that were taken before. It goes into the journal."""
    check = CornerCheck(body.reference_g, tuple(body.readings_g), machine.bar.scale.e_g)
    await machine.store.calibrations.note_corners(check)
    return CornersView.of(check)


@router.get("/calibration", summary="The calibration in use", responses=responses("not-found"))
async def read_calibration(machine: Machine) -> CalibrationView:
    """There is none before the first calibration."""
    newest = await machine.store.calibrations.history(1)
    if not newest:
        raise ProblemError(
            "not-found",
            "the scale was never calibrated; calibrate it with a reference mass (`tarewell calibrate`)",
        )
    return CalibrationView.of(newest[0].calibration, newest[0])
