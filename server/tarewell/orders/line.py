"""The line of orders that are still to be poured: who is before whom, and when each is expected."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tarewell.rounds.guests import Planned, Served, ServingLimit, held_in_turn
from tarewell.rounds.progress import CHANGE_S

from .states import IN_LINE, OrderStanding, OrderState


@dataclass(frozen=True, slots=True)
class Queued:
    """An order as the line sees it. `takes_s` is how long its drink takes; None: a flow was never seen."""

    id: str
    standing: OrderStanding
    planned: Planned
    takes_s: float | None


@dataclass(frozen=True, slots=True)
class InLine:
    """An order's place: how many are poured before it, and whether it is the next one; `expected_s` from now,
    None where it is not known. With `bar_looks` it waits for the host, because of the guest's limit."""

    before: int
    is_next: bool
    expected_s: float | None
    bar_looks: bool


def line_of(
    orders: Iterable[Queued],
    round_left_s: float | None,
    glasses_s: Sequence[float | None],
    served: Iterable[Served],
    now_s: float,
    limit: ServingLimit | None,
) -> dict[str, InLine]:
    """The orders that are still to be poured, in their order, by id.

    `round_left_s` is what the round under way still takes, 0 without one, and `glasses_s` what each of its
    glasses takes, with an order or without; None where that is not known.
    """
    line = sorted((order for order in orders if order.standing.state in IN_LINE), key=_turn)
    held = held_in_turn(served, [order.planned for order in line], now_s, limit)
    expected_s = _expected_s(line, round_left_s, glasses_s)
    pouring = sum(order.standing.state is OrderState.POURING for order in line)
    return {
        order.id: InLine(
            before=number,
            is_next=number == pouring and not held[number],
            expected_s=expected_s[number],
            bar_looks=held[number] and order.standing.state is not OrderState.POURING,
        )
        for number, order in enumerate(line)
    }


def _turn(order: Queued) -> tuple[int, int]:
    """Those of the round first, as its glasses come; then those that wait."""
    standing = order.standing
    if standing.state is OrderState.WAITING:
        return 1, standing.place
    return 0, -1 if standing.state is OrderState.POURING else standing.glass or 0


def _expected_s(
    line: Sequence[Queued], round_left_s: float | None, glasses_s: Sequence[float | None]
) -> list[float | None]:
    """Those of the round when their glass is full, the others one after the other from its end."""
    full_s = _full_s(round_left_s, glasses_s)
    found: list[float | None] = []
    at_s = round_left_s
    for order in line:
        if order.standing.state is OrderState.WAITING:
            at_s = None if at_s is None or order.takes_s is None else at_s + order.takes_s + CHANGE_S
            found.append(at_s)
        else:
            found.append(full_s.get(order.standing.glass))
    return found


def _full_s(round_left_s: float | None, glasses_s: Sequence[float | None]) -> dict[int | None, float | None]:
    """When each glass of the round is full, backwards from its end."""
    found: dict[int | None, float | None] = {}
    at_s = round_left_s
    for glass in reversed(range(len(glasses_s))):
        found[glass] = None if at_s is None else max(at_s, 0.0)
        takes_s = glasses_s[glass]
        at_s = None if at_s is None or takes_s is None else at_s - takes_s - CHANGE_S
    return found
