"""Schema changes: all or nothing, with a backup, and never on a database of somebody else.

Which schemas there are and what becomes of their rows is in test_revisions.py.
"""

import asyncio
import re
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from records_samples import COMPLETE, new_pour, open_store, trace
from sample_databases import revisions
from tarewell.records.backup import back_up
from tarewell.records.errors import (
    DiskFullError,
    MigrationError,
    NewerDatabaseError,
    NotADatabaseError,
    StoreError,
)
from tarewell.records.migrate import migrations_dir, upgrade
from tarewell.records.store import Store
from tarewell.records.verify import verify

NEWEST = revisions()[-1]
NEXT, AFTER_NEXT = (f"{int(NEWEST) + more:04}" for more in (1, 2))

HEAD = """
import sqlalchemy as sa
from alembic import op

revision = "{revision}"
down_revision = "{down}"


def upgrade() -> None:
"""
GOOD = """
    op.add_column("liquid", sa.Column("vintage", sa.Integer()))
"""
BREAKS_HALF_WAY = """
    op.create_table("half", sa.Column("id", sa.Integer(), primary_key=True))
    op.execute("UPDATE liquid SET name = 'nothing'")
    op.execute("ALTER TABLE no_such_table ADD COLUMN x")
"""
BREAKS_KEYS = """
    op.execute("DELETE FROM liquid")
"""
REBUILDS_A_PARENT = """
    with op.batch_alter_table("liquid") as batch:
        batch.alter_column("note", existing_type=sa.Text(), nullable=True)
        batch.drop_constraint(op.f("ck_liquid_abv"), type_="check")
"""
FILLS_THE_DISK = """
    op.execute("PRAGMA max_page_count = 60")
    op.create_table("big", sa.Column("data", sa.LargeBinary()))
    op.execute("INSERT INTO big VALUES (zeroblob(1000000))")
"""


@pytest.fixture
def scripts(tmp_path: Path) -> Path:
    target = tmp_path / "with % sign" / "migrations"
    shutil.copytree(migrations_dir(), target, ignore=shutil.ignore_patterns("__pycache__"))
    return target


def add_migration(scripts: Path, body: str, revision: str = NEXT, down: str = NEWEST) -> None:
    (scripts / "versions" / f"{revision}.py").write_text(HEAD.format(revision=revision, down=down) + body)


def dump(path: Path) -> list[str]:
    """Schema and rows as SQL text, the version table included."""
    with closing(sqlite3.connect(path)) as connection:
        return list(connection.iterdump())


def backups(path: Path) -> list[Path]:
    return sorted(path.parent.glob("*.backup*"))


async def fill(path: Path) -> None:
    store = await open_store(path)
    pour = await store.pours.begin(new_pour())
    await store.pours.finish(pour.id, COMPLETE, [], 251.3, trace())
    await store.close()


@pytest.fixture(scope="module")
def filled_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("filled") / "bar.sqlite"
    asyncio.run(fill(made))
    return made


@pytest.fixture
def filled(filled_once: Path, path: Path) -> Path:
    """A database with a finished pour in it, closed."""
    return Path(shutil.copy(filled_once, path))


def test_a_new_database_is_created(path: Path) -> None:
    result = upgrade(path)
    assert (result.before, result.after, result.backup) == (None, NEWEST, None)
    assert upgrade(path).before == NEWEST
    assert backups(path) == []


def test_an_empty_file_counts_as_new(path: Path) -> None:
    path.touch()
    assert upgrade(path).before is None


def test_a_database_that_is_behind_is_backed_up_and_migrated(filled: Path, scripts: Path) -> None:
    before = dump(filled)
    add_migration(scripts, GOOD)
    result = upgrade(filled, scripts)
    assert (result.before, result.after) == (NEWEST, NEXT)
    assert result.backup is not None
    assert backups(filled) == [result.backup]
    assert sorted(dump(result.backup)) == sorted(before)
    assert dump(filled) != before
    assert verify(result.backup).intact
    assert result.backup.stat().st_mode == filled.stat().st_mode


