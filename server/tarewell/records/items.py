"""The public interface to liquids, glasses and recipes: read here, changed by the writer."""

from typing import Generic, TypeVar

from tarewell.menu.values import Glass, Liquid, Recipe

from .catalogue import ANY, Catalogue, Unchecked
from .changes import put_item, retire_item
from .engine import Database
from .writer import Writes

T = TypeVar("T", Liquid, Glass, Recipe)


class Items(Generic[T]):
    """One kind of item in the store. `expected` is the item as the caller saw it, None for none: if it
    differs at the moment of writing, nothing is written."""

    def __init__(self, catalogue: Catalogue[T], database: Database, writes: Writes) -> None:
        self._catalogue: Catalogue[T] = catalogue
        self._database = database
        self._writes = writes

    async def all(self, retired: bool = False) -> list[T]:
        """All by name, with the retired ones if `retired`."""
        return await self._database.read(lambda session: self._catalogue.all(session, retired))

    async def get(self, item_id: str) -> T:
        """One item, retired or not.

        Raises:
            UnknownRecordError: there is none of that id.
        """
        return await self._database.read(lambda session: self._catalogue.get(session, item_id))

    async def put(self, item: T, expected: T | Unchecked | None = ANY) -> T:
        """Add or change an item.

        Raises:
            RecordsError: as `Catalogue.put` does, or it could not be written.
        """
        await self._writes.write(put_item, item, expected)
        return item

    async def retire(self, item_id: str, expected: T | Unchecked | None = ANY) -> None:
        """Retire an item; its history stays.

        Raises:
            RecordsError: as `Catalogue.retire` does, or it could not be written.
        """
        await self._writes.write(retire_item, self._catalogue.kind, item_id, expected)
