"""Common to liquids, glasses and recipes: kept by id, changed, retired, never deleted."""

from abc import ABC, abstractmethod
from dataclasses import replace
from enum import Enum
from typing import Any, ClassVar, Generic, TypeVar

from sqlalchemy import select
from sqlalchemy.dialects.sqlite import insert
from sqlalchemy.orm import Session

from tarewell.menu.checks import Fault
from tarewell.menu.values import Glass, Liquid, Recipe

from .errors import ChangedMeanwhileError, FaultyError, UnknownRecordError
from .menu_rows import journal_values
from .tables import CatalogueRow
from .transaction import Transaction

T = TypeVar("T", Liquid, Glass, Recipe)


class Unchecked(Enum):
    """For a caller without expectations about the stored item."""

    ANY = "any"


ANY = Unchecked.ANY


class Catalogue(ABC, Generic[T]):
    """One kind of item. Items are retired and never deleted, since history names them.

    `expected` is the item as the caller saw it, None for none: if it differs at the moment of writing,
    nothing is written.
    """

    kind: ClassVar[str]
    table: ClassVar[type[CatalogueRow]]

    def all(self, session: Session, retired: bool) -> list[T]:
        """All by name, with the retired ones if `retired`."""
        query = select(self.table).order_by(self.table.name, self.table.id)
        if not retired:
            query = query.where(self.table.active)
        return [self._of(row) for row in session.scalars(query)]

    def get(self, session: Session, item_id: str) -> T:
        """One item, retired or not.

        Raises:
            UnknownRecordError: there is none of that id.
        """
        found = self.find(session, item_id)
        if found is None:
            raise UnknownRecordError(f"there is no {self.kind} {item_id!r} in the records; add it first")
        return found

    def find(self, session: Session, item_id: str) -> T | None:
        """One item, None if there is none of that id."""
        row = session.get(self.table, item_id, populate_existing=True)
        return None if row is None else self._of(row)

    def put(self, transaction: Transaction, item: T, expected: object = ANY) -> T:
        """Add or change an item; pours keep the facts of their time.

        Raises:
            FaultyError: it has faults.
            UnknownRecordError: it names something that does not exist.
            InUseError: it would be retired, or changed in an essential field, while something uses it, or it
                names something retired.
            ChangedMeanwhileError: the stored item is not `expected`.
        """
        before = self.find(transaction.session, item.id)
        require_expected(f"the {self.kind} {item.id[:60]}", before, expected)
        self.change(transaction, before, item)
        return item

    def retire(self, transaction: Transaction, item_id: str, expected: object = ANY) -> T:
        """Retire an item; its history stays.

        Raises:
            UnknownRecordError: there is none of that id.
            InUseError: something uses it.
            ChangedMeanwhileError: the stored item is not `expected`.
        """
        before = self.get(transaction.session, item_id)
        require_expected(f"the {self.kind} {item_id}", before, expected)
        after = replace(before, active=False)
        if before.active:
            self._guard(transaction.session, before, after)
            self._write(transaction, after)
            transaction.append(f"{self.kind}_retired", {"id": item_id})
        return after

    def change(self, transaction: Transaction, before: T | None, item: T) -> None:
        """Replace `before`, which must be the stored item."""
        if faults := self._faults(item):
            raise FaultyError(f"the {self.kind} {item.id[:60]!r}", faults)
        if before == item:
            return
        self._guard(transaction.session, before, item)
        self._write(transaction, item)
        transaction.append(f"{self.kind}_put", journal_values(self._values(item)))

    def _write(self, transaction: Transaction, item: T) -> None:
        values = {**self._values(item), "machine_id": transaction.machine_id}
        statement = insert(self.table).values(values)
        transaction.session.execute(statement.on_conflict_do_update(index_elements=["id"], set_=values))

    @staticmethod
    @abstractmethod
    def _values(item: T) -> dict[str, Any]:
        """Its columns."""

    @staticmethod
    @abstractmethod
    def _of(row: Any) -> T:
        """From its row."""

    @staticmethod
    @abstractmethod
    def _faults(item: T) -> list[Fault]:
        """Its faults."""

    @abstractmethod
    def _guard(self, session: Session, before: T | None, after: T) -> None:
        """Refuse a change to something in use."""


def require_expected(what: str, before: object, expected: object) -> None:
    """Check that the stored item is what the caller saw.

    Raises:
        ChangedMeanwhileError: it is not.
    """
    if expected is not ANY and before != expected:
        raise ChangedMeanwhileError(what)
