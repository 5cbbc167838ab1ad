"""Run by Alembic: in process by `tarewell.records.migrate`, or by the `alembic` command while developing.

The command needs the database's path: `alembic -x database=PATH check`.
"""

from pathlib import Path
from typing import Literal

from alembic import context
from alembic.operations import MigrationScript
from alembic.script import ScriptDirectory
from sqlalchemy import Connection

from tarewell.records import order_tables, round_tables  # noqa: F401 - makes their tables known
from tarewell.records.migrate import migration_engine
from tarewell.records.tables import Base, UtcTime


def render_item(kind: str, item: object, _autogen_context: object) -> str | Literal[False]:
    """Write our column types as plain ones, so that a migration does not change when the program does."""
    return "sa.Text()" if kind == "type" and isinstance(item, UtcTime) else False


def number(_context: object, _heads: object, directives: list[MigrationScript]) -> None:
    """Give a new revision the number after the newest."""
    newest = ScriptDirectory.from_config(context.config).get_current_head() or "0"
    directives[0].rev_id = f"{int(newest) + 1:04}"


def run(connection: Connection) -> None:
    """Run what was asked for in the transaction that is open on `connection`."""
    context.configure(
        connection=connection,
        target_metadata=Base.metadata,
        render_as_batch=True,
        render_item=render_item,
        process_revision_directives=number,
    )
    context.run_migrations()


def run_from_command_line() -> None:
    """Open the database named by `-x database=PATH` in one transaction, as the program does."""
    database = context.get_x_argument(as_dictionary=True).get("database")
    if context.is_offline_mode() or not isinstance(database, str):
        raise SystemExit("name the database: alembic -x database=PATH <command>; --sql is not supported")
    with migration_engine(Path(database)).begin() as connection:
        run(connection)


given = context.config.attributes.get("connection")
if isinstance(given, Connection):
    run(given)
else:
    run_from_command_line()
