"""Who is before whom, when each is expected, and for whom the bar looks first."""

import pytest

from tarewell.orders.line import InLine, Queued, line_of
from tarewell.orders.states import OrderStanding, OrderState
from tarewell.rounds.guests import Planned, Served, ServingLimit

UNIT_G = 7.9
"""About 10 ml of ethanol at 0.789 g/ml: a unit of the United Kingdom."""


def waiting(
    id_: str, place: int, guest: str = "F12", ethanol_g: float = 0.0, takes_s: float | None = 30.0
) -> Queued:
    return Queued(id_, OrderStanding(OrderState.WAITING, place), Planned(guest, ethanol_g, False), takes_s)


def in_round(id_: str, glass: int, state: OrderState, takes_s: float | None = 30.0) -> Queued:
    return Queued(id_, OrderStanding(state, 99, None, "r", glass), Planned("C3", 0.0, False), takes_s)


def line(
    *orders: Queued,
    left_s: float | None = 0.0,
    glasses_s: tuple[float | None, ...] = (),
    served: tuple[Served, ...] = (),
    limit: float = 0.0,
) -> dict[str, InLine]:
    kept = ServingLimit(limit, 3600.0, UNIT_G) if limit else None
    return line_of(orders, left_s, glasses_s, served, 1000.0, kept)


def test_glasses_of_the_round_come_before_those_that_wait_and_these_by_place() -> None:
    found = line(
        waiting("late", 8),
        waiting("first", 0),
        in_round("second-glass", 1, OrderState.IN_ROUND),
        in_round("now", 0, OrderState.POURING),
        Queued("done", OrderStanding(OrderState.READY, 1), Planned(None, 0.0, False), 30.0),
    )
    assert list(found) == ["now", "second-glass", "first", "late"]
    assert [each.before for each in found.values()] == [0, 1, 2, 3]
    assert [id_ for id_, each in found.items() if each.is_next] == ["second-glass"]


def test_an_order_is_expected_after_the_round_and_those_before_it() -> None:
    # 100 s for the round; a change of glasses takes 6 s (docs/rounds.md); so the glass before the
    # round's last is done 36 s before its end
    found = line(
        in_round("now", 0, OrderState.POURING),
        in_round("last", 1, OrderState.IN_ROUND),
        waiting("a", 1),
        waiting("b", 2, takes_s=None),
        waiting("c", 3),
        left_s=100.0,
        glasses_s=(30.0, 30.0),
    )
    assert [each.expected_s for each in found.values()] == [64.0, 100.0, 136.0, None, None]
    assert line(waiting("a", 1), left_s=None)["a"].expected_s is None
    assert line(waiting("a", 1))["a"].expected_s == pytest.approx(36.0)


def test_glasses_of_no_order_take_their_time_too() -> None:
    # 100 s are left; the last glass takes 20 s and the change before it 6 s, the one in between 30 s and 6 s
    found = line(
        in_round("first", 0, OrderState.POURING),
        in_round("third", 2, OrderState.IN_ROUND, takes_s=None),
        waiting("a", 1),
        left_s=100.0,
        glasses_s=(30.0, 30.0, 20.0),
    )
    assert [each.expected_s for each in found.values()] == [38.0, 100.0, 136.0]
    unknown = line(in_round("first", 0, OrderState.POURING), left_s=100.0, glasses_s=(30.0, None))
    assert unknown["first"].expected_s is None


def test_the_bar_looks_at_the_glass_that_would_exceed_the_limit_counting_those_before_it() -> None:
    found = line(
        waiting("a", 1, ethanol_g=UNIT_G),
        waiting("b", 2, ethanol_g=UNIT_G),
        waiting("water", 3),
        waiting("other", 4, guest="C3", ethanol_g=UNIT_G),
        served=(Served("F12", 900.0, UNIT_G),),
        limit=2.0,
    )
    assert [id_ for id_, each in found.items() if each.bar_looks] == ["b"]
    assert found["a"].is_next
    held_first = line(waiting("a", 1, ethanol_g=3 * UNIT_G), waiting("b", 2), limit=2.0)
    assert (held_first["a"].bar_looks, held_first["a"].is_next) == (True, False)
    assert not line(waiting("a", 1, ethanol_g=3 * UNIT_G))["a"].bar_looks, "no limit is set"
