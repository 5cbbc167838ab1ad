"""What one process refuses is refused in the other with the same type, words and fields."""

import json
from collections.abc import Iterator

import pytest

from tarewell.dosing.plan import PlanError
from tarewell.dosing.states import PourEventKind, PourState, UnexpectedPourEvent
from tarewell.exchange.refusals import MachineFaultError, dump_refusal, load_refusal
from tarewell.machine import requests
from tarewell.machine.alarms import NotShelvedError, UnknownAlarmError
from tarewell.menu.checks import Fault
from tarewell.menu.errors import MenuError
from tarewell.orders.states import OrderEventKind, OrderState, UnexpectedOrderEvent
from tarewell.records import errors as r
from tarewell.rounds.states import RoundEventKind, RoundState, UnexpectedRoundEvent
from tarewell.weighing.calibration import CalibrationError, UnlikelySpanError
from tarewell.weighing.scale import ScaleError

ERRORS: list[tuple[Exception, dict[str, object]]] = [
    (PlanError("dose 2 is too small", 1), {"dose": 1}),
    (PlanError("no dose at all"), {"dose": None}),
    (
        UnexpectedPourEvent(PourState.HELD, PourEventKind.HOLD),
        {"state": PourState.HELD, "kind": PourEventKind.HOLD},
    ),
    (
        UnexpectedRoundEvent(RoundState.BY_HAND, RoundEventKind.START),
        {"state": RoundState.BY_HAND, "kind": RoundEventKind.START},
    ),
    (
        UnexpectedOrderEvent(OrderState.READY, OrderEventKind.LATER),
        {"state": OrderState.READY, "kind": OrderEventKind.LATER},
    ),
    (requests.MachineBusyError("7", "round"), {"owner_id": "7", "what": "round"}),
    (r.IdempotencyConflict("k-1", "7", "round"), {"key": "k-1", "owner_id": "7", "what": "round"}),
    (
        r.FaultyError("the glass", [Fault("too small", "/brim_ml"), Fault("no name", "/name")]),
        {"faults": (Fault("too small", "/brim_ml"), Fault("no name", "/name"))},
    ),
    (r.ChangedMeanwhileError("channel 4"), {}),
    *(
        (kind("Es ist so nicht möglich: \n – 'x'"), {})
        for kind in (
            requests.NotReadyError,
            requests.NotAnsweredError,
            requests.NotUnderWayError,
            requests.RoundNotUnderWayError,
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
        )
    ),
]

ONLY_AT_THE_START = {r.NewerDatabaseError, r.MigrationError}


def crossed(error: Exception) -> Exception:
    return load_refusal(json.loads(json.dumps(dump_refusal(error))))


@pytest.mark.parametrize(("error", "fields"), ERRORS, ids=lambda value: type(value).__name__)
def test_a_refusal_is_the_same_on_the_other_side(error: Exception, fields: dict[str, object]) -> None:
    found = crossed(error)
    assert type(found) is type(error)
    assert str(found) == str(error)
    assert {name: getattr(found, name) for name in fields} == fields


def kinds_below(kind: type[Exception]) -> Iterator[type[Exception]]:
    for below in kind.__subclasses__():
        yield below
        yield from kinds_below(below)


def test_every_refusal_of_records_and_machine_may_cross() -> None:
    own = {
        kind
        for kind in vars(requests).values()
        if isinstance(kind, type) and issubclass(kind, Exception) and kind.__module__ == requests.__name__
    }
    of_records = {kind for kind in kinds_below(r.RecordsError) if kind.__module__ == r.__name__}
    assert own | of_records - ONLY_AT_THE_START <= {type(error) for error, _ in ERRORS}


@pytest.mark.parametrize("error", [KeyError("x"), ZeroDivisionError("division by zero"), RuntimeError()])
def test_an_error_in_the_program_is_told_as_that(error: Exception) -> None:
    found = crossed(error)
    assert type(found) is MachineFaultError
    assert type(error).__name__ in str(found)


def test_a_kind_that_is_not_known_here_is_a_fault_of_the_machine() -> None:
    found = load_refusal({"kind": "SomethingNewError", "message": "from a later build", "with": {"a": 1}})
    assert type(found) is MachineFaultError
    assert str(found) == "from a later build"
