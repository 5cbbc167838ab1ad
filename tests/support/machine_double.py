"""A double of the machine behind the API: a real store, real rounds, and pours under the test's control."""

import asyncio
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any, TypeVar, cast

from tarewell.dosing.alarms import Alarm
from tarewell.dosing.events import DoseEnded, PourCommand, PourEnded, PourOutput
from tarewell.dosing.maintenance import NEW_TUBE, TubeState
from tarewell.dosing.plan import PlanError
from tarewell.dosing.progress import PourProgress
from tarewell.dosing.setup import DosingSettings, PourSetup
from tarewell.dosing.states import PourEventKind, PourState, UnexpectedPourEvent
from tarewell.dosing.tolerance import Verdict
from tarewell.dosing.traces import TraceEntry
from tarewell.exchange.client import ControlsListener
from tarewell.exchange.live import EventFeed, journal_event
from tarewell.machine import requests as r
from tarewell.machine.alarm_records import journaled
from tarewell.machine.alarms import AlarmChange, Registry
from tarewell.machine.effects import Persist
from tarewell.machine.known import Known
from tarewell.machine.link_status import LinkState, LinkStatus
from tarewell.machine.needs import TUBE_CHANGED
from tarewell.machine.pour_record import NewPour, PourRecord
from tarewell.machine.requests import (
    MachineBusyError,
    MachineRequest,
    MachineStatus,
    NotReadyError,
    NotUnderWayError,
    PourRequest,
)
from tarewell.machine.round_record import NewRelease, NewRound, ReleaseRecord, RoundRecord
from tarewell.machine.round_run import Decided
from tarewell.machine.rounds import Rounds
from tarewell.operation.written import transaction_of
from tarewell.records.errors import RecordsError
from tarewell.records.round_changes import delivered_g as recorded_g
from tarewell.records.store import Store
from tarewell.records.writer import Committed, Writer, WriterNews
from tarewell.rounds import events as round_events
from tarewell.weighing.calibration import Calibration, CalibrationError, UnlikelySpanError
from tarewell.weighing.scale import Indication, ScaleError
from tarewell_protocol.messages import BoardStats, Identity, ResetCause, SelfTest, SelfTestVerdict

BOARD = Identity(
    protocol=2,
    firmware="0.2.0",
    board_id="foyer-01",
    channels=8,
    sample_rate_hz=80.0,
    filter_delay_ms=25,
    full_scale_counts=8388607,
    abilities=frozenset("rvk"),
    display="20x4",
    cause=ResetCause.POWER,
)
A = TypeVar("A")

CALIBRATION = Calibration(zero_counts=-84213.0, counts_per_g=2214.0)


