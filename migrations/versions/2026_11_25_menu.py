"""The menu: deeper liquids, glasses, recipes, bottles with their stock, and what a pour was for."""

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
    create_menu()
    rebuild_pour()
    rebuild_dose_outcome()
    create_stock()


def keep_history(table: str) -> None:
    for action in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER {table}_no_{action.lower()} BEFORE {action} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{table} keeps what happened: no {action}'); END"
        )


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


def create_menu() -> None:
    op.create_table(
        "glass",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("brim_ml", sa.Double(), nullable=False),
        sa.Column("headroom_ml", sa.Double(), nullable=False),
        sa.Column("lightest_g", sa.Double(), nullable=True),
        sa.Column("heaviest_g", sa.Double(), nullable=True),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.CheckConstraint("brim_ml > 0", name=op.f("ck_glass_brim")),
        sa.CheckConstraint("headroom_ml >= 0 AND headroom_ml < brim_ml", name=op.f("ck_glass_headroom")),
        sa.CheckConstraint("lightest_g <= heaviest_g", name=op.f("ck_glass_mass_range")),
        sa.CheckConstraint("(lightest_g IS NULL) = (heaviest_g IS NULL)", name=op.f("ck_glass_both_masses")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_glass")),
    )
    op.create_table(
        "recipe",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("steps", sa.Text(), nullable=False),
        sa.Column("glass_id", sa.Text(), nullable=True),
        sa.Column("volume_ml", sa.Double(), nullable=True),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.CheckConstraint("json_valid(steps)", name=op.f("ck_recipe_steps")),
        sa.CheckConstraint("volume_ml > 0", name=op.f("ck_recipe_volume")),
        sa.ForeignKeyConstraint(["glass_id"], ["glass.id"], name=op.f("fk_recipe_glass_id_glass")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_recipe")),
    )
    op.create_table(
        "bottle",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("liquid_id", sa.Text(), nullable=False),
        sa.Column("full_g", sa.Double(), nullable=False),
        sa.Column("low_g", sa.Double(), nullable=False),
        sa.Column("tare_g", sa.Double(), nullable=True),
        sa.Column("channel", sa.Integer(), nullable=True),
        sa.Column("opened_at", sa.Text(), nullable=True),
        sa.CheckConstraint("full_g > 0", name=op.f("ck_bottle_full")),
        sa.CheckConstraint("low_g >= 0", name=op.f("ck_bottle_low")),
        sa.CheckConstraint("tare_g > 0", name=op.f("ck_bottle_tare")),
        sa.ForeignKeyConstraint(["liquid_id"], ["liquid.id"], name=op.f("fk_bottle_liquid_id_liquid")),
        sa.ForeignKeyConstraint(["channel"], ["channel.number"], name=op.f("fk_bottle_channel_channel")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_bottle")),
        sa.UniqueConstraint("channel", name=op.f("uq_bottle_channel")),
    )


def rebuild_pour() -> None:
    """What was poured before was a drink, put together by hand."""
    op.execute("CREATE TABLE pour_before AS SELECT * FROM pour ORDER BY id")
    op.drop_table("pour")
    op.create_table(
        "pour",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("created_at", sa.Text(), nullable=False),
        sa.Column("idempotency_key", sa.Text(), nullable=True),
        sa.Column("fingerprint", sa.Text(), nullable=True),
        sa.Column("setup", sa.Text(), nullable=False),
        sa.Column("origin", sa.Text(), nullable=False),
        sa.Column("program_version", sa.Text(), nullable=False),
        sa.Column("board_id", sa.Text(), nullable=True),
        sa.Column("board_firmware", sa.Text(), nullable=True),
        sa.Column("purpose", sa.Text(), nullable=False),
        sa.Column("recipe", sa.Text(), nullable=True),
        sa.CheckConstraint(
            "(idempotency_key IS NULL) = (fingerprint IS NULL)", name=op.f("ck_pour_key_with_fingerprint")
        ),
        sa.CheckConstraint("purpose IN ('drink', 'prime', 'flush', 'purge')", name=op.f("ck_pour_purpose")),
        sa.CheckConstraint("recipe IS NULL OR json_valid(recipe)", name=op.f("ck_pour_recipe")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pour")),
        sa.UniqueConstraint("idempotency_key", name=op.f("uq_pour_idempotency_key")),
    )
    op.execute("INSERT INTO pour SELECT *, 'drink', NULL FROM pour_before")
    op.drop_table("pour_before")
    op.create_index(op.f("ix_pour_created_at"), "pour", ["created_at"])
    keep_history("pour")


def rebuild_dose_outcome() -> None:
    op.execute("CREATE TABLE dose_outcome_before AS SELECT * FROM dose_outcome ORDER BY pour_id, dose_index")
    op.drop_table("dose_outcome")
    op.create_table(
        "dose_outcome",
        sa.Column("pour_id", sa.Text(), nullable=False),
        sa.Column("dose_index", sa.Integer(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("delivered_g", sa.Double(), nullable=False),
        sa.Column("inflight_g", sa.Double(), nullable=False),
        sa.Column("peak_flow_g_per_s", sa.Double(), nullable=False),
        sa.Column("jogs", sa.Integer(), nullable=False),
        sa.Column("began_s", sa.Double(), nullable=False),
        sa.Column("cut_off_s", sa.Double(), nullable=True),
        sa.Column("ended_s", sa.Double(), nullable=False),
        sa.Column("verdict", sa.Text(), nullable=True),
        sa.Column("cause", sa.Text(), nullable=False),
        sa.Column("target_g", sa.Double(), nullable=True),
        sa.CheckConstraint("verdict IN ('within', 'under', 'over')", name=op.f("ck_dose_outcome_verdict")),
        sa.ForeignKeyConstraint(
            ["pour_id", "dose_index"],
            ["dose.pour_id", "dose.dose_index"],
            name=op.f("fk_dose_outcome_pour_id_dose_index_dose"),
        ),
        sa.PrimaryKeyConstraint("pour_id", "dose_index", name=op.f("pk_dose_outcome")),
    )
    op.execute("INSERT INTO dose_outcome SELECT *, NULL FROM dose_outcome_before")
    op.drop_table("dose_outcome_before")
    keep_history("dose_outcome")


def create_stock() -> None:
    op.create_table(
        "stock_movement",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("bottle_id", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("change_g", sa.Double(), nullable=False),
        sa.Column("pour_id", sa.Text(), nullable=True),
        sa.Column("dose_index", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "kind IN ('opening', 'pour', 'prime', 'purge', 'correction')", name=op.f("ck_stock_movement_kind")
        ),
        sa.CheckConstraint(
            "(kind IN ('pour', 'prime', 'purge')) = (pour_id IS NOT NULL)",
            name=op.f("ck_stock_movement_kind_with_pour"),
        ),
        sa.CheckConstraint(
            "(pour_id IS NULL) = (dose_index IS NULL)", name=op.f("ck_stock_movement_pour_with_dose")
        ),
        sa.ForeignKeyConstraint(
            ["bottle_id"], ["bottle.id"], name=op.f("fk_stock_movement_bottle_id_bottle")
        ),
        sa.ForeignKeyConstraint(
            ["pour_id", "dose_index"],
            ["dose.pour_id", "dose.dose_index"],
            name=op.f("fk_stock_movement_pour_id_dose_index_dose"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stock_movement")),
    )
    op.create_index(op.f("ix_stock_movement_bottle_id_change_g"), "stock_movement", ["bottle_id", "change_g"])
    op.create_index(op.f("ix_stock_movement_pour_id"), "stock_movement", ["pour_id"])
    keep_history("stock_movement")
