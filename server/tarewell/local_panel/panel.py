"""Runs the local panel: feeds knob and button to the dialogue, carries out its intents, shows its lines.

It sends requests to the machine like any other client, with no privileged access. On a board without a knob
or without a display it does nothing.
"""

import asyncio
import logging
from collections.abc import Coroutine, Sequence
from hashlib import sha256
from uuid import uuid4

from tarewell.dosing.events import PourCommand
from tarewell.dosing.plan import PlanError, PourPlan
from tarewell.dosing.states import UnexpectedPourEvent
from tarewell.exchange.client import MachineClient
from tarewell.exchange.round_planning import RoundNotPossibleError, RoundPlanner, RoundRequest
from tarewell.machine.alarms import AlarmState, UnknownAlarmError
from tarewell.machine.link_status import LinkState
from tarewell.machine.requests import (
    AcknowledgeAlarm,
    CommandPour,
    CommandRound,
    MachineBusyError,
    NotReadyError,
    NotUnderWayError,
    PourRequest,
    ReleaseLatchedStop,
    RoundNotUnderWayError,
    ShowLine,
)
from tarewell.menu.errors import MenuError
from tarewell.records.errors import StoreError
from tarewell.records.store import Store
from tarewell.rounds.events import RoundCommand
from tarewell.rounds.states import UnexpectedRoundEvent
from tarewell.table_machine import TableError
from tarewell_protocol.messages import Button, Knob

from . import events as e
from .choices import Choice, Choices, ChosenPour
from .dialogue import Dialogue
from .display import Display
from .observer import Observer
from .states import Screen

log = logging.getLogger(__name__)

ORIGIN = "panel"

_REFUSALS = (PlanError, MenuError, RoundNotPossibleError, MachineBusyError, NotReadyError, StoreError)
"""Why a request may be refused; the message says what to do."""

LOOK_S = 0.25
"""Interval at which the machine is polled for the display."""