@dataclass
class MachineDouble:
    """A `MachineClient`. Set its fields to bring it into a state."""

    store: Store
    feed: EventFeed = field(default_factory=EventFeed)
    link: LinkStatus = field(default_factory=lambda: LinkStatus(LinkState.OPEN, 12.0, "session open", BOARD))
    indication: Indication | None = field(
        default_factory=lambda: Indication(
            251.3, 251.3, 0.0, 472165, stable=True, overload=False, rest_g=251.3
        )
    )
    calibrated: bool = True
    latched: bool = False
    blockers: tuple[str, ...] = ()
    tube_states: dict[int, TubeState] = field(default_factory=dict)
    running: PourRecord | None = None
    pour_state: PourState = PourState.COARSE_FEED
    commands: list[tuple[str, PourCommand]] = field(default_factory=list)
    starts: int = 0
    rounds: Rounds = field(default_factory=lambda: Rounds(DosingSettings().min_glass_g, Known()))
    registry: Registry = field(default_factory=Registry)
    failure: Exception | None = None
    unlikely: bool = False

    def __post_init__(self) -> None:
        self.writer.listener = self._take_news

    @property
    def writer(self) -> Writer:
        assert self.store.writer is not None
        return self.store.writer

    def _take_news(self, news: WriterNews) -> None:
        if isinstance(news, Committed):
            for stored in news.events:
                self.feed.publish(journal_event(stored))

    def listen_to_controls(self, listener: ControlsListener | None) -> None:
        """A double has no knob."""

    async def ask(self, request: MachineRequest[A]) -> A:
        return cast(A, await self._carry_out(request))

    async def _carry_out(self, request: MachineRequest[Any]) -> Any:
        match request:
            case r.PourRequest():
                return await self.pour(request)
            case r.CommandPour(pour_id, command):
                return self.command(pour_id, command)
            case r.BeginRound(new):
                return await self._begin_round(new)
            case r.CommandRound(round_id, command):
                return await self._follow(self.rounds.get(round_id).command(command, self._now_s))
            case r.ReleaseGuest(guest, released_by, reason):
                return await self._release(guest, released_by, reason)
            case r.SetZero():
                return self._indicated()
            case r.SetTare():
                return self._tare(self._indicated().gross_g)
            case r.ClearTare():
                return self._tare(0.0)
            case r.ReadEmpty():
                return float(self._indicated().counts)
            case r.Calibrate(empty_counts, reference_g, accept_unlikely):
                return await self.calibrate(empty_counts, reference_g, accept_unlikely)
            case r.ChangeTube(channel):
                self.tube_states[channel] = NEW_TUBE
                await self.store.journal.append(TUBE_CHANGED, {"channel": channel})
            case r.TriggerEmergencyStop():
                self.latched = True
                self.blockers = ("the emergency stop is latched; release it (`tarewell release`)",)
            case r.ReleaseLatchedStop():
                self.latched, self.blockers = False, ()
            case r.ReadCounters():
                return self._counters()
            case r.AcknowledgeAlarm(alarm_id):
                self._journal(self.registry.acknowledge(alarm_id, self._now_s))
            case r.ShelveAlarm(alarm_id, for_s):
                self._journal(self.registry.shelve(alarm_id, for_s, self._now_s))
        return None

    @property
    def state(self) -> r.MachineState:
        pour = self.followed
        round_ = self.rounds.followed(self._now_s, () if pour is None else pour[1].delivered_g)
        return r.MachineState(
            status=self.status(),
            tubes=self.tube_states,
            followed_pour=None if pour is None else pour[0],
            pour=None if pour is None else pour[1],
            followed_round=None if round_ is None else round_[0],
            round=None if round_ is None else round_[1],
        )

    @property
    def _now_s(self) -> float:
        return asyncio.get_running_loop().time()

    # Alarms, by the machine's own registry

    def raise_alarm(self, found: Alarm) -> None:
        self._journal(self.registry.raise_(found, self._now_s))

    def pour_decides(self, pour_id: str, output: PourOutput) -> None:
        self._journal(self.registry.follow(pour_id, output, self._now_s))

    async def label_channels(self) -> None:
        self.registry.relabel(await self.store.channels.labels())

    def _journal(self, changes: list[AlarmChange]) -> None:
        for effect in journaled(changes, self._now_s):
            assert isinstance(effect, Persist)
            work, args = transaction_of(effect.change)
            self.writer.keep(work, *args)

    # Rounds, by the machine's own parts

    async def _begin_round(self, new: NewRound) -> RoundRecord:
        try:
            self._require_free()
        except (MachineBusyError, NotReadyError):
            key = new.idempotency_key
            earlier = None if key is None else await self.store.rounds.find(key, new.fingerprint)
            if earlier is None:
                raise
            return earlier
        work, args = transaction_of(new)
        record, served = await self.writer.write(work, *args)
        if not record.replayed:
            await self._follow(self.rounds.begin(record, new.plan, served, self._now_s))
        return cast(RoundRecord, record)

    async def _release(self, guest: str, released_by: str, reason: str) -> ReleaseRecord:
        run, glass = self.rounds.waiting(guest, self._now_s)
        new = NewRelease(guest, run.round_id, glass, released_by, reason)
        record = await self.store.rounds.release(new)
        await self._follow(run.feed(round_events.Released(guest), self._now_s))
        return record

    async def look(self) -> None:
        """A sample was weighed: the round sees the load, and whether its pour is held."""
        rest_g = None if self.indication is None else self.indication.rest_g
        await self._follow(self.rounds.see(self.running is not None, rest_g, self._now_s))
        pour, run = self.followed, self.rounds.under_way
        if pour is not None and run is not None and run.pour_id == pour[0]:
            await self._follow(run.check(pour[1], self._now_s))

    async def _follow(self, decided: Decided) -> None:
        wanted, effects = decided
        for effect in effects:
            assert isinstance(effect, Persist)
            work, args = transaction_of(effect.change)
            self.writer.keep_then(partial(self.rounds.kept, effect.key or ""), work, *args)
        for want in wanted:
            run = self.rounds.under_way
            match want:
                case round_events.GivePourCommand(pour_id, command):
                    self.command(pour_id, command)
                case PourRequest() if run is not None:
                    try:
                        record = await self.pour(want)
                    except (PlanError, MachineBusyError, NotReadyError, RecordsError) as error:
                        await self._follow(run.feed(round_events.PourRefused(str(error)), self._now_s))
                    else:
                        await self._follow(run.feed(round_events.PourBegun(record.id), self._now_s))

    def status(self) -> MachineStatus:
        return MachineStatus(
            machine_id="interval-bar",
            link=self.link,
            indication=self.indication,
            calibrated=self.calibrated,
            latched=self.latched,
            pour_id=None if self.running is None else self.running.id,
            blockers=self.blockers,
            round_id=None if self.rounds.under_way is None else self.rounds.under_way.round_id,
            alarms=self.registry.worst_first,
            self_test=SelfTest(SelfTestVerdict.OK, 0x5A17, SelfTestVerdict.UNTESTED, 0x00C3),
        )

    async def pour(self, request: PourRequest) -> PourRecord:
        if self.failure is not None:
            raise self.failure
        try:
            return await self._begin(request)
        except (PlanError, MachineBusyError, NotReadyError):
            if request.key is not None:
                earlier = await self.store.pours.find(request.key, request.fingerprint)
                if earlier is not None:
                    return earlier
            raise

    async def _begin(self, request: PourRequest) -> PourRecord:
        self._require_free(request.round_id)
        record = await self.store.pours.begin(
            NewPour(
                setup=PourSetup(plan=request.plan, calibration=CALIBRATION),
                origin=request.origin,
                idempotency_key=request.key,
                fingerprint=request.fingerprint,
                board_id=BOARD.board_id,
                board_firmware=BOARD.firmware,
                board_channels=BOARD.channels,
                recipe=request.recipe,
                tubes=self.tube_states,
            )
        )
        if not record.replayed:
            self.starts += 1
            self.running = record
        return record

    def _require_free(self, round_id: str | None = None) -> None:
        if self.blockers:
            raise NotReadyError(self.blockers[0])
        if self.running is not None:
            raise MachineBusyError(self.running.id)
        run = self.rounds.under_way
        if run is not None and run.round_id != round_id:
            raise MachineBusyError(run.round_id, "round")

    def command(self, pour_id: str, command: PourCommand) -> None:
        if self.running is None or self.running.id != pour_id:
            raise NotUnderWayError(f"pour {pour_id} is over; it accepts no more commands")
        if command is PourCommand.RESTART and self.pour_state is not PourState.HELD:
            raise UnexpectedPourEvent(self.pour_state, PourEventKind.RESTART)
        self.commands.append((pour_id, command))
        self.pour_state = {
            PourCommand.HOLD: PourState.HELD,
            PourCommand.RESTART: PourState.RESTARTING,
            PourCommand.STOP: PourState.STOPPING,
            PourCommand.ABORT: PourState.ABORTING,
        }[command]

    @property
    def followed(self) -> tuple[str, PourProgress] | None:
        if self.running is None:
            return None
        targets_g = tuple(dose.target_g for dose in self.running.doses)
        return self.running.id, PourProgress(self.pour_state, 0, (57.126,), 251.3, None, targets_g)

    def _tare(self, tare_g: float) -> None:
        shown = self._indicated()
        self.indication = replace(shown, tare_g=tare_g, net_g=shown.gross_g - tare_g)

    def _indicated(self) -> Indication:
        if self.indication is None:
            raise NotReadyError("the link to the board is down; plug the cable in")
        if not self.indication.stable:
            raise ScaleError("the scale is not at rest; wait until nothing moves on the platform")
        return self.indication

    async def calibrate(
        self, empty_counts: float, reference_g: float, accept_unlikely: bool = False
    ) -> Calibration:
        loaded_counts = self._indicated().counts
        if self.unlikely and not accept_unlikely:
            raise UnlikelySpanError(f"did you put {reference_g:g} g on?")
        if loaded_counts == empty_counts:
            raise CalibrationError("the reading moved by only 0 counts; put the reference mass on")
        calibration = Calibration(empty_counts, (loaded_counts - empty_counts) / reference_g)
        await self.store.calibrations.add(calibration, "two_point")
        return calibration

    def _counters(self) -> BoardStats:
        if self.link.state is not LinkState.OPEN:
            raise NotReadyError("the board cannot be reached: the link is down")
        return BoardStats(18211, 2, 0, 0, 0, 3, 0)

    async def finish(
        self,
        delivered_g: Sequence[float],
        state: PourState = PourState.COMPLETE,
        entries: Sequence[TraceEntry] = (),
        rescaled_g: Mapping[int, float] | None = None,
    ) -> PourRecord:
        """End the pour under way with these masses in g; `rescaled_g` has new targets by dose."""
        if self.running is None:
            raise RuntimeError("no pour is under way")
        doses = [
            DoseEnded(
                index=index,
                delivered_g=mass_g,
                inflight_g=3.1,
                peak_flow_g_per_s=8.4,
                jogs=0,
                began_s=100.0,
                cut_off_s=110.0,
                ended_s=112.5,
                verdict=Verdict.WITHIN,
                cause="target",
                target_g=(rescaled_g or {}).get(index),
            )
            for index, mass_g in enumerate(delivered_g)
        ]
        ended = PourEnded(state.value, "target", sum(delivered_g))
        record = await self.store.pours.finish(self.running.id, ended, doses, 251.3, entries)
        self.running = None
        run = self.rounds.under_way
        if run is not None and run.pour_id == record.id:
            ended_as = round_events.GlassPourEnded(ended.state, ended.cause, recorded_g(record))
            await self._follow(run.feed(ended_as, self._now_s))
        return record
