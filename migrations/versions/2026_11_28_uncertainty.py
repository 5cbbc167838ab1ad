"""The standard uncertainty of what was delivered, and what dripped after the verdict."""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    for table in ("pour_outcome", "dose_outcome"):
        op.add_column(table, sa.Column("uncertainty_g", sa.Double(), nullable=True))
    op.create_table(
        "late_drips",
        sa.Column("pour_id", sa.Text(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("dose_index", sa.Integer(), nullable=False),
        sa.Column("dripped_g", sa.Double(), nullable=False),
        sa.Column("dose_uncertainty_g", sa.Double(), nullable=False),
        sa.Column("uncertainty_g", sa.Double(), nullable=False),
        sa.ForeignKeyConstraint(
            ["pour_id", "dose_index"],
            ["dose.pour_id", "dose.dose_index"],
            name=op.f("fk_late_drips_pour_id_dose_index_dose"),
        ),
        sa.ForeignKeyConstraint(["pour_id"], ["pour.id"], name=op.f("fk_late_drips_pour_id_pour")),
        sa.PrimaryKeyConstraint("pour_id", name=op.f("pk_late_drips")),
    )
    for action in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER late_drips_no_{action.lower()} BEFORE {action} ON late_drips "
            f"BEGIN SELECT RAISE(ABORT, 'late_drips keeps what happened: no {action}'); END"
        )
