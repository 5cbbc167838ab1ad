"""Recipes may fix the order of their doses; those of before go on as they were poured."""

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column(
        "recipe", sa.Column("keep_order", sa.Boolean(), nullable=False, server_default=sa.text("1"))
    )
