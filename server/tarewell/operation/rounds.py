"""Runs rounds on the machine: one at a time, on its one platform."""

import asyncio
import logging
from contextlib import suppress
from datetime import UTC, datetime, timedelta

from tarewell.exchange.requests import MachineBusyError, NotReadyError, RoundNotUnderWayError
from tarewell.records.errors import StoreError
from tarewell.records.store import Store
from tarewell.records.values import NewRelease, NewRound, ReleaseRecord, RoundRecord
from tarewell.rounds.events import RoundCommand
from tarewell.rounds.guests import Served
from tarewell.rounds.progress import RoundProgress
from tarewell.rounds.round import Round
from tarewell.rounds.states import RoundState, UnexpectedRoundEvent

from .operation import Operation
from .round_runner import RoundRunner

log = logging.getLogger(__name__)


class Rounds:
    """Runs rounds on a started operation, between `start` and `close`."""

    def __init__(self, store: Store, operation: Operation, min_glass_g: float) -> None:
        self._store = store
        self._operation = operation
        self._min_glass_g = min_glass_g
        self._runner: RoundRunner | None = None
        self._cleared = True
        self._watching: asyncio.Task[None] | None = None
        self._beginning: set[asyncio.Task[RoundRecord]] = set()

    async def start(self, group: asyncio.TaskGroup) -> None:
        """Close what an earlier run left open, after the operation has closed its pours. An error in watching
        the machine ends the group.

        Raises:
            StoreError: the records cannot be read or written.
        """
        for record in await self._store.rounds.close_interrupted():
            log.warning("round %s was interrupted by the end of an earlier run", record.id)
            self._cleared = False
        self._watching = group.create_task(self._watch(), name="rounds")

    async def close(self) -> None:
        """Stop watching; the next start closes a round under way."""
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
                except StoreError as error:  # retried with the next event
                    log.debug("a round cannot read the records: %s", error)

    async def _look(self) -> None:
        status = self._operation.status()
        if status.pour_id is not None:
            self._cleared = False
        elif status.indication is not None and status.indication.rest_g is not None:
            empty = status.indication.rest_g < self._min_glass_g
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

    @property
    def followed(self) -> tuple[str, RoundProgress] | None:
        """The round at a glance, with its id, until its outcome is in the records."""
        return None if self._runner is None else (self._runner.round_id, self._runner.progress)

    def progress(self, round_id: str) -> RoundProgress | None:
        """The round at a glance, until its outcome is in the records; None for any other."""
        followed = self.followed
        return followed[1] if followed is not None and followed[0] == round_id else None

    # Rounds

    async def begin(self, new: NewRound) -> RoundRecord:
        """Begin a round that was planned; its intent is committed when this returns. A key used before
        returns its round.

        Raises:
            MachineBusyError: a pour or a round is under way.
            NotReadyError: see the operation's blockers.
            IdempotencyConflict: the key belongs to another request.
            StoreError: the records cannot be written; nothing has begun.
        """
        # A caller that goes away must not leave an intent without a round.
        beginning = asyncio.create_task(self._begin_or_find(new), name="begin a round")
        self._beginning.add(beginning)
        beginning.add_done_callback(self._beginning.discard)
        return await asyncio.shield(beginning)

    async def _begin_or_find(self, new: NewRound) -> RoundRecord:
        try:
            return await self._begin(new)
        except (MachineBusyError, NotReadyError):
            if new.idempotency_key is None:
                raise
            earlier = await self._store.rounds.find(new.idempotency_key, new.fingerprint)
            if earlier is None:
                raise
            return earlier

    async def _begin(self, new: NewRound) -> RoundRecord:
        served = await self._served(new)
        record = await self._operation.reserve(lambda: self._store.rounds.begin(new))
        if record.replayed:
            return record
        runner = self._make_runner(record.id, Round(new.plan, served, self._cleared))
        self._runner = runner
        runner.command(RoundCommand.START)
        return record

    def _make_runner(self, round_id: str, round_: Round) -> RoundRunner:
        def kept() -> None:
            if self._runner is not None and self._runner.round_id == round_id:
                self._runner = None

        return RoundRunner(round_id, round_, self._operation, self._store, kept)

    def command(self, round_id: str, command: RoundCommand) -> None:
        """Give a command to the round under way.

        Raises:
            RoundNotUnderWayError: it is over, or there is no such round.
            UnexpectedRoundEvent: its state does not take the command; nothing has changed.
        """
        runner = self._under_way
        if runner is None or runner.round_id != round_id:
            raise RoundNotUnderWayError(f"round {round_id} is not under way; {self._what_is()}")
        runner.command(command)

    def _what_is(self) -> str:
        return "none is" if self._under_way is None else f"round {self._under_way.round_id} is"

    # Guests

    async def release(self, guest: str, released_by: str, reason: str) -> ReleaseRecord:
        """Release a guest's waiting glass; who did so and why is recorded first.

        Raises:
            RoundNotUnderWayError: no glass of the guest waits for it.
            StoreError: it could not be written; the glass keeps waiting.
        """
        runner, glass = self._under_way, self._waiting(guest)
        if runner is None or glass is None:
            raise RoundNotUnderWayError(
                f"no glass of {guest} waits for a release; {self._what_is()} under way"
            )
        new = NewRelease(guest, runner.round_id, glass, released_by, reason)
        record = await self._store.rounds.release(new)
        with suppress(UnexpectedRoundEvent):  # skipped or stopped meanwhile
            runner.release(guest)
        return record

    def _waiting(self, guest: str) -> int | None:
        runner = self._under_way
        progress = None if runner is None else runner.progress
        if progress is None or progress.state is not RoundState.AWAITING_RELEASE or progress.guest != guest:
            return None
        return progress.glass

    async def _served(self, new: NewRound) -> list[Served]:
        """What guests had within the window of the plan's limit, on the loop's clock."""
        if new.plan.limit is None:
            return []
        now, now_s = datetime.now(UTC), asyncio.get_running_loop().time()
        records = await self._store.rounds.served(now - timedelta(seconds=new.plan.limit.window_s))
        return [item.on_clock(now, now_s) for item in records]
