"""Carries out what the machine decides: at the board, in the records, for whoever asked or listens.

Everything that happens goes through `_take`, one event after the other, and the timer is armed afterwards.
"""

import asyncio
import logging
from collections import deque
from collections.abc import Callable, Coroutine
from contextlib import suppress
from datetime import UTC, datetime
from typing import Any, TypeVar

from tarewell.device.link import LinkDownError
from tarewell.device.port import Port
from tarewell.device.supervisor import Supervisor, port_for
from tarewell.exchange.client import ControlsListener
from tarewell.exchange.live import EventFeed, LiveEvent, journal_event
from tarewell.machine import effects as f
from tarewell.machine import events as ev
from tarewell.machine.known import Known, MachineConfig
from tarewell.machine.machine import Machine
from tarewell.machine.recorder import FlightRecorder
from tarewell.machine.requests import MachineRequest, MachineState
from tarewell.records.channels import CHANNEL_ASSIGNED
from tarewell.records.errors import StoreError
from tarewell.records.shelf import BOTTLE_MOUNTED
from tarewell.records.store import Store
from tarewell.records.writer import Committed, Failing, SetAside, Working, Writer, WriterNews
from tarewell_protocol import messages as m
from tarewell_protocol import session as s
from tarewell_protocol.outbox import QueueFullError

from .known import load
from .written import shorter, transaction_of

log = logging.getLogger(__name__)

A = TypeVar("A")

CLOSE_TIMEOUT_S = 3.0
DRAIN_TIMEOUT_S = 5.0

_RELABELS = ("channel_", "bottle_", "liquid_")
"""Beginnings of the kinds of events after which a channel may hold something else."""


