"""Reading, putting and retiring what the records keep by id: the same for liquids, glasses and recipes."""

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
    """The answer to a reading: the view with its tag, or 304 where the client has it already."""
    unchanged = wanted.unchanged(view)
    if unchanged is not None:
        return unchanged
    response.headers["ETag"] = view.etag
    return view


async def found(reading: Awaitable[F]) -> F | None:
    """What is read, None where it is not in the records."""
    try:
        return await reading
    except UnknownRecordError:
        return None


async def put(kept: Items[T], item: T, view: Callable[[T], V], wanted: Preconditions) -> V:
    """Add or change an item as far as the preconditions allow.

    The answer carries its tag in the body alone: RFC 9110, 9.3.4 keeps the header for what was stored as it
    was sent.

    Raises:
        ProblemError: the preconditions do not hold.
        RecordsError: the records refuse.
    """
    seen = await found(kept.get(item.id))
    return view(await kept.put(item, wanted.expected(seen, view)))


async def retire(kept: Items[T], item_id: str, view: Callable[[T], V], wanted: Preconditions) -> Response:
    """Take an item out of use as far as the preconditions allow.

    Raises:
        ProblemError: the preconditions do not hold.
        RecordsError: there is none, or the records refuse.
    """
    seen = await kept.get(item_id)
    await kept.retire(item_id, wanted.expected(seen, view))
    return Response(status_code=204)
