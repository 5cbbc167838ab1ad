"""One process owns the machine: only it may close an open pour as interrupted."""

import fcntl
import os
from pathlib import Path

from .errors import StoreError, StoreInUseError


class Ownership:
    """An advisory lock on a file beside the database, released by the system when the process ends.

    Not on the database file itself: closing another handle of it would drop SQLite's own locks.
    """

    def __init__(self, database: Path) -> None:
        self._path = database.with_name(database.name + ".lock")
        self._descriptor: int | None = None

    def take(self) -> None:
        """Become the owner; may be repeated.

        Raises:
            StoreInUseError: another process is.
            StoreError: the lock file cannot be written.
        """
        if self._descriptor is not None:
            return
        try:
            descriptor = os.open(self._path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o644)
        except OSError as error:
            raise StoreError(
                f"the lock file {self._path} cannot be opened ({error}); check that the program's user may "
                "write in that directory"
            ) from error
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            os.close(descriptor)
            raise StoreInUseError(
                f"another process runs the machine with this database ({self._path} is locked); end it first "
                "or give this one a database of its own"
            ) from error
        self._descriptor = descriptor

    def release(self) -> None:
        """Give up ownership; without it nothing happens."""
        if self._descriptor is not None:
            os.close(self._descriptor)
            self._descriptor = None
