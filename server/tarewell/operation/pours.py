"""Pours one after the other: begun from a request, fed commands and events, recorded to their end."""

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
from tarewell.dosing.setup import PourSetup
from tarewell.dosing.states import PourState, UnexpectedPourEvent
from tarewell.exchange.requests import (
    MachineBusyError,
    NotAnsweredError,
    NotReadyError,
    NotUnderWayError,
    PourRequest,
)
from tarewell.records.pour_changes import finish_pour
from tarewell.records.store import Store
from tarewell.records.values import NewPour, PourRecord
from tarewell.records.writer import Writer
from tarewell.weighing.calibration import Calibration

from .config import MachineConfig
from .needs import Needs
from .platform import Platform
from .pour_log import PourLog
from .recorder import Recorder
from .runner import Runner
from .weighbridge import NOT_CALIBRATED, Weighbridge

log = logging.getLogger(__name__)

ABORT_TIMEOUT_S = 1.5

REQUEST_EXPIRED = "asked_too_long_ago"
"""Cause of a pour that did not begin, since its request had timed out when its intent was committed."""

RequireReady = Callable[[str | None], None]
"""Raises MachineBusyError or NotReadyError where no pour, of this round or of none, may begin now."""


class Pours:
    """Occupies the platform for one pour at a time."""

    def __init__(
        self,
        config: MachineConfig,
        store: Store,
        writer: Writer,
        board: Supervisor,
        bridge: Weighbridge,
        platform: Platform,
        require_ready: RequireReady,
    ) -> None:
        self._config = config
        self._store = store
        self._writer = writer
        self._recorder = Recorder(writer)
        self._board = board
        self._bridge = bridge
        self._platform = platform
        self._require_ready = require_ready
        self._inflight: dict[tuple[int, str], InFlight] = {}
        self._needs = Needs()
        self._group: asyncio.TaskGroup | None = None
        self.unfinished: set[asyncio.Task[object]] = set()
        """The tasks that begin or record a pour at present."""

    async def load(self, group: asyncio.TaskGroup) -> None:
        """Close what an earlier run left open and load what was learned.

        An error in writing the record of a pour ends the group.

        Raises:
            StoreError: the records cannot be read or written.
        """
        self._group = group
        for record in await self._store.pours.close_interrupted():
            log.warning("pour %s was interrupted by the end of an earlier run", record.id)
        self._inflight = await self._store.inflight.current()
        self._needs = Needs(await self._store.pours.maintenance())

    async def leave(self) -> None:
        """Abort the pour under way in order, and wait a little for its end."""
        async with self._platform.taking:
            runner = self._platform.under_way
        if runner is not None:
            self.abort(runner)
            await asyncio.wait({runner.over}, timeout=ABORT_TIMEOUT_S)
            runner.feed(e.LinkLost("the daemon is closing"))

    @property
    def followed(self) -> tuple[str, PourProgress] | None:
        """The pour at a glance, until its outcome is in the records."""
        runner = self._platform.runner
        return None if runner is None else (runner.pour_id, runner.progress)

    def needs(self) -> Mapping[int, ChannelNeed]:
        """What each channel needs before a drink; a channel that is missing needs nothing."""
        return self._needs.now

    async def begin(self, request: PourRequest) -> PourRecord:
        """Begin a pour; its intent is committed when this returns. A key that was used before returns its
        pour.

        Raises:
            PlanError: the plan cannot be carried out.
            MachineBusyError, NotReadyError: no pour may begin now.
            NotAnsweredError: the request has timed out; the pour has not begun.
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
        async with self._platform.taking:
            try:
                return await self._begin(request)
            except (PlanError, MachineBusyError, NotReadyError):
                if (earlier := await self._earlier(request)) is not None:
                    return earlier
                raise

    async def _begin(self, request: PourRequest) -> PourRecord:
        check_needs(request.plan, self._needs.now)
        self._require_ready(request.round_id)
        if (calibration := self._bridge.calibration) is None:
            raise NotReadyError(NOT_CALIBRATED)
        new = self._intent(request, calibration)
        record = await self._store.pours.begin(new)
        if record.replayed:
            return record
        if request.until_s is not None and asyncio.get_running_loop().time() > request.until_s:
            ended = e.PourEnded(PourState.ABORTED.value, REQUEST_EXPIRED, 0.0)
            self._writer.keep(finish_pour, record.id, ended, (), None)
            raise NotAnsweredError("the records took too long; the pour was not begun, ask again")
        runner = Runner(record.id, new.setup, self._board.send, self._recorder.note)
        self._platform.runner = runner
        self._launch(runner, self._needs.begun(request.plan))
        return record

    def _intent(self, request: PourRequest, calibration: Calibration) -> NewPour:
        """The intent to commit: the plan with everything that its decisions depend on."""
        identity, plan = self._board.status.identity, request.plan
        known = {
            dose.channel: self._inflight[dose.channel, dose.liquid_id]
            for dose in plan.doses
            if (dose.channel, dose.liquid_id) in self._inflight
        }
        setup = PourSetup(
            plan, calibration, rating=self._config.scale, settings=self._config.dosing, known=known
        )
        if identity is not None:
            variable_speed = "v" in identity.abilities
            setup = replace(setup, sample_rate_hz=identity.sample_rate_hz, variable_speed=variable_speed)
        return NewPour(
            setup=setup,
            origin=request.origin,
            idempotency_key=request.key,
            fingerprint=request.fingerprint,
            board_id=None if identity is None else identity.board_id,
            board_firmware=None if identity is None else identity.firmware,
            board_channels=None if identity is None else identity.channels,
            recipe=request.recipe,
        )

    def _launch(self, runner: Runner, note_maintenance: Callable[[PourLog], None]) -> None:
        runner.command(e.PourCommand.START)
        if not self._board.is_open:  # lost while the intent was being written
            runner.feed(e.LinkLost(self._board.status.reason))

        def kept() -> None:
            if self._platform.runner is runner:
                self._platform.runner = None

        async def record() -> None:
            await self._recorder.record(runner, kept)
            self._inflight |= runner.log.learned
            note_maintenance(runner.log)

        if self._group is None:
            raise RuntimeError("pours were begun before they were loaded")
        self._follow(self._group.create_task(record(), name=f"record of {runner.pour_id}"))

    async def _earlier(self, request: PourRequest) -> PourRecord | None:
        """The pour that the request's key began earlier, if any."""
        if request.key is None:
            return None
        return await self._store.pours.find(request.key, request.fingerprint)

    def command(self, pour_id: str, command: e.PourCommand) -> None:
        """Hold, restart, stop or abort the pour under way.

        Raises:
            NotUnderWayError: it is over, or there is no such pour.
            UnexpectedPourEvent: its state does not take the command; nothing has changed.
        """
        runner = self._platform.under_way
        if runner is None or runner.pour_id != pour_id:
            what_is = "none is" if runner is None else f"pour {runner.pour_id} is"
            raise NotUnderWayError(f"pour {pour_id} is not under way; {what_is}")
        runner.command(command)

    def abort(self, runner: Runner) -> None:
        """Abort the pour, unless it ends already."""
        try:
            runner.command(e.PourCommand.ABORT)
        except UnexpectedPourEvent:
            log.debug("pour %s is already %s", runner.pour_id, runner.state)
