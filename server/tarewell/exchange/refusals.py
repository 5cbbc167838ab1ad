"""Errors as values: what one process raises, the other raises again with the same type, message and
fields."""

from typing import Any

from tarewell.dosing.plan import PlanError
from tarewell.dosing.states import PourEventKind, PourState, UnexpectedPourEvent
from tarewell.machine.alarms import NotShelvedError, UnknownAlarmError
from tarewell.machine.requests import (
    MachineBusyError,
    NotAnsweredError,
    NotReadyError,
    NotUnderWayError,
    RoundNotUnderWayError,
)
from tarewell.menu.checks import Fault
from tarewell.menu.errors import MenuError
from tarewell.orders.states import OrderEventKind, OrderState, UnexpectedOrderEvent
from tarewell.records import errors as r
from tarewell.rounds.states import RoundEventKind, RoundState, UnexpectedRoundEvent
from tarewell.typed_json import dump, load
from tarewell.weighing.calibration import CalibrationError, UnlikelySpanError
from tarewell.weighing.scale import ScaleError

_FIELDS: dict[type[Exception], dict[str, Any]] = {
    PlanError: {"dose": int | None},
    UnexpectedPourEvent: {"state": PourState, "kind": PourEventKind},
    UnexpectedRoundEvent: {"state": RoundState, "kind": RoundEventKind},
    UnexpectedOrderEvent: {"state": OrderState, "kind": OrderEventKind},
    MachineBusyError: {"owner_id": str, "what": str},
    r.IdempotencyConflict: {"key": str, "owner_id": str, "what": str},
    r.FaultyError: {"faults": tuple[Fault, ...]},
    **{
        kind: {}
        for kind in (
            NotReadyError,
            NotAnsweredError,
            NotUnderWayError,
            RoundNotUnderWayError,
            UnknownAlarmError,
            NotShelvedError,
            MenuError,
            CalibrationError,
            UnlikelySpanError,
            ScaleError,
            ValueError,
            r.RecordsError,
            r.StoreError,
            r.RejectedError,
            r.NotADatabaseError,
            r.DiskFullError,
            r.ReadOnlyError,
            r.DamagedError,
            r.StoreInUseError,
            r.UnknownRecordError,
            r.PourOverError,
            r.RoundOverError,
            r.InUseError,
            r.RetiredLiquidError,
            r.ChannelTakenError,
            r.BarClosedError,
            r.ChangedMeanwhileError,
        )
    },
}
"""Every error that may cross, with the types of its fields besides the message."""

_BY_NAME = {kind.__name__: kind for kind in _FIELDS}


class MachineFaultError(Exception):
    """An error in the program stopped the machine from carrying out the request; its log has the details."""


def dump_refusal(error: BaseException) -> dict[str, Any]:
    """The error for the other process; one that may not cross becomes a `MachineFaultError`."""
    fields = _FIELDS.get(type(error))  # type: ignore[arg-type]
    if fields is None:
        return {"kind": MachineFaultError.__name__, "message": f"{type(error).__name__}: {error}", "with": {}}
    return {
        "kind": type(error).__name__,
        "message": str(error),
        "with": {name: dump(getattr(error, name)) for name in fields},
    }


def load_refusal(data: dict[str, Any]) -> Exception:
    """The error to raise here."""
    kind = _BY_NAME.get(data["kind"], MachineFaultError)
    error = kind.__new__(kind)
    error.args = (data["message"],)
    for name, of in _FIELDS.get(kind, {}).items():
        setattr(error, name, load(of, data["with"][name]))
    return error
