"""Rounds as the outside sees them: one at a time, over the one platform of the operation."""

import asyncio
import logging
from collections.abc import Sequence
from contextlib import suppress
from datetime import UTC, datetime, timedelta

from tarewell.menu.errors import MenuError
from tarewell.menu.values import Menu
from tarewell.records.errors import StoreError
from tarewell.records.round_values import NewRelease, NewRound, ReleaseRecord, RoundRecord
from tarewell.records.store import Store
from tarewell.rounds.events import RoundCommand
from tarewell.rounds.feasible import Feasibility, Wanted, feasible
from tarewell.rounds.guests import Served, ServingLimit, counted
from tarewell.rounds.plan import RoundPlan
from tarewell.rounds.progress import RoundProgress
from tarewell.rounds.round import Round
from tarewell.rounds.states import RoundState, UnexpectedRoundEvent
from tarewell.settings import Settings

from .operation import Operation
from .requests import MachineBusyError, NotReadyError
from .round_requests import GuestStanding, RoundNotPossibleError, RoundNotUnderWayError, RoundRequest
from .round_runner import RoundRunner

log = logging.getLogger(__name__)


class Rounds:
    """Runs rounds over a started operation, between `start` and `close`."""

    def __init__(self, settings: Settings, store: Store, operation: Operation) -> None:
        self._settings = settings
        self._store = store
        self._operation = operation
        self._runner: RoundRunner | None = None
        self._cleared = True
        self._watching: asyncio.Task[None] | None = None
        self._beginning: set[asyncio.Task[RoundRecord]] = set()

    async def start(self) -> None:
        """Close what an earlier run left open, after the operation has done so with its pours.

        Raises:
            StoreError: the records cannot be read or written.
        """
        for record in await self._store.rounds.close_interrupted():
            log.warning("round %s was interrupted by the end of an earlier run", record.id)
            self._cleared = False
        self._watching = asyncio.create_task(self._watch(), name="rounds")

    async def close(self) -> None:
        """Look at nothing any more; a round under way is closed at the next start."""
        if self._watching is not None:
            self._watching.cancel()
            await asyncio.wait({self._watching})
            self._watching = None
        if self._runner is not None:
            await self._runner.close()

    async def _watch(self) -> None:
        async with self._operation.feed.subscribe() as events:
            async for _ in events:
                try:
                    await self._look()
                except StoreError as error:  # looked at again with the next event
                    log.debug("a round cannot read the records: %s", error)

    async def _look(self) -> None:
        status = self._operation.status()
        if status.pour_id is not None:
            self._cleared = False
        elif status.indication is not None and status.indication.rest_g is not None:
            empty = status.indication.rest_g < self._settings.dosing.min_glass_g
            self._cleared = self._cleared or empty
        if (runner := self._under_way) is not None:
            await runner.look()

    # What is shown

    @property
    def _under_way(self) -> RoundRunner | None:
        return self._runner if self._runner is not None and not self._runner.finished else None

    @property
    def round_id(self) -> str | None:
        """The round under way."""
        return None if self._under_way is None else self._under_way.round_id

    def progress(self, round_id: str) -> RoundProgress | None:
        """The round at a glance, until its outcome is in the records; None for any other."""
        runner = self._runner
        return runner.progress if runner is not None and runner.round_id == round_id else None

    async def check(self, wanted: Sequence[Wanted]) -> Feasibility:
        """Which of these glasses can be poured now, in this order.

        Raises:
            MenuError: a recipe that does not exist, or a wish that cannot mean anything.
        """
        return feasible(await self._menu(), wanted, self._settings.menu.small)

    async def _menu(self) -> Menu:
        menu = await self._store.menu(self._settings.scale.max_g, self._settings.dosing)
        return menu.needing(self._operation.needs())

    # Rounds

    async def begin(self, request: RoundRequest) -> RoundRecord:
        """Begin a round; its intent is committed when this returns. A key used before gives its round.

        Raises:
            RoundNotPossibleError: not all glasses can be poured, or none.
            MenuError: a recipe that does not exist, or a wish that cannot mean anything.
            MachineBusyError: a pour or a round is under way.
            NotReadyError: see the operation's blockers.
            IdempotencyConflict: the key belongs to another request.
            StoreError: the records cannot be written; nothing has begun.
        """
        # A caller that goes away must not leave an intent without a round.
        beginning = asyncio.create_task(self._begin_or_find(request), name="begin a round")
        self._beginning.add(beginning)
        beginning.add_done_callback(self._beginning.discard)
        return await asyncio.shield(beginning)

    async def _begin_or_find(self, request: RoundRequest) -> RoundRecord:
        try:
            return await self._begin(request)
        except (RoundNotPossibleError, MenuError, MachineBusyError, NotReadyError):
            if request.key is None:
                raise
            earlier = await self._store.rounds.find(request.key, request.fingerprint)
            if earlier is None:
                raise
            return earlier

    async def _begin(self, request: RoundRequest) -> RoundRecord:
        plan = await self._plan(request)
        served = await self._served()
        new = NewRound(plan, request.origin, request.key, request.fingerprint)
        record = await self._operation.reserve(lambda: self._store.rounds.begin(new))
        if record.replayed:
            return record
        runner = self._make_runner(record.id, Round(plan, served, self._cleared))
        self._runner = runner
        await runner.order(RoundCommand.START)
        return record

    def _make_runner(self, round_id: str, round_: Round) -> RoundRunner:
        def kept() -> None:
            if self._runner is not None and self._runner.round_id == round_id:
                self._runner = None

        return RoundRunner(round_id, round_, self._operation, self._store, kept)

    async def _plan(self, request: RoundRequest) -> RoundPlan:
        menu = await self._menu()
        found = feasible(menu, request.wanted, self._settings.menu.small)
        if not found.glasses or (found.short and not request.allow_short):
            raise RoundNotPossibleError(found.told, found)
        return RoundPlan(
            found.glasses,
            menu.liquids,
            menu.glasses,
            request.auto_start,
            self._settings.dosing.min_glass_g,
            self.limit,
        )

    async def order(self, round_id: str, order: RoundCommand) -> None:
        """Give an order to the round under way.

        Raises:
            RoundNotUnderWayError: it is over, or there is no such round.
            UnexpectedRoundEvent: its state does not take the order; nothing has changed.
        """
        runner = self._under_way
        if runner is None or runner.round_id != round_id:
            raise RoundNotUnderWayError(f"round {round_id} is not under way; {self._what_is()}")
        await runner.order(order)

    def _what_is(self) -> str:
        return "none is" if self._under_way is None else f"round {self._under_way.round_id} is"

    # Guests

    @property
    def limit(self) -> ServingLimit | None:
        """The host's limit for a guest; None: none is set."""
        guests = self._settings.guests
        if not guests.limit_standard_drinks:
            return None
        return ServingLimit(
            guests.limit_standard_drinks, guests.window_h * 3600, self._settings.menu.standard_drink_g
        )

    async def standing(self, guest: str) -> GuestStanding:
        """What was poured for a guest, and what waits."""
        window_h = self._settings.guests.window_h
        unlimited = ServingLimit(0.0, window_h * 3600, self._settings.menu.standard_drink_g)
        served, now_s = await self._served(), asyncio.get_running_loop().time()
        return GuestStanding(
            guest=guest,
            standard_drinks=counted(served, guest, now_s, unlimited),
            limit=None if self.limit is None else self.limit.standard_drinks,
            window_h=window_h,
            waiting_glass=self._waiting(guest),
            releases=await self._store.rounds.releases(guest),
        )

    async def release(self, guest: str, released_by: str, reason: str) -> ReleaseRecord:
        """Let the waiting glass of a guest be poured; who did so and why is kept first.

        Raises:
            RoundNotUnderWayError: no glass of the guest waits for it.
            StoreError: it could not be written; the glass waits on.
        """
        runner, glass = self._under_way, self._waiting(guest)
        if runner is None or glass is None:
            raise RoundNotUnderWayError(
                f"no glass of {guest} waits for a release; {self._what_is()} under way"
            )
        new = NewRelease(guest, runner.round_id, glass, released_by, reason)
        record = await self._operation.writer.do(lambda: self._store.rounds.release(new))
        with suppress(UnexpectedRoundEvent):  # skipped or stopped meanwhile
            await runner.release(guest)
        return record

    def _waiting(self, guest: str) -> int | None:
        runner = self._under_way
        progress = None if runner is None else runner.progress
        if progress is None or progress.state is not RoundState.AWAITING_RELEASE or progress.guest != guest:
            return None
        return progress.glass

    async def _served(self) -> list[Served]:
        """What guests had within the window, on the loop's clock."""
        now, now_s = datetime.now(UTC), asyncio.get_running_loop().time()
        since = now - timedelta(hours=self._settings.guests.window_h)
        return [
            Served(item.guest, now_s - max((now - item.at).total_seconds(), 0.0), item.ethanol_g)
            for item in await self._store.rounds.served(since)
        ]
