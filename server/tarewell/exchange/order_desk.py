"""The order desk: orders as people place them, planned here, and the line as it is now."""

from dataclasses import dataclass

from tarewell.orders.line import InLine, line_of
from tarewell.records.order_values import NewOrder, OrderRecord
from tarewell.records.store import Store
from tarewell.rounds.feasible import Wanted

from .client import MachineClient
from .planning_config import PlanningConfig
from .round_planning import RoundPlanner


@dataclass(frozen=True, slots=True)
class OrderRequest:
    """A glass as wanted. `origin` is "guest" for one that comes by the guests' link."""

    wanted: Wanted
    origin: str
    key: str | None = None
    fingerprint: str | None = None


class OrderNotPossibleError(Exception):
    """The drink cannot be poured now. `name` is the drink's, the message says what to do at the machine."""

    def __init__(self, name: str, message: str) -> None:
        super().__init__(message)
        self.name = name


class OrderDesk:
    """Places orders, and tells the line by the records and by the round under way."""

    def __init__(
        self, store: Store, machine: MachineClient, planner: RoundPlanner, config: PlanningConfig
    ) -> None:
        self._store = store
        self._machine = machine
        self._planner = planner
        self._config = config

    async def place(self, request: OrderRequest) -> OrderRecord:
        """Place an order. A key used before returns its order, marked `replayed`.

        Raises:
            OrderNotPossibleError: the drink cannot be poured now.
            MenuError: a recipe that does not exist, or a wish that cannot mean anything.
            BarClosedError: the bar takes no orders now.
            IdempotencyConflict: the key belongs to another request.
            StoreError: the records cannot be written; nothing was ordered.
        """
        if request.key is not None:
            earlier = await self._store.orders.find(request.key, request.fingerprint)
            if earlier is not None:
                return earlier
        found = await self._planner.check([request.wanted])
        if found.short:
            (short,) = found.short
            raise OrderNotPossibleError(short.drink.name, "; ".join(short.reasons))
        (glass,) = found.glasses
        drink = glass.drink
        return await self._store.orders.place(
            NewOrder(
                request.wanted,
                drink.name,
                drink.strength.ethanol_g,
                drink.strength_known,
                found.time_s,
                drink.price,
                request.origin,
                request.key,
                request.fingerprint,
            )
        )

    async def line(self, service_id: str) -> dict[str, InLine]:
        """The orders of a service that are still to be poured, in their order, by id.

        Raises:
            StoreError: the records cannot be read.
        """
        waiting = await self._store.orders.in_line(service_id)
        served, now_s = await self._planner.served()
        progress = self._machine.state.round
        left_s = 0.0 if progress is None else progress.remaining_s
        glasses_s = [] if progress is None else [glass.takes_s for glass in progress.glasses]
        queued = (order.queued for order in waiting)
        return line_of(queued, left_s, glasses_s, served, now_s, self._config.limit)
