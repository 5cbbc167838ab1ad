"""Reading, putting and retiring items by id: the same for liquids, glasses and recipes."""

from collections.abc import Awaitable, Callable
from typing import TypeVar

from fastapi import Response

from tarewell.menu.values import Glass, Liquid, Recipe
from tarewell.records.errors import UnknownRecordError
from tarewell.records.items import Items

from .etags import Preconditions
from .schemas import Tagged

T = TypeVar("T", Liquid, Glass, Recipe)
F = TypeVar("F")
V = TypeVar("V", bound=Tagged)


def shown(view: V, wanted: Preconditions, response: Response) -> V | Response:
    """The response to a read: the view with its tag, or 304 where the client already has it."""
    unchanged = wanted.unchanged(view)
    if unchanged is not None:
        return unchanged
    response.headers["ETag"] = view.etag
    return view


async def found(reading: Awaitable[F]) -> F | None:
    """The result of a read, None where the item is not in the records."""
    try:
        return await reading
    except UnknownRecordError:
        return None


async def put(kept: Items[T], item: T, view: Callable[[T], V], wanted: Preconditions) -> V:
    """Add or change an item if the preconditions hold.

    The response carries its tag in the body only: RFC 9110, 9.3.4 reserves the header for items stored as
    sent.

    Raises:
        ProblemError: the preconditions do not hold.
        RecordsError: the records refuse.
    """
    seen = await found(kept.get(item.id))
    return view(await kept.put(item, wanted.expected(seen, view)))


async def retire(kept: Items[T], item_id: str, view: Callable[[T], V], wanted: Preconditions) -> Response:
    """Retire an item if the preconditions hold.

    Raises:
        ProblemError: the preconditions do not hold.
        RecordsError: there is none, or the records refuse.
    """
    seen = await kept.get(item_id)
    await kept.retire(item_id, wanted.expected(seen, view))
    return Response(status_code=204)
