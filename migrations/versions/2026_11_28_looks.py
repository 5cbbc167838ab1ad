"""How things look in pictures: the inside of a glass, the colour of a liquid."""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    for name in ("rim_mm", "base_mm", "height_mm"):
        op.add_column("glass", sa.Column(name, sa.Double(), nullable=True))
    op.add_column("liquid", sa.Column("colour", sa.Text(), nullable=True))
