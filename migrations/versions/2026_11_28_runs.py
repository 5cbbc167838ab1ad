"""The spread of a channel's flow, and what it has taught about timed runs."""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("inflight", sa.Column("flow_share", sa.Double(), nullable=True))
    op.add_column("inflight", sa.Column("runs", sa.Text(), nullable=True))
