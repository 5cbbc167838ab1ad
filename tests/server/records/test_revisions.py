"""The schema, revision by revision: what a database of each holds is kept, and the newest is the one that the
program knows."""

import ast
import re
import shlex
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator, Mapping
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext

from records_samples import trace
from sample_databases import restore, revisions, sample, scripts_in
from tarewell.records.migrate import migration_engine, migrations_dir, revision_of, upgrade
from tarewell.records.store import Store
from tarewell.records.tables import APPEND_ONLY, APPLICATION_ID, Base
from tarewell.records.values import PourQuery
from tarewell.records.verify import verify

TREE = Path(__file__).parents[3]
REVISIONS = revisions()
NEWEST = REVISIONS[-1]

CHANGED_ON_PURPOSE = {"0002": {"liquid": {"density_g_per_ml", "density_origin", "allergens"}}}
"""Columns whose content a revision changed; everything else is kept as it was."""

Rows = dict[str, list[dict[str, Any]]]


def rows(path: Path) -> Rows:
    """All rows of all our tables."""
    ours = "type = 'table' AND name <> 'alembic_version' AND name NOT LIKE 'sqlite_%'"
    with closing(sqlite3.connect(path)) as connection:
        connection.row_factory = sqlite3.Row
        tables = [row[0] for row in connection.execute(f"SELECT name FROM sqlite_master WHERE {ours}")]
        return {
            table: [dict(row) for row in connection.execute(f"SELECT * FROM {table}")] for table in tables
        }


def in_columns(rows: list[dict[str, Any]], columns: set[str]) -> list[str]:
    """What rows say in these columns, in an order that does not depend on how they are stored."""
    return sorted(repr([row[name] for name in sorted(columns)]) for row in rows)


def schema(connection: sa.Connection) -> dict[str, dict[str, Any]]:
    """What a database says of its tables, the order of columns and constraints left out."""
    inspector = sa.inspect(connection)

    def named(constraints: list[Any], *facts: str) -> dict[Any, Any]:
        return {one["name"]: [one[fact] for fact in facts] for one in constraints}

    ours = [table for table in inspector.get_table_names() if table != "alembic_version"]
    sql = dict(connection.exec_driver_sql("SELECT name, sql FROM sqlite_master WHERE type = 'table'").all())
    return {
        table: {
            "columns": {
                column["name"]: (str(column["type"]), column["nullable"], column["default"])
                for column in inspector.get_columns(table)
            },
            "key": inspector.get_pk_constraint(table),
            "numbered": "AUTOINCREMENT" in sql[table],
            "foreign": named(
                inspector.get_foreign_keys(table), "referred_table", "constrained_columns", "referred_columns"
            ),
            "unique": named(inspector.get_unique_constraints(table), "column_names"),
            "checks": named(inspector.get_check_constraints(table), "sqltext"),
            "indexes": named(inspector.get_indexes(table), "column_names", "unique"),
        }
        for table in ours
    }


def schema_at(path: Path) -> dict[str, dict[str, Any]]:
    with migration_engine(path).connect() as connection:
        return schema(connection)


@pytest.fixture
def migrated(path: Path) -> Iterator[sa.Connection]:
    upgrade(path)
    with migration_engine(path).connect() as connection:
        yield connection


def test_revisions_are_numbered() -> None:
    assert [f"{number:04}" for number in range(1, len(REVISIONS) + 1)] == REVISIONS


@pytest.mark.parametrize("revision", REVISIONS)
def test_a_database_of_every_revision_is_kept_with_rows_in_every_table(
    revision: str, path: Path, tmp_path: Path
) -> None:
    assert sample(revision).exists(), "run `make generated`"
    restore(revision, path)
    assert revision_of(path) == revision
    assert [table for table, found in rows(path).items() if not found] == []
    assert verify(path).intact
    scripts = tmp_path / "migrations"
    shutil.copytree(migrations_dir(), scripts)
    for later in [script for script in scripts_in(scripts).walk_revisions() if script.revision > revision]:
        Path(later.path).unlink()
    made = tmp_path / "made.sqlite"
    upgrade(made, scripts)
    assert schema_at(path) == schema_at(made)


@pytest.mark.parametrize("revision", REVISIONS)
def test_all_rows_are_kept_and_still_sealed(revision: str, path: Path) -> None:
    restore(revision, path)
    before, sealed = rows(path), verify(path)
    result = upgrade(path)
    assert (result.before, result.after) == (revision, NEWEST)
    changed: dict[str, set[str]] = {}
    for later, tables in CHANGED_ON_PURPOSE.items():
        for table, columns in tables.items() if later > revision else ():
            changed.setdefault(table, set()).update(columns)
    after = rows(path)
    for table, kept in before.items():
        same = kept[0].keys() - changed.get(table, set())
        assert in_columns(after[table], same) == in_columns(kept, same)
    assert verify(path) == sealed
    assert result.backup is None if revision == NEWEST else verify(result.backup or path) == sealed


