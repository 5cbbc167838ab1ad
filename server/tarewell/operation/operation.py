"""The running machine: one board, one scale, one pour at a time, and their records.

All decisions are made in callbacks of the event loop, which never wait; blocking work (the records) is queued
for the writer. The board's events enter at `_take`.
"""

import asyncio
import logging
from collections.abc import Awaitable, Callable, Mapping

from tarewell.device.link import LinkDownError
from tarewell.device.port import Port
from tarewell.device.supervisor import Supervisor, port_for
from tarewell.dosing import events as e
from tarewell.dosing.alarms import Alarm, alarm
from tarewell.dosing.maintenance import ChannelNeed
from tarewell.dosing.pour import PourProgress
from tarewell.exchange.client import ControlsListener
from tarewell.exchange.live import EventFeed, LiveEvent, journal_event
from tarewell.exchange.requests import MachineStatus, NotReadyError, PourRequest
from tarewell.records.store import Store
from tarewell.records.values import PourRecord, RoundRecord
from tarewell.records.writer import Committed, Failing, SetAside, Working, Writer, WriterNews
from tarewell.weighing.calibration import Calibration
from tarewell.weighing.scale import Indication
from tarewell_protocol import messages as m
from tarewell_protocol import session as s

from .blockers import beyond_board, blockers
from .config import MachineConfig
from .idle_alarms import IdleAlarms
from .idle_watch import IdleWatch
from .news import LinkNews, Readings
from .platform import Platform
from .pours import Pours
from .recorder import Recorder, alarm_body
from .weighbridge import Weighbridge

log = logging.getLogger(__name__)

DRAIN_TIMEOUT_S = 5.0


