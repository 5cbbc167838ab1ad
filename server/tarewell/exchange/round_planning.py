"""Rounds as people request them: planned here from the menu, in grams, then sent to the machine."""

import asyncio
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from tarewell.machine.requests import BeginRound
from tarewell.machine.round_record import NewRound, ReleaseRecord, RoundRecord
from tarewell.menu.errors import MenuError
from tarewell.menu.readiness import judged
from tarewell.menu.values import Menu
from tarewell.records.errors import UnknownRecordError
from tarewell.records.store import Store
from tarewell.rounds.feasible import Feasibility, Wanted, feasible
from tarewell.rounds.guests import Served, counted, held_in_turn
from tarewell.rounds.plan import GlassPlan, OrderMark, RoundPlan
from tarewell.rounds.states import RoundState

from .client import MachineClient
from .planning_config import PlanningConfig


@dataclass(frozen=True, slots=True)
class RoundRequest:
    """Glasses in order, then the orders of these numbers; `allow_short` begins without those that cannot be
    poured."""

    wanted: Sequence[Wanted]
    origin: str
    auto_start: bool = False
    allow_short: bool = False
    key: str | None = None
    fingerprint: str | None = None
    orders: Sequence[int] = ()


@dataclass(frozen=True, slots=True)
class GuestStanding:
    """What was poured for a guest within the window that ends now, in standard drinks.

    `limit` None: no limit is set. `waiting_glass` is the glass of the round under way that waits for a
    release, from 0.
    """

    guest: str
    standard_drinks: float
    limit: float | None
    window_h: float
    waiting_glass: int | None
    releases: Sequence[ReleaseRecord]


@dataclass(frozen=True, slots=True)
class GuestForecast:
    """Standard drinks poured for a guest within the window, and what they come to `after` a round.

    `limit` None: no limit is set; `held`: a glass would wait for a release."""

    guest: str
    before: float
    after: float
    limit: float | None
    held: bool


class RoundNotPossibleError(Exception):
    """Not all glasses can be poured now; `feasibility` says which can."""

    def __init__(self, message: str, feasibility: Feasibility) -> None:
        super().__init__(message)
        self.feasibility = feasibility


class RoundPlanner:
    """Plans from the records and from what the machine's channels need."""

    def __init__(self, store: Store, machine: MachineClient, config: PlanningConfig) -> None:
        self._store = store
        self._machine = machine
        self._config = config

    async def menu(self) -> Menu:
        """The menu with what the channels need before a drink.

        Raises:
            StoreError: the records cannot be read.
        """
        menu = await self._store.menu(self._config.scale_max_g, self._config.dosing)
        return judged(menu, self._machine.state.tubes)

    async def check(self, wanted: Sequence[Wanted], orders: Sequence[int] = ()) -> Feasibility:
        """Which of these glasses, and then of the orders of these numbers, can be poured now, in this order.

        Raises:
            MenuError: a recipe that does not exist, or a wish that cannot mean anything.
            UnknownRecordError: an order that does not exist.
        """
        return feasible(await self.menu(), await self._with_orders(wanted, orders), self._config.small)

    async def _with_orders(self, wanted: Sequence[Wanted], orders: Sequence[int]) -> Sequence[Wanted]:
        if not orders:
            return wanted
        found = await self._store.orders.numbered(list(orders))
        marked = [replace(order.wanted, order=OrderMark(order.id, order.number)) for order in found]
        return [*wanted, *marked]

    async def forecast(self, glasses: Sequence[GlassPlan]) -> list[GuestForecast]:
        """For each guest of these glasses, what was poured and what it comes to with them.

        Raises:
            StoreError: the records cannot be read.
        """
        served, now_s = await self.served()
        limit, each = self._config.limit, self._config.serving_limit(0.0)
        held = held_in_turn(served, [glass.planned for glass in glasses], now_s, limit)
        found = []
        for guest in dict.fromkeys(glass.guest for glass in glasses if glass.guest is not None):
            before = counted(served, guest, now_s, each)
            own = [index for index, glass in enumerate(glasses) if glass.guest == guest]
            more_g = sum(glasses[index].planned.ethanol_g for index in own)
            found.append(
                GuestForecast(
                    guest,
                    before,
                    before + more_g / each.standard_drink_g,
                    None if limit is None else limit.standard_drinks,
                    any(held[index] for index in own),
                )
            )
        return found

    async def begin(self, request: RoundRequest) -> RoundRecord:
        """Begin a round; its intent is committed when this returns. A key used before returns its round.

        Raises:
            RoundNotPossibleError: not all glasses can be poured, or none.
            MenuError: a recipe that does not exist, or a wish that cannot mean anything.
            UnknownRecordError: an order that does not exist.
            UnexpectedOrderEvent: an order that does not wait.
            MachineBusyError: a pour or a round is under way.
            NotReadyError: see the machine's blockers.
            IdempotencyConflict: the key belongs to another request.
            StoreError: the records cannot be written; nothing has begun.
        """
        try:
            plan = await self._plan(request)
        except (RoundNotPossibleError, MenuError, UnknownRecordError):
            if request.key is None:
                raise
            earlier = await self._store.rounds.find(request.key, request.fingerprint)
            if earlier is None:
                raise
            return earlier
        return await self._machine.ask(
            BeginRound(NewRound(plan, request.origin, request.key, request.fingerprint))
        )

    async def _plan(self, request: RoundRequest) -> RoundPlan:
        menu = await self.menu()
        wanted = await self._with_orders(request.wanted, request.orders)
        found = feasible(menu, wanted, self._config.small)
        if not found.glasses or (found.short and not request.allow_short):
            raise RoundNotPossibleError(found.summary, found)
        used = {liquid_id for glass in found.glasses for liquid_id in glass.liquid_ids}
        return RoundPlan(
            found.glasses,
            {liquid_id: menu.liquids[liquid_id] for liquid_id in used if liquid_id in menu.liquids},
            menu.glasses,
            request.auto_start,
            self._config.dosing.min_glass_g,
            self._config.limit,
        )

    # Guests

    async def standing(self, guest: str) -> GuestStanding:
        """What was poured for a guest, and which glass waits."""
        served, now_s = await self.served()
        limit = self._config.limit
        return GuestStanding(
            guest=guest,
            standard_drinks=counted(served, guest, now_s, self._config.serving_limit(0.0)),
            limit=None if limit is None else limit.standard_drinks,
            window_h=self._config.guests_window_h,
            waiting_glass=self._waiting_glass(guest),
            releases=await self._store.rounds.releases(guest),
        )

    async def served(self) -> tuple[list[Served], float]:
        """What was poured for guests within the window that ends now, on the loop's clock; its time now."""
        now, now_s = datetime.now(UTC), asyncio.get_running_loop().time()
        since = now - timedelta(hours=self._config.guests_window_h)
        return [item.on_clock(now, now_s) for item in await self._store.rounds.served(since)], now_s

    def _waiting_glass(self, guest: str) -> int | None:
        progress = self._machine.state.round
        if progress is None or progress.state is not RoundState.AWAITING_RELEASE or progress.guest != guest:
            return None
        return progress.glass
