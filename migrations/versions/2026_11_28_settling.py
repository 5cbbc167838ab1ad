"""What a channel has taught about the readings while its glass comes to rest."""

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("inflight", sa.Column("settling", sa.Text(), nullable=True))
