"""A double of the operation behind the API: a real store, and a machine under the test's control."""

from collections.abc import Awaitable, Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from tarewell.device.status import LinkState, LinkStatus
from tarewell.dosing.events import DoseEnded, PourCommand, PourEnded
from tarewell.dosing.maintenance import ChannelNeed, check_needs
from tarewell.dosing.plan import PlanError
from tarewell.dosing.pour import PourProgress
from tarewell.dosing.setup import PourSetup
from tarewell.dosing.states import PourEventKind, PourState, UnexpectedPourEvent
from tarewell.dosing.tolerance import Verdict
from tarewell.exchange.client import ControlsListener
from tarewell.exchange.live import EventFeed, journal_event
from tarewell.exchange.requests import (
    MachineBusyError,
    MachineStatus,
    NotReadyError,
    NotUnderWayError,
    PourRequest,
)
from tarewell.records.store import Store
from tarewell.records.traces import TraceEntry
from tarewell.records.values import NewPour, PourRecord, RoundRecord
from tarewell.records.writer import Committed, Writer, WriterNews
from tarewell.weighing.calibration import Calibration, CalibrationError
from tarewell.weighing.scale import Indication, ScaleError
from tarewell_protocol.messages import BoardStats, Identity, ResetCause

BOARD = Identity(
    protocol=1,
    firmware="0.1.0",
    board_id="foyer-01",
    channels=8,
    sample_rate_hz=80,
    full_scale_counts=8388607,
    abilities=frozenset("rvk"),
    display="20x4",
    cause=ResetCause.POWER,
)
CALIBRATION = Calibration(zero_counts=-84213.0, counts_per_g=2214.0)


@dataclass
class OperationDouble:
    """A double of the machine. Set its fields to bring it into a state."""

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
    needed: dict[int, ChannelNeed] = field(default_factory=dict)
    running: PourRecord | None = None
    state: PourState = PourState.COARSE_FEED
    commands: list[tuple[str, PourCommand]] = field(default_factory=list)
    starts: int = 0
    round_id: str | None = None
    manual_step: bool = False
    failure: Exception | None = None

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

    def status(self) -> MachineStatus:
        return MachineStatus(
            machine_id="interval-bar",
            link=self.link,
            indication=self.indication,
            calibrated=self.calibrated,
            latched=self.latched,
            pour_id=None if self.running is None else self.running.id,
            blockers=self.blockers,
            round_id=self.round_id,
        )

    async def reserve(self, begin: Callable[[], Awaitable[RoundRecord]]) -> RoundRecord:
        self._require_free()
        record = await begin()
        if not record.replayed:
            self.round_id = record.id
        return record

    def free(self) -> None:
        self.round_id = None

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
        check_needs(request.plan, self.needed)
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
            )
        )
        if not record.replayed:
            self.starts += 1
            self.running = record
        return record

    def needs(self) -> dict[int, ChannelNeed]:
        return self.needed

    def _require_free(self, round_id: str | None = None) -> None:
        if self.blockers:
            raise NotReadyError(self.blockers[0])
        if self.running is not None:
            raise MachineBusyError(self.running.id)
        if self.round_id not in (None, round_id):
            raise MachineBusyError(self.round_id or "", "round")

    def command(self, pour_id: str, command: PourCommand) -> None:
        if self.running is None or self.running.id != pour_id:
            raise NotUnderWayError(f"pour {pour_id} is over; it accepts no more commands")
        if command is PourCommand.RESTART and self.state is not PourState.HELD:
            raise UnexpectedPourEvent(self.state, PourEventKind.RESTART)
        self.commands.append((pour_id, command))
        self.state = {
            PourCommand.HOLD: PourState.HELD,
            PourCommand.RESTART: PourState.RESTARTING,
            PourCommand.STOP: PourState.STOPPING,
            PourCommand.ABORT: PourState.ABORTING,
        }[command]

    @property
    def followed(self) -> tuple[str, PourProgress] | None:
        if self.running is None:
            return None
        return self.running.id, PourProgress(self.state, 0, (57.126,), 251.3, None)

    def progress(self, pour_id: str) -> PourProgress | None:
        followed = self.followed
        return followed[1] if followed is not None and followed[0] == pour_id else None

    async def zero(self) -> Indication:
        return self._indicated()

    def tare(self) -> None:
        shown = self._indicated()
        self.indication = replace(shown, tare_g=shown.gross_g, net_g=0.0)

    def clear_tare(self) -> None:
        shown = self._indicated()
        self.indication = replace(shown, tare_g=0.0, net_g=shown.gross_g)

    def _indicated(self) -> Indication:
        if self.indication is None:
            raise NotReadyError("the link to the board is down; plug the cable in")
        if not self.indication.stable:
            raise ScaleError("the scale is not at rest; wait until nothing moves on the platform")
        return self.indication

    def calibration_empty(self) -> float:
        return float(self._indicated().counts)

    async def calibrate(self, empty_counts: float, reference_g: float) -> Calibration:
        loaded_counts = self._indicated().counts
        if loaded_counts == empty_counts:
            raise CalibrationError("the reading moved by only 0 counts; put the reference mass on")
        calibration = Calibration(empty_counts, (loaded_counts - empty_counts) / reference_g)
        await self.store.calibrations.add(calibration, "two_point")
        return calibration

    async def counters(self) -> BoardStats:
        if self.link.state is not LinkState.OPEN:
            raise NotReadyError("the board cannot be reached: the link is down")
        return BoardStats(18211, 2, 0, 0, 0, 3, 0)

    async def emergency_stop(self) -> None:
        self.latched = True
        self.blockers = ("the emergency stop is latched; remove the cause, then release it",)

    async def release(self) -> None:
        self.latched = False
        self.blockers = ()

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
        return record
