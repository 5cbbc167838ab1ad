"""Upgrades a database to the program's schema, all or nothing.

The driver runs schema changes outside its transactions unless BEGIN is sent by hand, and changing a table
(a copy, then a rename) with foreign keys enforced would delete the rows that refer to it. So migrations run
on an engine of their own, in one BEGIN IMMEDIATE, without enforcement; the keys are checked before COMMIT.
"""

import sqlite3
from dataclasses import dataclass
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine, NullPool, create_engine, event
from sqlalchemy.exc import DBAPIError

from .backup import back_up, backup_path, newest_backup
from .engine import BUSY_TIMEOUT_MS, database_url, send_begin
from .errors import (
    MigrationError,
    NewerDatabaseError,
    StoreError,
    blames_the_file,
    translated,
)
from .revision import migrations_dir, revision_of


@dataclass(frozen=True, slots=True)
class UpgradeResult:
    """Schema revision before (None: the database is new) and after, and the backup if one was made."""

    before: str | None
    after: str
    backup: Path | None


def migration_engine(path: Path) -> Engine:
    """An engine whose transactions hold schema changes too; foreign keys are not enforced on it."""
    engine = create_engine(database_url(path), connect_args={"isolation_level": None}, poolclass=NullPool)

    @event.listens_for(engine, "connect")
    def set_pragmas(connection: sqlite3.Connection, _record: object) -> None:
        connection.execute(f"PRAGMA busy_timeout = {BUSY_TIMEOUT_MS}")
        connection.execute("PRAGMA foreign_keys = OFF")
        connection.execute("PRAGMA synchronous = FULL")

    send_begin(engine)
    return engine


def upgrade(path: Path, scripts: Path | None = None) -> UpgradeResult:
    """Create the database at `path` or upgrade it to the newest schema; blocks.

    An older database is backed up beside itself first. `scripts` replaces the program's own migrations.

    Raises:
        NewerDatabaseError: a newer program wrote it; the message names a matching backup, if there is one.
        NotADatabaseError: not an SQLite file, or another program's.
        MigrationError: a migration failed; the database is as it was, and no backup is kept.
        StoreError: the file or the backup could not be opened or written.
    """
    config = Config()
    config.set_main_option("script_location", str(scripts or migrations_dir()).replace("%", "%%"))
    directory = ScriptDirectory.from_config(config)
    head = directory.get_current_head()
    if head is None:
        raise StoreError(f"there are no migrations in {directory.dir}; reinstall the program")
    existed = path.exists()
    before = revision_of(path) if existed else None
    known = frozenset(script.revision for script in directory.walk_revisions())
    if before is not None and before not in known:
        raise NewerDatabaseError(_newer_message(path, before, newest_backup(path, known)))
    if before == head:
        return UpgradeResult(before, head, None)
    backup = None
    if before is not None:
        backup = backup_path(path, before)
        back_up(path, backup)
    try:
        _migrate(path, config)
    except BaseException:
        if backup is not None:
            backup.unlink()  # the database is untouched, and a restarting service must not fill the disk
        if not existed and path.exists() and path.stat().st_size == 0:
            path.unlink()
        raise
    return UpgradeResult(before, head, backup)


def _migrate(path: Path, config: Config) -> None:
    with translated(path):
        engine = migration_engine(path)
        with engine.begin() as connection:
            config.attributes["connection"] = connection
            try:
                command.upgrade(config, "head")
            except Exception as error:
                if blames_the_file(error):
                    raise
                reason = error.orig if isinstance(error, DBAPIError) else error
                raise MigrationError(
                    f"the database {path} could not be upgraded and is unchanged: {reason}; "
                    "keep using the previous program version and report this message"
                ) from error
            _check_foreign_keys(path, connection)


def _check_foreign_keys(path: Path, connection: Connection) -> None:
    broken = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
    if broken:
        table, rowid, parent, _ = broken[0]
        raise MigrationError(
            f"the database {path} could not be upgraded and is unchanged: after the migration "
            f"{len(broken)} rows refer to missing rows, the first is row {rowid} of {table}, which names a "
            f"missing {parent}; keep using the previous program version and report this message"
        )


def _newer_message(path: Path, revision: str, backup: Path | None) -> str:
    message = (
        f"the database {path} was written by a newer version of the program (its schema {revision} is not "
        "known here); install that version or a later one"
    )
    if backup is None:
        return message
    return (
        f"{message}, or go back to the state of the backup {backup}: move {path} away together with its -wal "
        "and -shm files and copy the backup into its place"
    )
