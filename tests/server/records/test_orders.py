"""Orders in the records: each key once, nothing lost, and what a change from outside shows."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, suppress
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import create_engine
from sqlalchemy.orm import Session

from records_samples import MACHINE, RECIPE, VERSION, set_up
from round_steps import glasses
from tarewell.orders.states import OrderEvent, OrderEventKind, OrderState, UnexpectedOrderEvent
from tarewell.records.errors import IdempotencyConflict
from tarewell.records.ids import IdSource
from tarewell.records.order_changes import (
    change_order,
    give_up_orders,
    open_service,
    place_order,
    take_orders,
    tell_order,
)
from tarewell.records.order_rows import load_orders
from tarewell.records.order_values import NewOrder, OrderRecord
from tarewell.records.store import Store
from tarewell.records.tables import Base
from tarewell.records.transaction import Author, Transaction
from tarewell.rounds.feasible import Wanted
from tarewell.rounds.plan import OrderMark, RoundPlan

NOW = datetime(2031, 3, 14, 20, 0, tzinfo=UTC)
K = OrderEventKind
(STILL,) = glasses("still")
BY_GUEST = (K.POUR_NEXT, K.LATER, K.TAKE_BACK, K.SEND_BACK, K.COLLECT)


def new_order(recipe_id: str = RECIPE.id, key: str | None = None) -> NewOrder:
    mark = None if key is None else f"print of {recipe_id}"
    wanted = Wanted(recipe_id, guest="F12")
    return NewOrder(wanted, "Second Bell", 7.9, True, 30.0, 6.5, "guest", key, mark)


@dataclass
class Desk:
    """Orders in a database in memory, and one round after the other."""

    session: Session
    ids: IdSource = field(default_factory=IdSource)
    by_key: dict[str, tuple[str, str]] = field(default_factory=dict)
    placed: list[str] = field(default_factory=list)
    rounds: int = 0
    in_round: list[str] = field(default_factory=list)

    @property
    def transaction(self) -> Transaction:
        return Transaction(self.session, Author(MACHINE, VERSION, self.ids), NOW)

    def orders(self) -> list[OrderRecord]:
        return load_orders(self.session)

    def place(self, key: str | None, recipe_id: str) -> None:
        earlier = None if key is None else self.by_key.get(key)
        if earlier is not None and earlier[1] != recipe_id:
            with pytest.raises(IdempotencyConflict):
                place_order(self.transaction, new_order(recipe_id, key))
            return
        made = place_order(self.transaction, new_order(recipe_id, key))
        assert made.replayed == (earlier is not None)
        if earlier is not None:
            assert made.id == earlier[0]
            return
        self.placed.append(made.id)
        if key is not None:
            self.by_key[key] = (made.id, recipe_id)

    def change(self, index: int, kind: OrderEventKind) -> None:
        if self.placed:
            order_id = self.placed[index % len(self.placed)]
            reason = "it is out" if kind is K.SEND_BACK else None
            with suppress(UnexpectedOrderEvent):
                change_order(self.transaction, order_id, OrderEvent(kind, reason))

    def begin_round(self) -> None:
        """With all that wait; the round before is over then."""
        self.end_round()
        waiting = [each for each in self.orders() if each.standing.state is OrderState.WAITING][:3]
        if waiting:
            marked = tuple(replace(STILL, order=OrderMark(each.id, each.number)) for each in waiting)
            take_orders(self.transaction, f"round {self.rounds}", RoundPlan(marked, {}))
            self.in_round = [each.id for each in waiting]

    def tell(self, glass: int, kind: OrderEventKind) -> None:
        tell_order(self.transaction, f"round {self.rounds}", glass, kind)

    def end_round(self) -> None:
        give_up_orders(self.transaction, f"round {self.rounds}")
        self.in_round, self.rounds = [], self.rounds + 1

    def check(self) -> None:
        orders = self.orders()
        assert [each.id for each in orders] == self.placed, "none is lost, and each once"
        assert [each.number for each in orders] == list(range(1, len(orders) + 1))
        taken = [
            each.id for each in orders if each.standing.state in (OrderState.IN_ROUND, OrderState.POURING)
        ]
        assert set(taken) <= set(self.in_round)
        places = [each.standing.place for each in orders if each.standing.state is OrderState.WAITING]
        assert len(set(places)) == len(places), "the queue has an order"


@pytest.fixture(scope="module")
def memory() -> Iterator[Session]:
    engine = create_engine("sqlite://")
    Base.metadata.create_all(engine)
    with Session(engine) as session:
        yield session
    engine.dispose()


KEYS = st.sampled_from([None, "a", "b"])
STEPS = st.one_of(
    st.tuples(st.just("place"), KEYS, st.sampled_from(["still", "strong"])),
    st.tuples(st.just("change"), st.integers(0, 5), st.sampled_from(BY_GUEST)),
    st.tuples(st.just("begin_round")),
    st.tuples(
        st.just("tell"),
        st.integers(0, 2),
        st.sampled_from([K.POUR_BEGUN, K.GLASS_COMPLETE, K.GLASS_SKIPPED, K.GLASS_GIVEN_UP]),
    ),
    st.tuples(st.just("end_round")),
)


@given(st.lists(STEPS, max_size=15))
def test_each_key_places_one_order_and_none_is_lost_or_in_two_rounds(
    memory: Session, steps: list[tuple[str, ...]]
) -> None:
    desk = Desk(memory)
    open_service(desk.transaction, "Second night", guests_may_order=True)
    try:
        for name, *given_ in steps:
            getattr(desk, name)(*given_)
            desk.check()
    finally:
        memory.rollback()


async def place(store: Store) -> OrderRecord:
    await set_up(store)
    await store.orders.open_service("Second night", guests_may_order=True)
    return await store.orders.place(new_order())


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ("UPDATE drink_order SET guest = 'C3'", "drink_order"),
        ("UPDATE drink_order_state SET place = 0", "drink_order_state"),
        (
            "INSERT INTO drink_order_state SELECT 99, machine_id, at, order_id, 'ready', 1, NULL, NULL, NULL "
            "FROM drink_order_state",
            "no event covers 99 in drink_order_state",
        ),
    ],
)
async def test_a_change_from_outside_is_found(store: Store, path: Path, change: str, where: str) -> None:
    await place(store)
    assert (await store.journal.verify()).intact
    with closing(sqlite3.connect(path)) as connection, connection:
        for table in ("drink_order", "drink_order_state"):
            connection.execute(f"DROP TRIGGER {table}_no_update")
        connection.execute(change)
    fault = (await store.journal.verify()).fault
    assert fault is not None
    assert where in fault.message


async def test_an_order_is_what_was_planned_then(store: Store) -> None:
    placed = await place(store)
    await store.recipes.put(replace(RECIPE, name="Another", price=9.0))
    again = await store.orders.get(placed.id)
    assert again == placed
    assert (again.name, again.price, again.wanted) == ("Second Bell", 6.5, Wanted(RECIPE.id, guest="F12"))