@pytest.mark.parametrize("revision", REVISIONS)
async def test_the_program_goes_on_with_a_database_of_any_revision(revision: str, path: Path) -> None:
    before = rows(restore(revision, path))
    store = await Store.open(path, "foyer-bar", "0.2.0")
    (cut_short,) = await store.pours.close_interrupted()
    assert cut_short.state == "interrupted"
    pours = (await store.pours.list(PourQuery())).pours
    assert len(pours) == len(before["pour"])
    for pour in pours:
        setup = await store.pours.setup(pour.id)
        assert [dose.target_g for dose in setup.plan.doses] == [dose.target_g for dose in pour.doses]
        assert setup.settings.learn_speeds is (revision >= "0006")  # replayed as it was decided
        assert (await store.pours.trace(pour.id))[: len(trace(0.1))] == trace(0.1)
    liquids = {liquid.id: liquid for liquid in await store.liquids.all(retired=True)}
    assert liquids.keys() == {row["id"] for row in before["liquid"]}
    assert all(0.7 <= liquid.serving_density.g_per_ml <= 1.6 for liquid in liquids.values())
    for table, there in (
        ("glass", await store.glasses.all(retired=True)),
        ("recipe", await store.recipes.all(retired=True)),
        ("bottle", await store.bottles.all(emptied=True)),
        ("channel", await store.channels.all()),
        ("round", (await store.rounds.list()).rounds),
    ):
        assert len(there) == len(before.get(table, []))
    for liquid in liquids.values():
        await store.liquids.put(liquid)
    assert (await store.journal.verify()).intact
    await store.close()


def test_nothing_that_was_typed_about_a_liquid_is_lost(path: Path) -> None:
    restore(REVISIONS[0], path)
    upgrade(path)
    after = {row["id"]: row for row in rows(path)["liquid"]}
    for row in after.values():
        assert (row["density_origin"], row["density_at_c"], row["serving_c"]) == ("entered", 20.0, 20.0)
        assert (row["allergens"], row["sugar_g_per_l"], row["cost_per_l"]) == (None, None, None)
    assert {liquid_id: (row["density_g_per_ml"], row["note"]) for liquid_id, row in after.items()} == {
        "elderflower": (1.02, "density: weighed on the bar's scale"),
        "act-two-bitter": (0.985, "density: label; allergens: contains nuts"),
        "gallery-juice": (1.04, ""),
        "stage-fog": (
            0.7,
            "density was entered as 0.62 g/ml, which no drink has: weigh it; density: a guess",
        ),
    }


def test_the_documented_way_to_a_migration_changes_nothing_in_an_unchanged_tree(tmp_path: Path) -> None:
    shutil.copytree(migrations_dir(), tmp_path / "migrations")
    shutil.copy(TREE / "pyproject.toml", tmp_path)
    page = (TREE / "docs" / "records.md").read_text("utf-8").partition("## Changing the schema")[2]
    there = set((tmp_path / "migrations" / "versions").glob("*.py"))
    for line in re.findall(r"^alembic .*$", page, re.MULTILINE):
        words = shlex.split(line.replace("/tmp/scratch.sqlite", str(tmp_path / "scratch.sqlite")))
        command = [sys.executable, "-m", *words]
        subprocess.run(command, cwd=tmp_path, check=True, capture_output=True, timeout=60)
    (written,) = set((tmp_path / "migrations" / "versions").glob("*.py")) - there
    (upgrade_,) = [
        node for node in ast.parse(written.read_text("utf-8")).body if isinstance(node, ast.FunctionDef)
    ]
    assert [type(statement) for statement in upgrade_.body] == [ast.Pass]
    assert revisions(tmp_path / "migrations") == [*REVISIONS, f"{len(REVISIONS) + 1:04}"]


def test_the_migrations_make_the_tables_that_the_program_knows(migrated: sa.Connection) -> None:
    context = MigrationContext.configure(
        migrated, opts={"compare_type": True, "compare_server_default": True}
    )
    assert compare_metadata(context, Base.metadata) == []


def test_so_it_is_with_what_alembic_does_not_compare(migrated: sa.Connection) -> None:
    """CHECK constraints, primary keys, AUTOINCREMENT and the names of foreign keys."""
    with sa.create_engine("sqlite://").connect() as fresh:
        Base.metadata.create_all(fresh)
        expected = schema(fresh)
    assert schema(migrated) == expected
    for name, table in Base.metadata.tables.items():
        checks = [one for one in table.constraints if isinstance(one, sa.CheckConstraint)]
        assert len(expected[name]["checks"]) == len(checks)


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


@pytest.mark.parametrize("revision", REVISIONS)
@pytest.mark.parametrize("change", ["UPDATE {} SET machine_id = 'other'", "DELETE FROM {}"])
def test_history_can_be_neither_changed_nor_deleted(path: Path, revision: str, change: str) -> None:
    upgrade(restore(revision, path))
    with closing(sqlite3.connect(path)) as connection:
        filled = [table for table in APPEND_ONLY if connection.execute(f"SELECT 1 FROM {table}").fetchone()]
        assert set(filled) == rows(restore(revision, path.with_name("before"))).keys() & set(APPEND_ONLY)
        for table in filled:
            with pytest.raises(sqlite3.IntegrityError, match=f"{table} keeps what happened"):
                connection.execute(change.format(table))