class Interpreter:
    """The machine with its board and records, between `start` and `close`. It is a `MachineClient`."""

    def __init__(
        self,
        config: MachineConfig,
        store: Store,
        writer: Writer,
        make_port: Callable[[], Port] | None = None,
    ) -> None:
        self._config = config
        self._store = store
        self.writer = writer
        writer.listener = self._take_writer_news
        self.feed = EventFeed()
        self._loop = asyncio.get_running_loop()
        self._machine = Machine(config, Known())
        self._recorder: FlightRecorder | None = None
        self._board = Supervisor(
            make_port or (lambda: port_for(config.device, config.baud)),
            self._take_session,
            lambda status: self._take(ev.LinkChanged(status)),
        )
        self._events: deque[tuple[ev.MachineEvent, float]] = deque()
        self._is_busy = False
        self._timer: asyncio.TimerHandle | None = None
        self._asked: dict[int, asyncio.Future[Any]] = {}
        self._last_number = 0
        self._tickets: dict[int, int] = {}
        self._controls_listener: ControlsListener | None = None
        self._board_task: asyncio.Task[None] | None = None
        self._awaited: set[asyncio.Task[None]] = set()
        self._fault: asyncio.Future[None] = self._loop.create_future()
        self._quiet = asyncio.Event()

    # Life

    async def start(self, group: asyncio.TaskGroup) -> None:
        """Close what an earlier run left open, load what is known, and start connecting to the board. An
        error in the machine ends the group.

        Raises:
            StoreInUseError: another process runs the machine with this database.
            StoreError: the records cannot be read or written.
        """
        self._machine = Machine(self._config, await load(self._store))
        self._recorder = FlightRecorder(self._machine, self._loop.time())
        group.create_task(self._watch_faults(), name="machine")
        self._board_task = group.create_task(self._board.run(), name="board")

    async def _watch_faults(self) -> None:
        with suppress(asyncio.CancelledError):
            await self._fault

    async def close(self) -> None:
        """Abort a running pour in order, stop all pumps, free the port, write what is unwritten."""
        self._take(ev.Closing())
        with suppress(TimeoutError):
            async with asyncio.timeout(CLOSE_TIMEOUT_S):
                await self._quiet.wait()
        if self._board_task is not None:
            self._board_task.cancel()
            await asyncio.wait({self._board_task})
            self._board_task = None
        if not await self.writer.drain(DRAIN_TIMEOUT_S):
            log.error("not all records could be written: %s", self.writer.fault)
        await asyncio.sleep(0)  # publish the writer's last news
        self._disarm()
        self._fault.cancel()
        self.feed.close()

    # The client

    @property
    def state(self) -> MachineState:
        """The present state of the machine."""
        return self._machine.state(self._loop.time())

    async def ask(self, request: MachineRequest[A], until_s: float | None = None) -> A:
        """Carry out a request; it runs to its end even if the caller goes away. A pour whose intent is
        committed after `until_s`, in s of the loop's clock, does not begin.

        Raises:
            Exception: the refusal; see `exchange.refusals`.
        """
        self._last_number += 1
        number = self._last_number
        answer: asyncio.Future[A] = self._loop.create_future()
        self._asked[number] = answer
        try:
            self._take(ev.Requested(number, request, until_s))
            return await answer
        finally:
            del self._asked[number]

    def listen_to_controls(self, listener: ControlsListener | None) -> None:
        """Set who gets reports of knob and button, after they took effect in the machine; None: nobody."""
        self._controls_listener = listener

    def host_late(self, late_s: float) -> None:
        """The computer blocked the event loop for this long."""
        self._take(ev.HostLate(late_s))

    # Events

    def _take(self, event: ev.MachineEvent, now_s: float | None = None) -> None:
        """Tell the machine, and carry out what it decides; events that come of that follow in order."""
        self._events.append((event, self._loop.time() if now_s is None else now_s))
        if self._is_busy:
            return
        self._is_busy = True
        try:
            while self._events:
                self._handle(*self._events.popleft())
        except Exception as error:
            self._fail(error)
        finally:
            self._is_busy = False
        self._arm()

    def _handle(self, event: ev.MachineEvent, now_s: float) -> None:
        """Commands go out first; recording comes last."""
        effects: list[f.Effect] = []
        try:
            effects = self._machine.handle(event, now_s)
            for effect in effects:
                self._carry_out(effect)
        finally:
            self._record(lambda recorder: recorder.note(event, effects, now_s))

    def _record(self, make: Callable[[FlightRecorder], list[f.Effect]]) -> None:
        """A recorder that fails stops no pour: it ends."""
        if self._recorder is None:
            return
        try:
            made = make(self._recorder)
        except Exception:
            log.exception("the flight recorder failed; it records nothing more until the next start")
            self._recorder = None
        else:
            for effect in made:
                self._carry_out(effect)

    def _fail(self, error: Exception) -> None:
        """An error in the machine's own code: pumps off, and the process ends."""
        for command in (m.Stop(), m.EmergencyStop()):
            with suppress(LinkDownError, QueueFullError):
                self._board.link.send(command)
        if not self._fault.done():
            self._fault.set_exception(error)
        self._record(lambda recorder: recorder.finish("program_fault", self._loop.time()))

    def _arm(self) -> None:
        """Set the timer; one that is too early stays, since most samples only put the wake-up off."""
        due_s = self._machine.wakeup_s
        if self._timer is None or self._timer.cancelled() or self._timer.when() > due_s:
            self._disarm()
            self._timer = self._loop.call_at(due_s, self._wake)
        if self._machine.is_pouring:
            self._quiet.clear()
        else:
            self._quiet.set()

    def _disarm(self) -> None:
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None

    def _wake(self) -> None:
        self._timer = None
        if self._loop.time() < self._machine.wakeup_s:
            self._arm()
        else:
            self._take(ev.Woken())

    def _take_session(self, event: s.SessionEvent, now_s: float) -> None:
        """An event of the board's session, with the machine's own ticket where it has one."""
        match event:
            case s.Answered(ticket, command, body):
                event = s.Answered(self._tickets.pop(ticket, 0), command, body)
            case s.Unanswered(ticket, command, reason):
                event = s.Unanswered(self._tickets.pop(ticket, 0), command, reason)
            case s.Closed():
                self._tickets.clear()
        self._take(event, now_s)

    def _take_writer_news(self, news: WriterNews) -> None:
        match news:
            case Committed(events):
                for stored in events:
                    if stored.kind == CHANNEL_ASSIGNED:
                        self._take(ev.ChannelAssigned(stored.body["number"], stored.body["liquid_id"]))
                    if stored.kind == BOTTLE_MOUNTED:
                        self._take(ev.BottleMounted(stored.body["channel"]))
                    self.feed.publish(journal_event(stored))
                if any(stored.kind.startswith(_RELABELS) for stored in events):
                    self._spawn(self._read_labels(), "labels")
            case Failing(reason):
                self._take(ev.RecordsChanged(reason))
            case Working():
                self._take(ev.RecordsChanged(None))
            case SetAside(what, reason):
                self._take(ev.RecordSetAside(what, reason, self.writer.dead_letters.name))

    # Effects

    def _carry_out(self, effect: f.Effect) -> None:
        match effect:
            case f.Command(command, ticket):
                self._send(command, ticket)
            case f.Find(key, request_key, fingerprint, of):
                records = self._store.pours if of == "pour" else self._store.rounds
                self._await(key, records.find(request_key, fingerprint))
            case f.Write(key, change):
                work, args = transaction_of(change)
                self._await(key, self.writer.write(work, *args))
            case f.Persist(change, key):
                work, args = transaction_of(change)
                self.writer.keep_then(lambda: self._kept(key), work, *args, fallback=shorter(change))
            case f.Answer(number, result):
                self._settle(number, lambda answer: answer.set_result(result))
            case f.Refuse(number, error):
                self._settle(number, lambda answer: answer.set_exception(error))
            case f.Publish(kind, body):
                self.feed.publish(LiveEvent(kind, {"at": datetime.now(UTC).isoformat(), **body}))
            case f.PassOn(report):
                if self._controls_listener is not None:
                    self._controls_listener(report)
            case f.TellFault(what, error):
                log.error("%s", what, exc_info=error)

    def _send(self, command: m.Command, ticket: int) -> None:
        """Send it; a failure reaches the machine as an event, never as an error."""
        try:
            self._tickets[self._board.link.send(command)] = ticket
        except (LinkDownError, QueueFullError) as error:
            self._take(ev.NotSent(ticket, command, str(error)))
        except Exception as error:  # it fits no frame
            log.exception("the command %s cannot be sent", command)
            self._take(ev.NotSent(ticket, command, f"the command cannot be sent: {error}"))

    def _await(self, key: str, work: Coroutine[Any, Any, Any]) -> None:
        """The machine gets the result as an event."""

        async def finish() -> None:
            try:
                result = await work
            except Exception as error:
                self._take(ev.WriteFailed(key, error))
            else:
                self._take(ev.WriteDone(key, result))

        self._spawn(finish(), key)

    def _spawn(self, work: Coroutine[Any, Any, None], name: str) -> None:
        task = self._loop.create_task(work, name=name)
        self._awaited.add(task)
        task.add_done_callback(self._awaited.discard)

    async def _read_labels(self) -> None:
        with suppress(StoreError):  # the next change tries again
            self._take(ev.ChannelsLabelled(await self._store.channels.labels()))

    def _kept(self, key: str | None) -> None:
        if key is not None:
            self._take(ev.WriteDone(key))

    def _settle(self, number: int, settle: Callable[["asyncio.Future[Any]"], None]) -> None:
        answer = self._asked.get(number)
        if answer is not None and not answer.done():
            settle(answer)
