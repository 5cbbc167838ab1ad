"""Carries out requests to the machine, reports its state, and handles its button.

A press that stops a pour takes effect here, before any other process learns of it.
"""

import logging
from typing import Any, TypeVar, cast

from tarewell.dosing.events import PourCommand
from tarewell.dosing.states import PourState, UnexpectedPourEvent
from tarewell.exchange import requests as r
from tarewell.exchange.client import ControlsListener
from tarewell.exchange.live import EventFeed
from tarewell.exchange.requests import MachineRequest, MachineState, NotUnderWayError, RoundNotUnderWayError
from tarewell.rounds.events import RoundCommand
from tarewell.rounds.states import UnexpectedRoundEvent
from tarewell_protocol.messages import Button, Knob, Press

from .operation import Operation
from .rounds import Rounds

log = logging.getLogger(__name__)

A = TypeVar("A")

_LEFT_ALONE = frozenset({PourState.HELD, PourState.STOPPING, PourState.ABORTING})
"""States in which a press means something else: a held pour displays what a press does."""


class Desk:
    """A `MachineClient` within this process; requests from other processes come here too."""

    def __init__(self, operation: Operation, rounds: Rounds) -> None:
        self.operation = operation
        self.rounds = rounds
        self._controls_listener: ControlsListener | None = None
        self._is_down = False
        operation.listen_to_controls(self._take_controls)

    def listen_to_controls(self, listener: ControlsListener | None) -> None:
        """Set who gets reports of knob and button, after they took effect here; None: nobody."""
        self._controls_listener = listener

    def _take_controls(self, report: Button | Knob) -> None:
        if isinstance(report, Button):
            lost_down = report.press is Press.UP and not self._is_down
            self._is_down = report.press is not Press.UP
            if report.press is Press.DOWN or lost_down:
                self._stop()
        if self._controls_listener is not None:
            self._controls_listener(report)

    def _stop(self) -> None:
        """Stop the pour under way. One that is all of a round ends with it; a longer round is held."""
        followed, round_ = self.operation.followed, self.rounds.followed
        if followed is None or followed[1].state in _LEFT_ALONE:
            return
        try:
            if round_ is not None and len(round_[1].glasses) == 1:
                self.rounds.command(round_[0], RoundCommand.STOP)
            else:
                self.operation.command(followed[0], PourCommand.STOP)
        except (NotUnderWayError, RoundNotUnderWayError, UnexpectedPourEvent, UnexpectedRoundEvent) as error:
            log.info("a press of the button stopped nothing: %s", error)

    @property
    def feed(self) -> EventFeed:
        """The feed of all events."""
        return self.operation.feed

    @property
    def state(self) -> MachineState:
        """The present state of the machine."""
        pour, round_ = self.operation.followed, self.rounds.followed
        return MachineState(
            status=self.operation.status(),
            needs=dict(self.operation.needs()),
            followed_pour=None if pour is None else pour[0],
            pour=None if pour is None else pour[1],
            followed_round=None if round_ is None else round_[0],
            round=None if round_ is None else round_[1],
        )

    async def ask(self, request: MachineRequest[A]) -> A:
        """Carry out a request.

        Raises:
            Exception: the refusal; see `exchange.refusals`.
        """
        return cast(A, await self._carry_out(request))

    async def _carry_out(self, request: MachineRequest[Any]) -> Any:
        operation, rounds = self.operation, self.rounds
        match request:
            case r.PourRequest():
                return await operation.pour(request)
            case r.CommandPour(pour_id, command):
                return operation.command(pour_id, command)
            case r.BeginRound(new):
                return await rounds.begin(new)
            case r.CommandRound(round_id, command):
                return rounds.command(round_id, command)
            case r.ReleaseGuest(guest, released_by, reason):
                return await rounds.release(guest, released_by, reason)
            case r.SetZero():
                return await operation.zero()
            case r.SetTare():
                return operation.tare()
            case r.ClearTare():
                return operation.clear_tare()
            case r.ReadEmpty():
                return operation.calibration_empty()
            case r.Calibrate(empty_counts, reference_g):
                return await operation.calibrate(empty_counts, reference_g)
            case r.TriggerEmergencyStop():
                return await operation.emergency_stop()
            case r.ReleaseLatchedStop():
                return await operation.release()
            case r.ReadCounters():
                return await operation.counters()
            case r.ShowLine(line, text):
                return await operation.show(line, text)
        raise TypeError(f"nobody carries out a {type(request).__name__}")
