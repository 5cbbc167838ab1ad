"""What happens to an order, written as scripts; and no events break its queue."""

from dataclasses import dataclass, field, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from playbook import Playbook
from tarewell.orders.states import (
    IN_LINE,
    OrderEvent,
    OrderEventKind,
    OrderStanding,
    OrderState,
    Places,
    UnexpectedOrderEvent,
    stepped,
)

K = OrderEventKind
WAITING = OrderStanding(OrderState.WAITING, 3)
PLACES = Places(first=1, last=7)
TAKEN = OrderEvent(K.TAKEN, round_id="r-1", glass=2)
IN_ROUND = OrderStanding(OrderState.IN_ROUND, 3, None, "r-1", 2)
POURING, READY = (replace(IN_ROUND, state=state) for state in (OrderState.POURING, OrderState.READY))


@dataclass
class OneOrder:
    """An order in a queue whose other places stay as they are."""

    standing: OrderStanding = WAITING
    places: Places = PLACES
    refused: list[OrderEventKind] = field(default_factory=list)

    def handle(self, event: OrderEvent, now_s: float) -> list[OrderStanding]:
        before, self.standing = self.standing, stepped(self.standing, event, self.places)
        return [] if self.standing == before else [self.standing]


def event(kind: OrderEventKind) -> OrderEvent:
    return OrderEvent(kind)


def test_an_order_is_poured_in_two_legs_and_collected() -> None:
    book = Playbook(OneOrder())
    assert (
        book
        >> TAKEN
        << IN_ROUND
        >> event(K.POUR_BEGUN)
        << POURING
        >> event(K.POUR_BEGUN)
        >> event(K.GLASS_COMPLETE)
        << READY
        >> event(K.COLLECT)
        << replace(READY, state=OrderState.COLLECTED)
    )


def test_an_order_whose_glass_was_given_up_keeps_its_place_and_a_skipped_one_goes_behind() -> None:
    book = Playbook(OneOrder())
    assert book >> TAKEN << IN_ROUND >> event(K.GLASS_GIVEN_UP) << replace(IN_ROUND, state=OrderState.WAITING)
    again = OrderEvent(K.TAKEN, round_id="r-2", glass=0)
    taken = replace(IN_ROUND, round_id="r-2", glass=0)
    behind = replace(taken, state=OrderState.WAITING, place=8)
    assert book >> again << taken >> event(K.POUR_BEGUN) << replace(taken, state=OrderState.POURING)
    assert book >> event(K.GLASS_SKIPPED) << behind


def test_the_bar_moves_an_order_and_sends_it_back_with_a_reason() -> None:
    book = Playbook(OneOrder())
    last, first = replace(WAITING, place=8), replace(WAITING, place=0)
    assert book >> event(K.LATER) << last >> event(K.POUR_NEXT) << first
    sent = replace(first, state=OrderState.SENT_BACK, reason="Gallery Juice is out")
    assert book >> OrderEvent(K.SEND_BACK, "Gallery Juice is out") << sent


@pytest.mark.parametrize("standing", [IN_ROUND, POURING, READY])
@pytest.mark.parametrize("kind", [K.TAKE_BACK, K.SEND_BACK, K.LATER, K.POUR_NEXT, K.TAKEN])
def test_an_order_that_no_longer_waits_is_not_taken_moved_or_ended(
    standing: OrderStanding, kind: OrderEventKind
) -> None:
    with pytest.raises(UnexpectedOrderEvent, match=f"that is {standing.state} does not take {kind}"):
        stepped(standing, event(kind), PLACES)


@given(st.lists(st.builds(OrderEvent, st.sampled_from(K), st.just("why"), st.just("r-1"), st.just(0))))
def test_whatever_happens_only_guest_and_bar_end_an_order_that_was_not_poured(
    events: list[OrderEvent],
) -> None:
    order, taken = OneOrder(), []
    for each in events:
        try:
            order.handle(each, 0.0)
        except UnexpectedOrderEvent:
            continue
        taken.append(each.kind)
    state = order.standing.state
    assert (order.standing.reason is not None) == (state is OrderState.SENT_BACK)
    if state not in IN_LINE:
        assert {K.GLASS_COMPLETE, K.TAKE_BACK, K.SEND_BACK} & set(taken)
