"""Liquids with densities that know their uncertainty, and allergens as a checked list."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

LIGHTEST_G_PER_ML, HEAVIEST_G_PER_ML = 0.7, 1.6
ENTERED_UNCERTAINTY_SHARE = 0.005


def upgrade() -> None:
    rebuild_liquid()


def rebuild_liquid() -> None:
    """What people had typed in about density and allergens goes into the note; nobody has checked it."""
    connection = op.get_bind()
    old = connection.exec_driver_sql("SELECT * FROM liquid").mappings().all()
    op.drop_table("liquid")
    liquid = op.create_table(
        "liquid",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("density_g_per_ml", sa.Double(), nullable=False),
        sa.Column("density_uncertainty_g_per_ml", sa.Double(), nullable=False),
        sa.Column("density_origin", sa.Text(), nullable=False),
        sa.Column("density_at_c", sa.Double(), nullable=False),
        sa.Column("abv_percent", sa.Double(), nullable=True),
        sa.Column("sugar_g_per_l", sa.Double(), nullable=True),
        sa.Column("allergens", sa.Text(), nullable=True),
        sa.Column("cost_per_l", sa.Double(), nullable=True),
        sa.Column("serving_c", sa.Double(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.CheckConstraint("density_g_per_ml BETWEEN 0.7 AND 1.6", name=op.f("ck_liquid_density")),
        sa.CheckConstraint("density_uncertainty_g_per_ml >= 0", name=op.f("ck_liquid_density_uncertainty")),
        sa.CheckConstraint(
            "density_origin IN ('water', 'strength', 'brix', 'strength and sugar', 'entered', 'weighed')",
            name=op.f("ck_liquid_density_origin"),
        ),
        sa.CheckConstraint("abv_percent BETWEEN 0 AND 100", name=op.f("ck_liquid_abv")),
        sa.CheckConstraint("sugar_g_per_l >= 0", name=op.f("ck_liquid_sugar")),
        sa.CheckConstraint("cost_per_l >= 0", name=op.f("ck_liquid_cost")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_liquid")),
    )
    for row in old:
        told = row["density_g_per_ml"]
        density = min(max(told, LIGHTEST_G_PER_ML), HEAVIEST_G_PER_ML)
        notes = []
        if density != told:
            notes.append(f"density was entered as {told!r} g/ml, which no drink has: weigh it")
        if row["density_origin"] not in ("", "not stated"):
            notes.append(f"density: {row['density_origin']}")
        if row["allergens"] is not None:
            notes.append(f"allergens: {row['allergens']}")
        connection.execute(
            sa.insert(liquid).values(
                id=row["id"],
                machine_id=row["machine_id"],
                name=row["name"],
                density_g_per_ml=density,
                density_uncertainty_g_per_ml=ENTERED_UNCERTAINTY_SHARE * density,
                density_origin="entered",
                density_at_c=20.0,
                abv_percent=row["abv_percent"],
                serving_c=20.0,
                note="; ".join(notes),
                active=bool(row["active"]),
            )
        )
