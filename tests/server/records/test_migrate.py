"""Schema changes: all or nothing, with a backup, and never on a database of somebody else."""

import asyncio
import re
import shutil
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext

from records_samples import COMPLETE, new_pour, open_store, trace
from tarewell.records.backup import back_up
from tarewell.records.errors import (
    DiskFullError,
    MigrationError,
    NewerDatabaseError,
    NotADatabaseError,
    StoreError,
)
from tarewell.records.migrate import migration_engine, migrations_dir, upgrade
from tarewell.records.store import Store
from tarewell.records.tables import APPEND_ONLY, APPLICATION_ID, Base
from tarewell.records.values import PourQuery
from tarewell.records.verify import verify

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


def add_migration(scripts: Path, body: str, revision: str = "0004", down: str = "0003") -> None:
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
    assert (result.before, result.after, result.backup) == (None, "0003", None)
    assert upgrade(path).before == "0003"
    assert backups(path) == []


def test_an_empty_file_counts_as_new(path: Path) -> None:
    path.touch()
    assert upgrade(path).before is None


def test_a_database_that_is_behind_is_backed_up_and_migrated(filled: Path, scripts: Path) -> None:
    before = dump(filled)
    add_migration(scripts, GOOD)
    result = upgrade(filled, scripts)
    assert (result.before, result.after) == ("0003", "0004")
    assert result.backup is not None
    assert backups(filled) == [result.backup]
    assert sorted(dump(result.backup)) == sorted(before)
    assert dump(filled) != before
    assert verify(result.backup).intact
    assert result.backup.stat().st_mode == filled.stat().st_mode


def test_the_backup_holds_rows_that_are_still_in_the_write_ahead_log(filled: Path, scripts: Path) -> None:
    with closing(sqlite3.connect(filled, isolation_level=None)) as other:
        other.execute("INSERT INTO channel VALUES (7, 'bar', NULL, 'late')")
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
    with pytest.raises(StoreError, match="exists already"):
        back_up(filled, target)


def test_a_migration_that_fails_half_way_leaves_nothing(filled: Path, scripts: Path) -> None:
    before = dump(filled)
    add_migration(scripts, GOOD)
    add_migration(scripts, BREAKS_HALF_WAY, "0004", "0003")
    with pytest.raises(MigrationError, match=r"no_such_table.*version used before"):
        upgrade(filled, scripts)
    assert dump(filled) == before
    assert backups(filled) == []
    assert upgrade(filled).before == "0003"


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
        connection.execute("INSERT INTO alembic_version VALUES ('0001')")
        connection.commit()
    before = path.read_bytes()
    with pytest.raises(NotADatabaseError, match="another program"):
        upgrade(path)
    assert path.read_bytes() == before


@pytest.fixture
def first_version(path: Path) -> Path:
    """A database that the program of schema 0001 wrote: two pours with traces, one of them cut short."""
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript(Path(__file__).with_name("database_0001.sql").read_text())
    return path


HISTORY_0001 = APPEND_ONLY[: APPEND_ONLY.index("stock_movement")]


def rows(path: Path, table: str) -> list[dict[str, Any]]:
    with closing(sqlite3.connect(path)) as connection:
        connection.row_factory = sqlite3.Row
        return [dict(row) for row in connection.execute(f"SELECT * FROM {table}")]


def test_history_from_the_first_version_is_kept_and_still_sealed(first_version: Path) -> None:
    assert verify(first_version).intact
    before = {table: rows(first_version, table) for table in HISTORY_0001}
    result = upgrade(first_version)
    assert (result.before, result.after) == ("0001", "0003")
    new = {"pour": {"purpose": "drink", "recipe": None}, "dose_outcome": {"target_g": None}}
    for table, kept in before.items():
        assert rows(first_version, table) == [{**row, **new.get(table, {})} for row in kept]
    assert verify(first_version).intact
    assert result.backup is not None
    assert verify(result.backup).intact


def test_nothing_that_was_typed_about_a_liquid_is_lost(first_version: Path) -> None:
    before = {row["id"]: row for row in rows(first_version, "liquid")}
    upgrade(first_version)
    after = {row["id"]: row for row in rows(first_version, "liquid")}
    assert after.keys() == before.keys()
    for liquid_id, row in after.items():
        for same in ("machine_id", "name", "abv_percent", "active"):
            assert row[same] == before[liquid_id][same]
        assert (row["density_origin"], row["density_at_c"], row["serving_c"]) == ("entered", 20.0, 20.0)
        assert (row["allergens"], row["sugar_g_per_l"], row["cost_per_l"]) == (None, None, None)
    assert after["act-two-bitter"]["density_g_per_ml"] == 0.985
    assert {liquid_id: row["note"] for liquid_id, row in after.items()} == {
        "elderflower": "density: weighed on the bar's scale",
        "act-two-bitter": "density: label; allergens: contains nuts",
        "gallery-juice": "",
        "stage-fog": "density was entered as 0.62 g/ml, which no drink has: weigh it; density: a guess",
    }
    assert after["stage-fog"]["density_g_per_ml"] == 0.7


