"""What is found on the platform after a pour has ended, and the stock movement that goes with it."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    create_found_later()
    let_stock_tell_what_was_found()
    for table in ("found_later", "stock_movement"):
        keep_history(table)


def keep_history(table: str) -> None:
    for action in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER {table}_no_{action.lower()} BEFORE {action} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{table} keeps what happened: no {action}'); END"
        )


def create_found_later() -> None:
    op.create_table(
        "found_later",
        sa.Column("pour_id", sa.Text(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("certainty", sa.Text(), nullable=False),
        sa.Column("found_g", sa.Double(), nullable=True),
        sa.Column("dose_index", sa.Integer(), nullable=True),
        sa.Column("reason", sa.Text(), nullable=True),
        sa.CheckConstraint(
            "certainty IN ('weighed', 'doubtful', 'unknown')", name=op.f("ck_found_later_certainty")
        ),
        sa.CheckConstraint(
            "(certainty = 'unknown') = (found_g IS NULL)", name=op.f("ck_found_later_mass_unless_unknown")
        ),
        sa.CheckConstraint(
            "(certainty = 'weighed') = (reason IS NULL)", name=op.f("ck_found_later_reason_unless_weighed")
        ),
        sa.ForeignKeyConstraint(
            ["pour_id", "dose_index"],
            ["dose.pour_id", "dose.dose_index"],
            name=op.f("fk_found_later_pour_id_dose_index_dose"),
        ),
        sa.ForeignKeyConstraint(["pour_id"], ["pour.id"], name=op.f("fk_found_later_pour_id_pour")),
        sa.PrimaryKeyConstraint("pour_id", name=op.f("pk_found_later")),
    )


def let_stock_tell_what_was_found() -> None:
    """The table is rebuilt, which drops its triggers."""
    kind, with_pour = op.f("ck_stock_movement_kind"), op.f("ck_stock_movement_kind_with_pour")
    with op.batch_alter_table("stock_movement") as batch:
        batch.drop_constraint(kind, type_="check")
        batch.drop_constraint(with_pour, type_="check")
        batch.create_check_constraint(
            kind, "kind IN ('opening', 'pour', 'prime', 'purge', 'found', 'correction')"
        )
        batch.create_check_constraint(
            with_pour, "(kind IN ('pour', 'prime', 'purge', 'found')) = (pour_id IS NOT NULL)"
        )
