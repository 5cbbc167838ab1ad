"""Pours one after the other: begun from a request, given orders and events, recorded to their end."""

import asyncio
import logging
from collections.abc import Callable, Mapping
from dataclasses import replace

from tarewell.device.supervisor import Supervisor
from tarewell.dosing import events as e
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.maintenance import ChannelNeed, check_needs
from tarewell.dosing.plan import PlanError
from tarewell.dosing.pour import PourProgress
from tarewell.dosing.states import UnexpectedPourEvent
from tarewell.records.store import Store
from tarewell.records.values import PourRecord
from tarewell.settings import Settings

from .intent import intent_of
from .needs import Needs
from .platform import Platform
from .pour_log import PourLog
from .recorder import Recorder
from .requests import MachineBusyError, NotReadyError, NotUnderWayError, PourRequest
from .runner import Runner
from .weighbridge import NOT_CALIBRATED, Weighbridge

log = logging.getLogger(__name__)

ABORT_TIMEOUT_S = 1.5

RequireReady = Callable[[str | None], None]
"""Raises MachineBusyError or NotReadyError where no pour, of this round or of none, may begin now."""


class Pours:
    """Takes the platform for one pour at a time."""

    def __init__(
        self,
        settings: Settings,
        store: Store,
        recorder: Recorder,
        board: Supervisor,
        bridge: Weighbridge,
        place: Platform,
        require_ready: RequireReady,
    ) -> None:
        self._settings = settings
        self._store = store
        self._recorder = recorder
        self._board = board
        self._bridge = bridge
        self._place = place
        self._require_ready = require_ready
        self._inflight: dict[tuple[int, str], InFlight] = {}
        self._needs = Needs()
        self.unfinished: set[asyncio.Task[object]] = set()
        """What begins or records a pour at present."""

    async def load(self) -> None:
        """Close what an earlier run left open and take over what was learned.

        Raises:
            StoreError: the records cannot be read or written.
        """
        for record in await self._store.pours.close_interrupted():
            log.warning("pour %s was interrupted by the end of an earlier run", record.id)
        self._inflight = await self._store.inflight.current()
        self._needs = Needs(await self._store.pours.maintenance())

    async def leave(self) -> None:
        """Abort the pour under way in order, and wait a little for its end."""
        async with self._place.taking:
            runner = self._place.under_way
        if runner is not None:
            self.abort(runner)
            await asyncio.wait({runner.over}, timeout=ABORT_TIMEOUT_S)
            runner.feed(e.LinkLost("the daemon is closing"))

    def progress(self, pour_id: str) -> PourProgress | None:
        """The pour at a glance, until its outcome is in the records; None for any other."""
        runner = self._place.runner
        return runner.progress if runner is not None and runner.pour_id == pour_id else None

    def needs(self) -> Mapping[int, ChannelNeed]:
        """What each channel needs before a drink; one that is not named needs nothing."""
        return self._needs.now

    async def begin(self, request: PourRequest) -> PourRecord:
        """Begin a pour; its intent is committed when this returns. A key that was used before gives its pour.

        Raises:
            PlanError: the plan cannot be carried out.
            MachineBusyError, NotReadyError: no pour may begin now.
            IdempotencyConflict: the key belongs to another request.
            StoreError: the records cannot be written; nothing has begun.
        """
        # A caller that goes away must not leave an intent without a pour.
        beginning = asyncio.create_task(self._begin_or_find(request), name="begin a pour")
        self._follow(beginning)
        return await asyncio.shield(beginning)

    def _follow(self, task: asyncio.Task[object]) -> None:
        self.unfinished.add(task)
        task.add_done_callback(self.unfinished.discard)

    async def _begin_or_find(self, request: PourRequest) -> PourRecord:
        async with self._place.taking:
            try:
                return await self._begin(request)
            except (PlanError, MachineBusyError, NotReadyError):
                if (earlier := await self._earlier(request)) is not None:
                    return earlier
                raise

    async def _begin(self, request: PourRequest) -> PourRecord:
        identity, calibration = self._board.status.identity, self._bridge.calibration
        channels = {channel.number: channel for channel in await self._store.channels.all()}
        liquids = {liquid.id: liquid for liquid in await self._store.liquids.all()}
        new = intent_of(request, channels, liquids, identity, self._settings)
        check_needs(request.plan, self._needs.now)
        self._require_ready(request.round_id)
        if calibration is None:
            raise NotReadyError(NOT_CALIBRATED)
        known = {
            dose.channel: self._inflight[dose.channel, dose.liquid_id]
            for dose in new.doses
            if (dose.channel, dose.liquid_id) in self._inflight
        }
        new = replace(new, setup=replace(new.setup, calibration=calibration, known=known))
        record = await self._recorder.begin(new)
        if not record.replayed:
            runner = Runner(record.id, new.setup, self._board.send, self._recorder.note)
            self._place.runner = runner
            self._launch(runner, self._needs.begun(request.plan))
        return record

    def _launch(self, runner: Runner, looked_after: Callable[[PourLog], None]) -> None:
        runner.order(e.PourCommand.START)
        if not self._board.is_open:  # lost while the intent was being written
            runner.feed(e.LinkLost(self._board.status.reason))

        def kept() -> None:
            if self._place.runner is runner:
                self._place.runner = None

        async def record() -> None:
            await self._recorder.record(runner, kept)
            self._inflight |= runner.log.learned
            looked_after(runner.log)

        self._follow(asyncio.create_task(record(), name=f"record of {runner.pour_id}"))

    async def _earlier(self, request: PourRequest) -> PourRecord | None:
        """The pour that the request's key has already, without beginning one."""
        if request.key is None:
            return None
        return await self._store.pours.find(request.key, request.fingerprint)

    def order(self, pour_id: str, order: e.PourCommand) -> None:
        """Hold, restart, stop or abort the pour under way.

        Raises:
            NotUnderWayError: it is over, or there is no such pour.
            UnexpectedPourEvent: its state does not take the order; nothing has changed.
        """
        runner = self._place.under_way
        if runner is None or runner.pour_id != pour_id:
            what_is = "none is" if runner is None else f"pour {runner.pour_id} is"
            raise NotUnderWayError(f"pour {pour_id} is not under way; {what_is}")
        runner.order(order)

    def abort(self, runner: Runner) -> None:
        """Abort the pour, unless it ends already."""
        try:
            runner.order(e.PourCommand.ABORT)
        except UnexpectedPourEvent:
            log.debug("pour %s is already %s", runner.pour_id, runner.state)