async def test_the_program_goes_on_with_a_database_of_the_first_version(first_version: Path) -> None:
    store = await Store.open(first_version, "foyer-bar", "0.2.0")
    (cut_short,) = await store.pours.close_interrupted()
    assert (cut_short.state, cut_short.purpose, cut_short.recipe) == ("interrupted", "drink", None)
    liquids = {liquid.id: liquid for liquid in await store.liquids.all(retired=True)}
    assert liquids["elderflower"].serving_density.g_per_ml == 1.02
    assert not liquids["stage-fog"].active
    for pour in (await store.pours.list(PourQuery())).pours:
        setup = await store.pours.setup(pour.id)
        assert [dose.target_g for dose in setup.plan.doses] == [dose.target_g for dose in pour.doses]
        assert await store.pours.trace(pour.id) == trace(0.1)
    later = await store.pours.begin(new_pour())
    assert later.id > cut_short.id
    assert (await store.journal.verify()).intact
    await store.close()


@pytest.fixture
def migrated(path: Path) -> Iterator[sa.Connection]:
    upgrade(path)
    with migration_engine(path).connect() as connection:
        yield connection


def test_the_migrations_make_the_tables_that_the_program_knows(migrated: sa.Connection) -> None:
    context = MigrationContext.configure(
        migrated, opts={"compare_type": True, "compare_server_default": True}
    )
    assert compare_metadata(context, Base.metadata) == []


def test_checks_and_keys_are_those_that_the_program_knows(migrated: sa.Connection) -> None:
    def schema(connection: sa.Connection) -> dict[str, list[str]]:
        query = "SELECT name, sql FROM sqlite_master WHERE type IN ('table', 'index') AND sql IS NOT NULL"
        rows = connection.exec_driver_sql(query).fetchall()
        return {
            name: sorted(line.strip(" \t,") for line in sql.splitlines())
            for name, sql in rows
            if name != "alembic_version"
        }

    with sa.create_engine("sqlite://").connect() as fresh:
        Base.metadata.create_all(fresh)
        expected = schema(fresh)
    assert schema(migrated) == expected


def test_every_constraint_has_a_name(migrated: sa.Connection) -> None:
    inspector = sa.inspect(migrated)
    for table in Base.metadata.tables:
        named: list[Mapping[str, Any]] = [*inspector.get_foreign_keys(table)]
        if table != "event":  # AUTOINCREMENT takes an unnamed primary key only
            named.append(inspector.get_pk_constraint(table))
        named += [*inspector.get_unique_constraints(table), *inspector.get_check_constraints(table)]
        assert all(constraint["name"] for constraint in named), table


def test_the_file_is_marked_as_ours(migrated: sa.Connection) -> None:
    assert migrated.exec_driver_sql("PRAGMA application_id").scalar_one() == APPLICATION_ID


@pytest.mark.parametrize("table", APPEND_ONLY)
@pytest.mark.parametrize("change", ["UPDATE {} SET machine_id = 'other'", "DELETE FROM {}"])
def test_history_can_be_neither_changed_nor_deleted(filled: Path, table: str, change: str) -> None:
    with closing(sqlite3.connect(filled)) as connection:
        connection.execute("INSERT INTO calibration VALUES (NULL, 'bar', '2026', 1.0, 2.0, 'zero')")
        connection.execute(
            "INSERT INTO inflight VALUES (NULL, 'bar', '2026', 1, 'elderflower', 0.3, 0.1, 8.0, 1, NULL)"
        )
        connection.execute(
            "INSERT INTO dose_outcome "
            "SELECT id, 0, 'bar', 1.0, 1.0, 1.0, 0, 1.0, NULL, 1.0, NULL, 'stop', NULL FROM pour"
        )
        connection.execute(
            "INSERT INTO bottle VALUES ('cordial-1', 'bar', 'elderflower', 700.0, 70.0, NULL, NULL, NULL)"
        )
        connection.execute(
            "INSERT INTO stock_movement "
            "VALUES (NULL, 'bar', '2026', 'cordial-1', 'opening', 700.0, NULL, NULL)"
        )
        connection.execute("INSERT INTO recipe VALUES ('still', 'bar', 'Still', '[]', NULL, NULL, '', 1)")
        connection.execute(
            "INSERT INTO round VALUES ('r', 'bar', '2026', NULL, NULL, 'api', '0.1.0', 0, '{}')"
        )
        connection.execute("INSERT INTO round_glass VALUES ('r', 0, 'bar', 'still', NULL, '{}')")
        connection.execute(
            "INSERT INTO round_glass_outcome "
            "VALUES (NULL, 'bar', 'r', 0, 0, '2026', 'skipped', '[]', 0.0, 0.0, 0.0, 0.0, 0.0)"
        )
        connection.execute("INSERT INTO round_outcome VALUES ('r', 'bar', '2026', 'stopped')")
        connection.execute(
            "INSERT INTO guest_release VALUES (NULL, 'bar', '2026', 'seat 14', 'r', 0, 'host', 'has eaten')"
        )
        with pytest.raises(sqlite3.IntegrityError, match=f"{table} keeps what happened"):
            connection.execute(change.format(table))
