"""Errors of the records, each with its cure, and the translation of SQLite's own errors."""

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy.exc import DBAPIError

from tarewell.menu.checks import Fault


class RecordsError(Exception):
    """Any error of the records."""


class StoreError(RecordsError):
    """The database file cannot be used as it is; nothing was left half done."""


class RejectedError(StoreError):
    """SQLite rejected the data (a constraint, a type): a retry cannot help."""


class NotADatabaseError(StoreError):
    """The file is not an SQLite database, or belongs to another program."""


class NewerDatabaseError(StoreError):
    """The database was written by a newer version of the program."""


class MigrationError(StoreError):
    """The database could not be upgraded and is unchanged."""


class DiskFullError(StoreError):
    """The disk is full."""


class ReadOnlyError(StoreError):
    """The database, or its directory, may not be written."""


class DamagedError(StoreError):
    """The file is damaged and can no longer be read in full."""


class StoreInUseError(StoreError):
    """Another process holds the database or the machine."""


class IdempotencyConflict(RecordsError):  # noqa: N818 - it names what happened
    """The idempotency key was used before for another request: for the pour, or other `what`, `owner_id`."""

    def __init__(self, key: str, owner_id: str, what: str = "pour") -> None:
        super().__init__(
            f"the idempotency key {key!r} was used before, for {what} {owner_id} with other contents; "
            "send a new key with a new request"
        )
        self.key = key
        self.owner_id = owner_id
        self.what = what


class UnknownRecordError(RecordsError, LookupError):
    """There is no such pour, round, order, liquid, glass, recipe, channel or bottle."""


class PourOverError(RecordsError):
    """The pour already has an outcome, and history is never changed."""


class RoundOverError(RecordsError):
    """The round already has an outcome, and history is never changed."""


class BarClosedError(RecordsError):
    """The bar takes no orders now."""


class FaultyError(RecordsError, ValueError):
    """A value with faults; `faults` has all of them with their places."""

    def __init__(self, what: str, faults: Sequence[Fault]) -> None:
        super().__init__(f"{what} cannot be kept: " + "; ".join(map(_shown, faults)))
        self.faults = tuple(faults)


def _shown(fault: Fault) -> str:
    return f"{fault.pointer}: {fault.message}" if fault.pointer else fault.message


class InUseError(RecordsError):
    """The item is retired, or cannot be retired or changed while something uses it."""


class RetiredLiquidError(InUseError):
    """The liquid is retired, or cannot be retired or changed now."""


class ChannelTakenError(RecordsError):
    """Another bottle is mounted on the channel."""


class ChangedMeanwhileError(RecordsError):
    """Somebody else changed the item after the caller had read it; nothing was written."""

    def __init__(self, what: str) -> None:
        super().__init__(f"{what} was changed by somebody else meanwhile; read it again, then change it")


_BY_CODE: dict[int, tuple[type[StoreError], str]] = {
    sqlite3.SQLITE_NOTADB: (
        NotADatabaseError,
        "is not an SQLite database; name another file, or move this one away to start a new database",
    ),
    sqlite3.SQLITE_CORRUPT: (
        DamagedError,
        "is damaged; stop the program, keep the file for inspection and restore the last backup",
    ),
    sqlite3.SQLITE_FULL: (
        DiskFullError,
        "cannot grow, the disk is full; free some space, then try again",
    ),
    sqlite3.SQLITE_READONLY: (
        ReadOnlyError,
        "may not be written; check that the file still exists and that the program's user may write the file "
        "and its directory",
    ),
    sqlite3.SQLITE_CANTOPEN: (
        StoreError,
        "cannot be opened; check that its directory exists and that the program's user may write there",
    ),
    sqlite3.SQLITE_BUSY: (
        StoreInUseError,
        "is locked by another process; end the other program that has it open, then try again",
    ),
    sqlite3.SQLITE_IOERR: (
        StoreError,
        "could not be read or written; check the disk or memory card and its space, then try again",
    ),
}


def blames_the_file(error: BaseException) -> bool:
    """Whether SQLite blamed the file, the disk or another process rather than the statement."""
    orig = error.orig if isinstance(error, DBAPIError) else error
    return isinstance(orig, sqlite3.Error) and _primary_code(orig) in _BY_CODE


def _primary_code(error: sqlite3.Error) -> int:
    code: int = getattr(error, "sqlite_errorcode", 0)
    return code & 0xFF  # the low byte; the others refine the same result


def store_error(path: Path, error: sqlite3.Error) -> StoreError:
    """The typed error, with its cure, for what SQLite reported about the file at `path`."""
    kind, cure = _BY_CODE.get(
        _primary_code(error), (RejectedError, "refused an operation; nothing was changed by it")
    )
    return kind(f"the database {path} {cure} (SQLite: {error})")


@contextmanager
def translated(path: Path) -> Iterator[None]:
    """Raise `StoreError` and its subclasses for errors of SQLite and SQLAlchemy within the block."""
    try:
        yield
    except DBAPIError as error:
        if isinstance(error.orig, sqlite3.Error):
            raise store_error(path, error.orig) from error
        raise
    except sqlite3.Error as error:
        raise store_error(path, error) from error
