"""The flow at each speed, learned with the in-flight times."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("inflight", sa.Column("speeds", sa.Text(), nullable=True))
