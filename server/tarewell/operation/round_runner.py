"""Runs one round: feeds it events with the time, begins and commands its pours, records its outcomes."""

import asyncio
import logging
from collections.abc import Callable

from tarewell.dosing.events import PourCommand
from tarewell.dosing.plan import PlanError
from tarewell.dosing.states import PourState, UnexpectedPourEvent
from tarewell.exchange.requests import MachineBusyError, NotReadyError, NotUnderWayError, PourRequest
from tarewell.records.errors import RecordsError, StoreError
from tarewell.records.round_changes import Serving, delivered_g, end_glass, finish_round
from tarewell.records.store import Store
from tarewell.records.transaction import append_event
from tarewell.records.values import RecipeNote
from tarewell.rounds import events as e
from tarewell.rounds.progress import RoundProgress
from tarewell.rounds.round import Round
from tarewell.rounds.states import RoundState, UnexpectedRoundEvent

from .operation import Operation

log = logging.getLogger(__name__)

ABORTED = "aborted"
"""State of a round that was ended by an error in the program."""


class RoundRunner:
    """One round on the event loop. `kept` is called once its outcome is in the records."""

    def __init__(
        self, round_id: str, round_: Round, operation: Operation, store: Store, kept: Callable[[], None]
    ) -> None:
        self.round_id = round_id
        self._round = round_
        self._operation = operation
        self._store = store
        self._kept = kept
        self._loop = asyncio.get_running_loop()
        self._tasks: set[asyncio.Task[None]] = set()
        self._failed = False

    @property
    def finished(self) -> bool:
        """Whether the round is over."""
        return self._failed or self._round.finished

    @property
    def progress(self) -> RoundProgress:
        """The round at a glance."""
        pour_id = self._round.pour_id
        pour = None if pour_id is None else self._operation.progress(pour_id)
        return self._round.progress(self._loop.time(), () if pour is None else pour.delivered_g)

    def command(self, command: e.RoundCommand) -> None:
        """Give the operator's command.

        Raises:
            UnexpectedRoundEvent: the round's state does not take it; nothing has changed.
        """
        self._handle(e.RoundCommanded(command))

    def release(self, guest: str) -> None:
        """The operator releases the guest's waiting glass.

        Raises:
            UnexpectedRoundEvent: none of the guest's waits any more.
        """
        self._handle(e.Released(guest))

    async def look(self) -> None:
        """Feed the round the platform's load and the pour's progress.

        Raises:
            StoreError: the records cannot be read; try again.
        """
        try:
            await self._look()
        except StoreError:
            raise
        except Exception:
            self._fail("looking at the machine")

    async def _look(self) -> None:
        shown = self._operation.status().indication
        if shown is not None and shown.rest_g is not None:
            self._feed(e.PlatformRead(shown.rest_g))
        pour_id = self._round.pour_id
        if pour_id is None or self.finished:
            return
        if (progress := self._operation.progress(pour_id)) is not None:
            if progress.state is not PourState.HOLDING:  # it accepts no restart yet
                self._feed(e.PourChecked(progress.state is PourState.HELD))
            return
        record = await self._store.pours.get(pour_id)
        if record.outcome is not None and self._round.pour_id == pour_id:
            end = record.outcome
            self._feed(e.GlassPourEnded(end.state, end.cause, delivered_g(record)))

    async def close(self) -> None:
        """Leave the round as it is; the next start closes it if it is not over."""
        for task in list(self._tasks):
            task.cancel()
            await asyncio.wait({task})

    def _feed(self, event: e.RoundEvent) -> None:
        """Feed an event of platform or pour; dropped where the round's state does not accept it."""
        if self.finished:
            return
        try:
            self._handle(event)
        except UnexpectedRoundEvent as error:
            log.debug("round %s: %s", self.round_id, error)

    def _handle(self, event: e.RoundEvent) -> None:
        try:
            outputs = self._round.handle(event, self._loop.time())
        except UnexpectedRoundEvent:
            raise
        except Exception:
            self._fail(type(event).__name__)
            return
        for output in outputs:
            self._carry_out(output)

    def _carry_out(self, output: e.RoundOutput) -> None:
        match output:
            case e.BeginPour():
                task = asyncio.create_task(self._begin(output), name=f"pour of round {self.round_id}")
                self._tasks.add(task)
                task.add_done_callback(self._tasks.discard)
            case e.GivePourCommand(pour_id, command):
                try:
                    self._operation.command(pour_id, command)
                except (NotUnderWayError, UnexpectedPourEvent) as error:
                    log.info("round %s: %s", self.round_id, error)
            case e.RoundStateChanged(state, glass, detail):
                self._operation.manual_step = state == RoundState.BY_HAND
                body = {"round_id": self.round_id, "state": state, "glass": glass, "detail": detail}
                self._operation.writer.keep(append_event, "round_state", body)
            case e.GlassEnded():
                self._operation.writer.keep(end_glass, self.round_id, output)
            case e.RoundEnded(state):
                self._end(state)

    def _end(self, state: str) -> None:
        self._operation.manual_step = False
        self._operation.free()
        self._operation.writer.keep_then(self._kept, finish_round, self.round_id, state)

    async def _begin(self, wanted: e.BeginPour) -> None:
        drink = self._round.plan.glasses[wanted.glass].drink
        serving = Serving(self.round_id, wanted.glass, wanted.attempt, wanted.leg)
        note = RecipeNote(drink.recipe_id, drink.name, drink.glass_id, str(serving))
        try:
            record = await self._operation.pour(PourRequest(wanted.plan, "round", recipe=note))
        except (PlanError, MachineBusyError, NotReadyError, RecordsError) as error:
            self._feed(e.PourRefused(str(error)))
        except Exception:
            self._fail("beginning a pour")
        else:
            self._feed(e.PourBegun(record.id))

    def _fail(self, what: str) -> None:
        """End the round after an error in the program; a pour under way is stopped too."""
        log.exception("round %s failed while %s and is aborted", self.round_id, what)
        self._failed = True
        pour_id = self._round.pour_id
        if pour_id is not None:
            self._carry_out(e.GivePourCommand(pour_id, PourCommand.STOP))
        self._end(ABORTED)