class LocalPanel:
    """Runs beside the API. `sources` supply the choices, in the order of the menu."""

    def __init__(
        self, machine: MachineClient, planner: RoundPlanner, store: Store, sources: Sequence[Choices]
    ) -> None:
        self._machine = machine
        self._planner = planner
        self._sources = sources
        self._dialogue = Dialogue()
        self._observer = Observer(machine, store)
        self._display = Display(lambda line, text: machine.ask(ShowLine(line, text)))
        self._source_of: dict[str, Choices] = {}
        self._choices_are_old = True
        self._told: set[tuple[str, float]] = set()
        """Alarms that were shown, each with the time of its raising."""
        self._session_s: float | None = None
        self._group: asyncio.TaskGroup | None = None

    async def run(self) -> None:
        """Serve people at the machine until cancelled. Raises whatever fails in it."""
        self._machine.listen_to_controls(self._take_controls)
        try:
            async with asyncio.TaskGroup() as group:
                self._group = group
                group.create_task(self._poll(), name="panel look")
                group.create_task(self._display.run(), name="panel display")
                group.create_task(self._read_journal(), name="panel journal")
        finally:
            self._group = None
            self._machine.listen_to_controls(None)

    # In

    def _take_controls(self, report: Button | Knob) -> None:
        if self._session_s is not None:
            self._dispatch(report)

    def _dispatch(self, event: e.PanelEvent) -> None:
        """Feed the dialogue an event, carry out its intents and show its lines."""
        now_s = asyncio.get_running_loop().time()
        try:
            intents = self._dialogue.handle(event, now_s)
        except TableError:
            log.exception("the panel failed to handle %s", type(event).__name__)
            return
        for intent in intents:
            self._start(self._carry_out(intent))
        self._display.want(self._dialogue.lines())

    async def _poll(self) -> None:
        while True:
            try:
                self._find_display()
                if self._session_s is not None:
                    await self._look()
            except StoreError as error:
                log.debug("the panel cannot read the records: %s", error)
            await asyncio.sleep(LOOK_S)

    def _find_display(self) -> None:
        """Notice a new session with a board: its display may show anything."""
        link = self._machine.state.status.link
        board = link.identity if link.state is LinkState.OPEN else None
        if board is None or board.display is None or "k" not in board.abilities:
            self._session_s = None
        elif link.since_s != self._session_s:
            self._session_s = link.since_s
            columns, _, rows = board.display.partition("x")
            self._display.forget()
            self._dispatch(e.DisplayFound(int(columns), int(rows)))

    async def _look(self) -> None:
        if self._choices_are_old:
            self._choices_are_old = False
            await self._read_choices()
        if (over := await self._observer.ended()) is not None:
            self._dispatch(over)
        await self._observer.notice()
        self._dispatch(self._observer.seen())
        self._tell_alarms()

    def _tell_alarms(self) -> None:
        """Show the worst alarm that nobody has seen, one at a time. Those of a pour are shown with it, and a
        latched stop has a screen of its own."""
        state = self._machine.state
        unseen = [
            found
            for found in state.status.alarms
            if found.pour_id is None
            and not found.acknowledged
            and found.state is not AlarmState.SHELVED
            and found.alarm.name != "emergency_stop"
        ]
        self._told &= {(found.id, found.raised_s) for found in unseen}
        if state.followed_pour is not None or self._dialogue.screen is Screen.NOTICE:
            return
        for found in unseen:
            if (found.id, found.raised_s) not in self._told:
                self._told.add((found.id, found.raised_s))
                self._dispatch(e.AlarmRaised(found.alarm))
                return

    async def _read_choices(self) -> None:
        found: list[Choice] = []
        try:
            for source in self._sources:
                choices = await source.available()
                found += choices
                self._source_of |= {choice.key: source for choice in choices}
        except StoreError:
            self._choices_are_old = True
            raise
        self._dispatch(e.ChoicesRead(tuple(found)))

    async def _read_journal(self) -> None:
        """Follow changes of the choices."""
        async with self._machine.feed.subscribe() as reader:
            async for event in reader:
                if event.kind == "lagged" or (event.seq is not None and event.body.get("pour_id") is None):
                    self._choices_are_old = True

    # Out

    def _start(self, errand: Coroutine[object, None, None]) -> None:
        if self._group is not None:
            self._group.create_task(errand, name="panel errand")
        else:
            errand.close()

    async def _carry_out(self, intent: e.Intent) -> None:
        match intent:
            case e.AskForPour(chosen):
                await self._begin(chosen)
            case e.StopPour(pour_id):
                await self._stop(pour_id)
            case e.RestartPour(pour_id):
                await self._command_pour(pour_id, PourCommand.RESTART)
            case e.AskForRelease():
                await self._release()
            case e.AlarmSeen(alarm_id):
                await self._acknowledge([alarm_id])
            case e.ResultSeen(pour_id):
                alarms = self._machine.state.status.alarms
                await self._acknowledge([found.id for found in alarms if found.pour_id == pour_id])
            case e.GiveRoundCommand(round_id, command):
                await self._command_round(round_id, command)
                self._dispatch(e.RoundCommandGiven())
        self._dispatch(self._observer.seen())

    async def _begin(self, chosen: ChosenPour) -> None:
        """One press, one key, one pour."""
        mark = sha256(f"{chosen.choice.key} {chosen.measure} {chosen.amount:g}".encode()).hexdigest()
        try:
            plan, key = await self._source_of[chosen.choice.key].plan(chosen), f"{ORIGIN}-{uuid4()}"
            if isinstance(plan, PourPlan):
                record = await self._machine.ask(PourRequest(plan, ORIGIN, key, mark))
                self._dispatch(e.PourAccepted(self._observer.follow(record)))
            else:
                request = RoundRequest([plan], ORIGIN, auto_start=True, key=key, fingerprint=mark)
                await self._planner.begin(request)
        except _REFUSALS as error:
            self._dispatch(e.RequestRefused("Not poured", str(error)))
        except Exception as error:
            log.exception("a pour requested at the panel could not begin")
            self._dispatch(e.RequestRefused("Not poured", f"the program failed: {error}; see its log"))

    async def _stop(self, pour_id: str) -> None:
        """Stop a pour. A round of this pour alone ends too; a longer round is held."""
        state = self._machine.state
        round_id, progress = state.status.round_id, state.round
        if round_id is not None and progress is not None and len(progress.glasses) == 1:
            await self._command_round(round_id, RoundCommand.STOP)
        else:
            await self._command_pour(pour_id, PourCommand.STOP)

    async def _command_round(self, round_id: str, command: RoundCommand) -> None:
        try:
            await self._machine.ask(CommandRound(round_id, command, ORIGIN))
        except (RoundNotUnderWayError, UnexpectedRoundEvent, NotReadyError) as error:
            log.info("%s from the panel was not taken: %s", command, error)

    async def _command_pour(self, pour_id: str, command: PourCommand) -> None:
        try:
            await self._machine.ask(CommandPour(pour_id, command, ORIGIN))
        except (NotUnderWayError, UnexpectedPourEvent, NotReadyError) as error:
            log.info("%s from the panel was not taken: %s", command, error)

    async def _acknowledge(self, alarm_ids: Sequence[str]) -> None:
        for alarm_id in alarm_ids:
            try:
                await self._machine.ask(AcknowledgeAlarm(alarm_id))
            except (UnknownAlarmError, NotReadyError) as error:
                log.info("not acknowledged: %s", error)

    async def _release(self) -> None:
        try:
            await self._machine.ask(ReleaseLatchedStop(ORIGIN))
        except NotReadyError as error:
            self._dispatch(e.RequestRefused("Not released", str(error)))