def test_the_backup_holds_rows_that_are_still_in_the_write_ahead_log(filled: Path, scripts: Path) -> None:
    with closing(sqlite3.connect(filled, isolation_level=None)) as other:
        other.execute("INSERT INTO channel (number, machine_id, name) VALUES (7, 'bar', 'late')")
        assert filled.with_name(filled.name + "-wal").stat().st_size > 0
        add_migration(scripts, GOOD)
        backup = upgrade(filled, scripts).backup
    assert backup is not None
    with closing(sqlite3.connect(backup)) as connection:
        assert connection.execute("SELECT count(*) FROM channel WHERE name = 'late'").fetchone() == (1,)


async def test_a_backup_opens_as_a_store(filled: Path, tmp_path: Path) -> None:
    target = tmp_path / "elsewhere.sqlite"
    back_up(filled, target)
    store = await Store.open(target, "bar", "0.1.0")
    assert (await store.journal.verify()).intact
    await store.close()
    with pytest.raises(StoreError, match="already exists"):
        back_up(filled, target)


def test_a_migration_that_fails_half_way_leaves_nothing(filled: Path, scripts: Path) -> None:
    before = dump(filled)
    add_migration(scripts, GOOD)
    add_migration(scripts, BREAKS_HALF_WAY, AFTER_NEXT, NEXT)
    with pytest.raises(MigrationError, match=r"no_such_table.*previous program version"):
        upgrade(filled, scripts)
    assert dump(filled) == before
    assert backups(filled) == []
    assert upgrade(filled).before == NEWEST


def test_a_first_migration_that_fails_leaves_no_file(path: Path, scripts: Path) -> None:
    add_migration(scripts, BREAKS_HALF_WAY)
    with pytest.raises(MigrationError):
        upgrade(path, scripts)
    assert not path.exists()
    assert upgrade(path).before is None


def test_a_migration_that_leaves_rows_without_their_parent_is_undone(filled: Path, scripts: Path) -> None:
    before = dump(filled)
    add_migration(scripts, BREAKS_KEYS)
    with pytest.raises(MigrationError, match="names a missing liquid"):
        upgrade(filled, scripts)
    assert dump(filled) == before


def test_rebuilding_a_table_keeps_the_rows_that_refer_to_it(filled: Path, scripts: Path) -> None:
    add_migration(scripts, REBUILDS_A_PARENT)
    upgrade(filled, scripts)
    with closing(sqlite3.connect(filled)) as connection:
        assert connection.execute("SELECT count(*) FROM dose").fetchone() == (2,)
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
    assert verify(filled).intact


def test_a_migration_that_runs_out_of_disk_leaves_nothing(filled: Path, scripts: Path) -> None:
    before = dump(filled)
    add_migration(scripts, FILLS_THE_DISK)
    with pytest.raises(DiskFullError, match="free some space"):
        upgrade(filled, scripts)
    assert dump(filled) == before
    assert backups(filled) == []


def test_a_newer_database_is_refused_with_the_cure(filled: Path, scripts: Path) -> None:
    add_migration(scripts, GOOD)
    backup = upgrade(filled, scripts).backup
    before = dump(filled)
    with pytest.raises(NewerDatabaseError, match=f"install that version.*{re.escape(str(backup))}"):
        upgrade(filled)
    assert dump(filled) == before


def test_a_newer_database_without_a_fitting_backup_names_none(filled: Path, scripts: Path) -> None:
    add_migration(scripts, GOOD)
    backup = upgrade(filled, scripts).backup
    assert backup is not None
    backup.rename(backup.with_name(backup.name.replace("bar.", "foyer.")))
    with pytest.raises(NewerDatabaseError, match=r"or a later one$"):
        upgrade(filled)


def test_another_programs_database_is_left_alone(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE alembic_version (version_num TEXT)")
        connection.execute(f"INSERT INTO alembic_version VALUES ('{NEWEST}')")
        connection.commit()
    before = path.read_bytes()
    with pytest.raises(NotADatabaseError, match="another program"):
        upgrade(path)
    assert path.read_bytes() == before
