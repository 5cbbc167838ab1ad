"""Recordings of the flight recorder."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "recording",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("caused_at", sa.Text(), nullable=False),
        sa.Column("cause", sa.Text(), nullable=False),
        sa.Column("pour_id", sa.Text(), nullable=True),
        sa.Column("program_version", sa.Text(), nullable=False),
        sa.Column("begins_s", sa.Double(), nullable=False),
        sa.Column("ends_s", sa.Double(), nullable=False),
        sa.Column("data", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(["pour_id"], ["pour.id"], name=op.f("fk_recording_pour_id_pour")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_recording")),
    )
