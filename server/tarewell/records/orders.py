"""The public interface to orders: services, the guests' link, orders and their queue."""

from secrets import compare_digest

from sqlalchemy.orm import Session

from tarewell.orders.states import IN_LINE, OrderEvent

from .engine import Database
from .errors import UnknownRecordError
from .idempotency import earlier_id
from .order_changes import (
    change_order,
    close_service,
    end_guest_link,
    let_guests_order,
    make_guest_link,
    open_service,
    place_order,
)
from .order_rows import load_orders, newest_service, open_service_of, order_record
from .order_tables import OrderRow, OrderStateRow
from .order_values import NewOrder, OrderRecord, Service
from .writer import Writes


class OrderRecords:
    """The store's services and orders. What changes them is said in `order_changes`."""

    def __init__(self, database: Database, writes: Writes) -> None:
        self._database = database
        self._writes = writes

    # Services

    async def service(self) -> Service | None:
        """The service that is open, else the last one; None: there was none yet."""
        return await self._database.read(newest_service)

    async def admits(self, key: str) -> bool:
        """Whether this is the key of the guests' link of the open service. Takes the same time for every
        wrong key.

        Raises:
            StoreError: the records cannot be read.
        """
        service = await self.service()
        right = "" if service is None or service.link_key is None else service.link_key
        return compare_digest(key.encode(), right.encode()) and right != ""

    async def open_service(self, title: str, guests_may_order: bool) -> Service:
        """Open a service; see `order_changes.open_service`."""
        return await self._writes.write(open_service, title, guests_may_order)

    async def close_service(self) -> Service:
        """Close it; see `order_changes.close_service`."""
        return await self._writes.write(close_service)

    async def let_guests_order(self, may_order: bool) -> Service:
        """Let guests order, or no longer."""
        return await self._writes.write(let_guests_order, may_order)

    async def make_link(self) -> Service:
        """Make a new link for guests; an earlier one ends."""
        return await self._writes.write(make_guest_link)

    async def end_link(self) -> Service:
        """End the link for guests."""
        return await self._writes.write(end_guest_link)

    # Orders

    async def place(self, new: NewOrder) -> OrderRecord:
        """Place an order; see `order_changes.place_order`."""
        return await self._writes.write(place_order, new)

    async def change(self, order_id: str, event: OrderEvent) -> OrderRecord:
        """Move, take back, send back or collect an order; see `order_changes.change_order`."""
        return await self._writes.write(change_order, order_id, event)

    async def find(self, key: str, fingerprint: str | None) -> OrderRecord | None:
        """The order that this key placed; None if the key was never used.

        Raises:
            IdempotencyConflict: the key came with another fingerprint.
        """

        def read(session: Session) -> OrderRecord | None:
            earlier = earlier_id(session, OrderRow, key, fingerprint, "order")
            return None if earlier is None else order_record(session, earlier)

        return await self._database.read(read)

    async def get(self, order_id: str) -> OrderRecord:
        """One order.

        Raises:
            UnknownRecordError: there is none of that id.
        """
        return await self._database.read(lambda session: order_record(session, order_id))

    async def of_service(self, service_id: str) -> list[OrderRecord]:
        """All orders of a service, by number."""
        return await self._database.read(
            lambda session: load_orders(session, OrderRow.service_id == service_id)
        )

    async def in_line(self, service_id: str) -> list[OrderRecord]:
        """The orders of a service that are still to be poured, by number."""
        return await self._database.read(
            lambda session: load_orders(
                session, OrderRow.service_id == service_id, OrderStateRow.state.in_(IN_LINE)
            )
        )

    async def numbered(self, numbers: list[int]) -> list[OrderRecord]:
        """The orders of these numbers in the open service, in the order asked for.

        Raises:
            UnknownRecordError: no service is open, or it has no order of a number.
        """

        def read(session: Session) -> list[OrderRecord]:
            service = open_service_of(session)
            found = {
                order.number: order
                for order in load_orders(
                    session, OrderRow.service_id == service.id, OrderRow.number.in_(numbers)
                )
            }
            for number in numbers:
                if number not in found:
                    raise UnknownRecordError(
                        f"the service {service.title!r} has no order {number}; look at the list of orders"
                    )
            return [found[number] for number in numbers]

        return await self._database.read(read)
