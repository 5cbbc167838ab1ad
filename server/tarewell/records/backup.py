"""Copies of a database that may be open: copying the file of a WAL database loses rows."""

import os
import shutil
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from .errors import StoreError, translated


def back_up(path: Path, target: Path) -> None:
    """Write a complete, consistent copy of the database `path` to the new file `target`.

    The target appears under its name only when it is complete and on the disk.

    Raises:
        StoreError: the target exists, or SQLite could not write it; then no target is left.
    """
    if target.exists():
        raise StoreError(f"{target} already exists; name a new file for the backup")
    part = target.with_name(target.name + ".part")
    part.unlink(missing_ok=True)
    try:
        with (
            translated(path),
            closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=rw", uri=True)) as source,
        ):
            source.execute("VACUUM INTO ?", (str(part),))
        shutil.copymode(path, part)
        _flush(part)
        part.rename(target)
        _flush(target.parent)
    except OSError as error:
        raise StoreError(
            f"the backup {target} cannot be written: {error}; free some space or name another place"
        ) from error
    finally:
        part.unlink(missing_ok=True)


def _flush(path: Path) -> None:
    """Force a file, or the names in a directory, to the disk."""
    descriptor = os.open(path, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def backup_path(path: Path, revision: str) -> Path:
    """The path for a backup of `path`: beside it, with UTC time and schema revision in its name."""
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S%fZ")
    return path.with_name(f"{path.stem}.{stamp}.{revision}.backup{path.suffix}")


def newest_backup(path: Path, revisions: frozenset[str]) -> Path | None:
    """The newest backup beside `path` whose schema is one of `revisions`."""
    found = sorted(path.parent.glob("*.backup" + path.suffix), reverse=True)
    for candidate in found:
        stem, _, revision = candidate.name.removesuffix(".backup" + path.suffix).rpartition(".")
        if stem.rpartition(".")[0] == path.stem and revision in revisions:
            return candidate
    return None
