"""The values of orders in the records. Times are aware and in UTC."""

from dataclasses import dataclass, field
from datetime import datetime

from tarewell.orders.line import Queued
from tarewell.orders.states import OrderStanding
from tarewell.rounds.feasible import Wanted
from tarewell.rounds.guests import Planned


@dataclass(frozen=True, slots=True)
class Service:
    """A service of the bar: orders are numbered within it. `link_key` opens the guests' menu (None: no link);
    it belongs into no log and no event."""

    id: str
    title: str
    opened_at: datetime
    guests_may_order: bool
    link_key: str | None = field(default=None, repr=False)
    closed_at: datetime | None = None

    @property
    def is_open(self) -> bool:
        """Whether orders are taken."""
        return self.closed_at is None


@dataclass(frozen=True, slots=True)
class NewOrder:
    """An order to place: the glass as wanted, and its drink as planned now. `origin` is "guest" for one that
    comes by the guests' link. An idempotency key comes with a fingerprint of the request."""

    wanted: Wanted
    name: str
    ethanol_g: float
    strength_known: bool
    takes_s: float | None
    price: float | None
    origin: str
    idempotency_key: str | None = None
    fingerprint: str | None = None


@dataclass(frozen=True, slots=True)
class OrderRecord:
    """An order: what was wanted, as planned then, and how it stands since `since`. `replayed` marks the
    answer to a repeated request."""

    id: str
    service_id: str
    number: int
    created_at: datetime
    origin: str
    wanted: Wanted
    name: str
    ethanol_g: float
    strength_known: bool
    takes_s: float | None
    price: float | None
    standing: OrderStanding
    since: datetime
    replayed: bool = False

    @property
    def queued(self) -> Queued:
        """As the line sees it."""
        planned = Planned(self.wanted.guest, self.ethanol_g, not self.strength_known)
        return Queued(self.id, self.standing, planned, self.takes_s)
