"""Runs one pour: feeds it events with the time, sends its commands, keeps its one timer, logs everything."""

import asyncio
import logging
from collections.abc import Callable

from tarewell.device.link import LinkDownError
from tarewell.dosing import events as e
from tarewell.dosing.pour import Pour, PourProgress
from tarewell.dosing.setup import PourSetup
from tarewell.dosing.states import PourState, UnexpectedPourEvent
from tarewell_protocol import messages as m
from tarewell_protocol.outbox import QueueFullError

from .pour_log import PourLog

log = logging.getLogger(__name__)

PROGRAM_FAULT = "program_fault"
"""Cause of a pour that was ended by an error in the program."""


class Runner:
    """One pour on the event loop. `send` sends to the board without waiting; `note` gets every output."""

    def __init__(
        self,
        pour_id: str,
        setup: PourSetup,
        send: Callable[[m.Command], object],
        note: Callable[[str, e.PourOutput], None],
    ) -> None:
        self.pour_id = pour_id
        self.log = PourLog()
        self._pour = Pour(setup)
        self._send = send
        self._note = note
        self._loop = asyncio.get_running_loop()
        self._timer: asyncio.TimerHandle | None = None
        self._failed = False
        self.over: asyncio.Future[None] = self._loop.create_future()

    @property
    def finished(self) -> bool:
        """Whether the pour is over."""
        return self._failed or self._pour.finished

    @property
    def state(self) -> PourState:
        """The state of the pour."""
        return PourState.ABORTED if self._failed else self._pour.state

    @property
    def progress(self) -> PourProgress:
        """The pour at a glance."""
        return self._pour.progress

    @property
    def delivered_g(self) -> float:
        """Mass of all doses so far in g."""
        return sum(self._pour.progress.delivered_g)

    def command(self, command: e.PourCommand) -> None:
        """Give the operator's command.

        Raises:
            UnexpectedPourEvent: the pour's state does not take it; nothing has changed.
        """
        self._handle(e.PourCommanded(command))

    def feed(self, event: e.PourEvent) -> None:
        """Feed an event of board or timer; dropped where the pour's state does not accept it."""
        if self.finished or (self._pour.state is PourState.IDLE and not isinstance(event, e.LinkLost)):
            return
        try:
            self._handle(event)
        except UnexpectedPourEvent:
            log.debug("pour %s is %s and does not take %s", self.pour_id, self.state, type(event).__name__)

    def _handle(self, event: e.PourEvent) -> None:
        now_s = self._loop.time()
        try:
            outputs = self._pour.handle(event, now_s)
        except UnexpectedPourEvent:
            raise
        except Exception:
            self._fail(event, now_s)
            return
        self.log.add(now_s, event, outputs)
        for output in outputs:
            self._carry_out(output)
        for output in outputs:
            self._note(self.pour_id, output)
        self._arm()

    def _carry_out(self, output: e.PourOutput) -> None:
        match output:
            case e.RunPump(run):
                self._command(run)
            case e.StopPumps():
                self._command(m.Stop())
            case e.RenewLease(lease_ms):
                self._command(m.Keep(lease_ms))
            case e.TripEmergencyStop():
                self._command(m.EmergencyStop())

    def _command(self, command: m.Command) -> None:
        """Send it; the result reaches the pour as an event, never as an error."""
        try:
            self._send(command)
        except LinkDownError as error:  # the pour gets an event for the end of the session
            log.info("not sent: %s", error)
        except QueueFullError as error:
            self._refuse(command, str(error))
        except Exception as error:
            log.exception("the command %s cannot be sent", command)
            self._refuse(command, f"the command cannot be sent: {error}")

    def _refuse(self, command: m.Command, reason: str) -> None:
        if isinstance(command, m.Run):
            self._loop.call_soon(self.feed, e.BoardRefused(command.channel, reason))

    def _arm(self) -> None:
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None
        if self.finished:
            if not self.over.done():
                self.over.set_result(None)
        elif (due_s := self._pour.wakeup_s) is not None:
            self._timer = self._loop.call_at(due_s, self.feed, e.Tick())

    def _fail(self, event: e.PourEvent, now_s: float) -> None:
        """Stop the pump and end the pour after an error in the program."""
        log.exception("pour %s failed to handle %s and is aborted", self.pour_id, type(event).__name__)
        self._command(m.Stop())
        self._failed = True
        ended = e.PourEnded(PourState.ABORTED.value, PROGRAM_FAULT, self.delivered_g)
        self.log.add(now_s, event, [ended])
        self._note(self.pour_id, e.PourStateChanged(PourState.ABORTED.value))
        self._arm()
