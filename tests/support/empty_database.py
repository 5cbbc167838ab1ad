"""A database as the program makes it, copied instead of made, so that not every test runs all migrations."""

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from tarewell.records.migrate import upgrade


@cache
def _migrated() -> bytes:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "empty.db"
        upgrade(path)
        return path.read_bytes()


def copy_empty(path: Path) -> Path:
    """Put an empty database of the newest schema at `path`; returns that."""
    path.write_bytes(_migrated())
    return path
