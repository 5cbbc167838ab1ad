"""The schema revision of a database, and whether it is the newest, without loading the migration library."""

import re
import sqlite3
from contextlib import closing
from pathlib import Path

import tarewell

from .errors import NotADatabaseError, translated
from .tables import APPLICATION_ID

_REVISION = re.compile(r'^(revision|down_revision)\b[^=\n]*= "(\w+)"', re.MULTILINE)


def migrations_dir() -> Path:
    """The directory of the migrations: within an installed package, or in the checkout."""
    package = Path(tarewell.__file__).parent
    packaged = package / "_migrations"
    return packaged if packaged.is_dir() else package.parents[1] / "migrations"


def newest_revision() -> str | None:
    """The revision without a successor; None where there are no migrations."""
    revisions: dict[str, str] = {}
    for script in (migrations_dir() / "versions").glob("*.py"):
        named = dict(_REVISION.findall(script.read_text("utf-8")))
        revisions[named["revision"]] = named.get("down_revision", "")
    return next((revision for revision in revisions if revision not in revisions.values()), None)


def revision_of(path: Path) -> str | None:
    """The schema revision of a database file, None for an empty one.

    Raises:
        NotADatabaseError: not an SQLite file, or another program's.
        StoreError: the file cannot be opened.
    """
    with (
        translated(path),
        closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=rw", uri=True)) as connection,
    ):
        tables = {
            name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        }
        if not tables:
            return None
        (application_id,) = connection.execute("PRAGMA application_id").fetchone()
        if application_id != APPLICATION_ID or "alembic_version" not in tables:
            raise NotADatabaseError(
                f"{path} is an SQLite database of another program; name another file for Tarewell"
            )
        row = connection.execute("SELECT version_num FROM alembic_version").fetchone()
    if row is None:
        raise NotADatabaseError(f"{path} has tables but no schema revision; restore a backup of it")
    return str(row[0])