class Operation:
    """Owns the board and runs the pours; made once by the machine process, between `start` and `close`."""

    def __init__(
        self,
        config: MachineConfig,
        store: Store,
        writer: Writer,
        make_port: Callable[[], Port] | None = None,
    ) -> None:
        self._config = config
        self.feed = EventFeed()
        self.writer = writer
        writer.listener = self._take_writer_news
        self._bridge = Weighbridge(config.scale, store.calibrations)
        self._recorder = Recorder(writer)
        self._board = Supervisor(
            make_port or (lambda: port_for(config.device, config.baud)),
            self._take,
            LinkNews(self._recorder.append, self.feed).changed,
        )
        self._readings = Readings(self.feed)
        self._idle_watch = IdleWatch()
        self._platform = Platform()
        self._pours = Pours(
            config, store, writer, self._board, self._bridge, self._platform, self._require_ready
        )
        self.manual_step = False
        """Somebody may be topping up a glass: rising mass is no alarm."""
        self._latched = False
        self._closing = False
        self._beyond_board: tuple[str, ...] = ()
        self._alarms = IdleAlarms()
        self._controls_listener: ControlsListener | None = None
        self._board_task: asyncio.Task[None] | None = None

    # Life

    async def start(self, group: asyncio.TaskGroup) -> None:
        """Close what an earlier run left open, load what is known, and start connecting to the board. An
        error in a task of the operation ends the group.

        Raises:
            StoreInUseError: another process runs the machine with this database.
            StoreError: the records cannot be read or written.
        """
        await self._pours.load(group)
        await self._bridge.load()
        self._board_task = group.create_task(self._board.run(), name="board")

    async def close(self) -> None:
        """Abort a running pour in order, stop all pumps, free the port, write what is unwritten."""
        self._closing = True
        await self._pours.leave()
        if self._board_task is not None:
            self._board_task.cancel()
            await asyncio.wait({self._board_task})
            self._board_task = None
        if self._pours.unfinished:
            await asyncio.wait(self._pours.unfinished, timeout=DRAIN_TIMEOUT_S)
        if not await self.writer.drain(DRAIN_TIMEOUT_S):
            log.error("not all records could be written: %s", self.writer.fault)
        for task in self._pours.unfinished:
            task.cancel()
        await asyncio.sleep(0)  # publish the writer's last news
        self.feed.close()

    # What is shown

    def status(self) -> MachineStatus:
        """The machine at a glance."""
        runner = self._platform.under_way
        return MachineStatus(
            machine_id=self._config.machine_id,
            link=self._board.status,
            indication=self._indication(),
            calibrated=self._bridge.calibrated,
            latched=self._latched,
            pour_id=None if runner is None else runner.pour_id,
            round_id=self._platform.round_id,
            blockers=self._blockers(),
            alarms=self._alarms.shown(asyncio.get_running_loop().time()),
        )

    @property
    def followed(self) -> tuple[str, PourProgress] | None:
        """The pour at a glance, with its id, until its outcome is in the records."""
        return self._pours.followed

    def progress(self, pour_id: str) -> PourProgress | None:
        """The pour at a glance, until its outcome is in the records; None for any other."""
        followed = self.followed
        return followed[1] if followed is not None and followed[0] == pour_id else None

    def _indication(self) -> Indication | None:
        return self._bridge.indication(asyncio.get_running_loop().time())

    def _blockers(self) -> tuple[str, ...]:
        return blockers(
            self._board.status,
            self._indication(),
            calibrated=self._bridge.calibrated,
            latched=self._latched,
            records_fault=self.writer.fault,
            closing=self._closing,
            beyond_board=self._beyond_board,
        )

    # Pours

    async def pour(self, request: PourRequest) -> PourRecord:
        """Begin a pour; its intent is committed when this returns. A key that was used before returns its
        pour.

        Raises:
            PlanError: the plan cannot be carried out.
            MachineBusyError: a pour, or a round that it is not of, is under way.
            NotReadyError: see `status().blockers`.
            IdempotencyConflict: the key belongs to another request.
            StoreError: the records cannot be written; nothing has begun.
        """
        return await self._pours.begin(request)

    def command(self, pour_id: str, command: e.PourCommand) -> None:
        """Hold, restart, stop or abort the pour under way.

        Raises:
            NotUnderWayError: it is over, or there is no such pour.
            UnexpectedPourEvent: its state does not take the command; nothing has changed.
        """
        self._pours.command(pour_id, command)

    # Rounds

    async def reserve(self, begin: Callable[[], Awaitable[RoundRecord]]) -> RoundRecord:
        """Begin a round in the records; until `free`, other pours are refused. A replayed round reserves
        nothing.

        Raises:
            MachineBusyError: a pour or a round is under way.
            NotReadyError: see `status().blockers`.
            StoreError: the records cannot be written; nothing has begun.
        """
        async with self._platform.taking:
            self._require_ready()
            record = await begin()
            if not record.replayed:
                self._platform.round_id = record.id
            return record

    def free(self) -> None:
        """The round is over."""
        self._platform.round_id = None

    def _require_ready(self, round_id: str | None = None) -> None:
        self._platform.require_free(round_id)
        if found := self._blockers():
            raise NotReadyError("; ".join(found))

    def needs(self) -> Mapping[int, ChannelNeed]:
        """What each channel needs before a drink; a channel that is missing needs nothing."""
        return self._pours.needs()

    # The scale

    async def zero(self) -> Indication:
        """Set zero.

        Raises:
            MachineBusyError, NotReadyError, ScaleError, StoreError: nothing has changed.
        """
        self._platform.require_free()
        return await self._bridge.set_zero()

    def tare(self) -> None:
        """Leave the present load out of the net mass.

        Raises:
            NotReadyError, ScaleError: nothing has changed.
        """
        self._bridge.set_tare()

    def clear_tare(self) -> None:
        """Net is gross again.

        Raises:
            NotReadyError: there is no reading.
        """
        self._bridge.clear_tare()

    def calibration_empty(self) -> float:
        """First point of a calibration: the raw counts of the empty platform at rest.

        Raises:
            MachineBusyError, NotReadyError, ScaleError: there is no such reading now.
        """
        self._platform.require_free()
        return self._bridge.empty_counts()

    async def calibrate(self, empty_counts: float, reference_g: float) -> Calibration:
        """Second point: the reference mass, in g, is on the platform; the calibration is kept.

        Raises:
            MachineBusyError, NotReadyError, ScaleError, CalibrationError, StoreError: nothing has changed.
        """
        self._platform.require_free()
        return await self._bridge.calibrate(empty_counts, reference_g)

    # The board

    async def emergency_stop(self) -> None:
        """Stop every pump and latch; a pour under way aborts.

        Raises:
            NotReadyError: the board cannot be reached; its pumps stop when their lease ends.
        """
        self._recorder.append("emergency_stop", {})
        await self._command(m.EmergencyStop())
        self._latched = True

    async def release(self) -> None:
        """Release the emergency stop; starts nothing.

        Raises:
            NotReadyError: the board cannot be reached or refuses.
        """
        await self._command(m.ReleaseEmergencyStop())
        self._latched = False
        self._alarms.clear()
        self._idle_watch.reset()
        self._recorder.append("emergency_stop_released", {})

    async def counters(self) -> m.BoardStats:
        """The board's counters.

        Raises:
            NotReadyError: the board cannot be reached.
        """
        answer = await self._command(m.AskStats())
        if not isinstance(answer, m.BoardStats):
            raise NotReadyError(f"the board answered {answer} instead of its counters; update its firmware")
        return answer

    def listen_to_controls(self, listener: ControlsListener | None) -> None:
        """Set who gets reports of knob and button; None: nobody."""
        self._controls_listener = listener

    async def show(self, line: int, text: str) -> None:
        """Write one line of the board's display; returns when it is shown. Send one at a time.

        Raises:
            NotReadyError: the board cannot be reached or refuses.
        """
        await self._command(m.Show(line, text))

    async def _command(self, command: m.Command) -> m.ReplyBody:
        try:
            answer = await self._board.ask(command)
        except (LinkDownError, s.QueueFullError) as error:
            raise NotReadyError(f"the board cannot be reached: {error}") from error
        if isinstance(answer, m.Refused):
            raise NotReadyError(f"the board refused: {answer.reason}")
        return answer

    def _take(self, event: s.SessionEvent, now_s: float) -> None:
        """Handle an event of the board's session."""
        runner = self._platform.under_way
        match event:
            case s.Opened(identity):
                self._bridge.opened(identity)
                self._beyond_board = ()
                self._board.send(m.AskLimits())
                self._idle_watch.reset()
            case s.SampleArrived(sample):
                self._take_sample(sample, now_s)
            case s.Reported(m.Stopped(channel, cause)) if runner:
                runner.feed(e.BoardStopped(channel, cause))
            case s.Reported(m.Button() | m.Knob() as report) if self._controls_listener:
                self._controls_listener(report)
            case s.Answered(_, m.AskLimits(), m.BoardLimits() as limits):
                self._beyond_board = beyond_board(self._config.dosing, limits)
            case s.Answered(_, m.Run(channel=channel), m.Refused(reason)) if runner:
                runner.feed(e.BoardRefused(channel, reason.value))
            case s.Unanswered(_, m.Run(channel=channel), reason) if runner and self._board.is_open:
                runner.feed(e.BoardRefused(channel, reason))
            case s.Closed(reason):
                self._bridge.lost()
                self._latched = False
                if runner:
                    runner.feed(e.LinkLost(reason))

    def _take_sample(self, sample: m.Sample, now_s: float) -> None:
        runner = self._platform.under_way
        self._latched = sample.latched
        self._bridge.feed(sample, now_s)
        flow_g_per_s = None if self.manual_step else self._bridge.flow_g_per_s
        if runner is not None:
            runner.feed(e.Weighed(sample))
        elif (found := self._idle_watch.check(sample, flow_g_per_s, now_s)) is not None:
            if sample.running:  # a mere rise may be a hand that tops up, and no stop would end a siphon
                for command in (m.Stop(), m.EmergencyStop()):
                    self._board.send(command)
            self._raise(found)
        self._readings.offer(self._bridge.indication(now_s), self._bridge.flow_g_per_s, self.followed, now_s)

    # Alarms and records

    def host_late(self, late_s: float) -> None:
        """The computer blocked the event loop for this long."""
        self._raise(alarm("host_busy", f"the program had to wait for {late_s * 1000:.0f} ms"))

    def _raise(self, found: Alarm) -> None:
        """An alarm that no pour has to answer."""
        if self._alarms.add(found, asyncio.get_running_loop().time()):
            self._recorder.append("alarm", alarm_body(found))

    def _take_writer_news(self, news: WriterNews) -> None:
        match news:
            case Committed(events):
                for stored in events:
                    self.feed.publish(journal_event(stored))
            case Failing(reason):
                self._records_failed(reason)
            case Working():
                self._recorder.append("records_working", {})
            case SetAside(what, reason):
                where = self.writer.dead_letters.name
                self._raise(alarm("record_set_aside", f"{what}: {reason}; its data is in {where}"))

    def _records_failed(self, reason: str) -> None:
        """No new pour begins. The one under way goes on, and its records wait in memory."""
        self._recorder.append("records_failed", {"reason": reason})
        self.feed.publish(LiveEvent("records_failed", {"reason": reason}))
