"""What a dose spilt or got from elsewhere, and an index of the journal by kind."""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "dose_balance",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("pour_id", sa.Text(), nullable=False),
        sa.Column("dose_index", sa.Integer(), nullable=False),
        sa.Column("added_g", sa.Double(), nullable=False),
        sa.Column("spilt_g", sa.Double(), nullable=False),
        sa.Column("doubt_g", sa.Double(), nullable=False),
        sa.ForeignKeyConstraint(
            ["pour_id", "dose_index"],
            ["dose.pour_id", "dose.dose_index"],
            name=op.f("fk_dose_balance_pour_id_dose_index_dose"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_dose_balance")),
    )
    op.create_index(op.f("ix_dose_balance_pour_id"), "dose_balance", ["pour_id"])
    op.create_index(op.f("ix_event_kind_seq"), "event", ["kind", "seq"])
    for action in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER dose_balance_no_{action.lower()} BEFORE {action} ON dose_balance "
            f"BEGIN SELECT RAISE(ABORT, 'dose_balance keeps what happened: no {action}'); END"
        )
