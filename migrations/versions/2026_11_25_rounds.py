"""Rounds: what was to be poured into which glass, what came of it, and who let a guest go on."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

HISTORY = ("round", "round_glass", "round_glass_outcome", "round_outcome", "guest_release")


def upgrade() -> None:
    create_intent()
    create_outcome()
    create_release()
    for table in HISTORY:
        keep_history(table)


def keep_history(table: str) -> None:
    for action in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER {table}_no_{action.lower()} BEFORE {action} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{table} keeps what happened: no {action}'); END"
        )


def create_intent() -> None:
    op.create_table(
        "round",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("created_at", sa.Text(), nullable=False),
        sa.Column("idempotency_key", sa.Text(), nullable=True),
        sa.Column("fingerprint", sa.Text(), nullable=True),
        sa.Column("origin", sa.Text(), nullable=False),
        sa.Column("program_version", sa.Text(), nullable=False),
        sa.Column("auto_start", sa.Boolean(), nullable=False),
        sa.Column("liquids", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "(idempotency_key IS NULL) = (fingerprint IS NULL)", name=op.f("ck_round_key_with_fingerprint")
        ),
        sa.CheckConstraint("json_valid(liquids)", name=op.f("ck_round_liquids")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_round")),
        sa.UniqueConstraint("idempotency_key", name=op.f("uq_round_idempotency_key")),
    )
    op.create_table(
        "round_glass",
        sa.Column("round_id", sa.Text(), nullable=False),
        sa.Column("glass_index", sa.Integer(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("recipe_id", sa.Text(), nullable=False),
        sa.Column("guest", sa.Text(), nullable=True),
        sa.Column("plan", sa.Text(), nullable=False),
        sa.CheckConstraint("json_valid(plan)", name=op.f("ck_round_glass_plan")),
        sa.ForeignKeyConstraint(["round_id"], ["round.id"], name=op.f("fk_round_glass_round_id_round")),
        sa.ForeignKeyConstraint(["recipe_id"], ["recipe.id"], name=op.f("fk_round_glass_recipe_id_recipe")),
        sa.PrimaryKeyConstraint("round_id", "glass_index", name=op.f("pk_round_glass")),
    )


def create_outcome() -> None:
    op.create_table(
        "round_glass_outcome",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("round_id", sa.Text(), nullable=False),
        sa.Column("glass_index", sa.Integer(), nullable=False),
        sa.Column("attempt", sa.Integer(), nullable=False),
        sa.Column("ended_at", sa.Text(), nullable=False),
        sa.Column("ending", sa.Text(), nullable=False),
        sa.Column("pour_ids", sa.Text(), nullable=False),
        sa.Column("mass_g", sa.Double(), nullable=False),
        sa.Column("volume_ml", sa.Double(), nullable=False),
        sa.Column("contraction_ml", sa.Double(), nullable=False),
        sa.Column("ethanol_g", sa.Double(), nullable=False),
        sa.Column("sugar_g", sa.Double(), nullable=False),
        sa.CheckConstraint(
            "ending IN ('complete', 'skipped', 'spoilt', 'stopped', 'interrupted')",
            name=op.f("ck_round_glass_outcome_ending"),
        ),
        sa.CheckConstraint("json_valid(pour_ids)", name=op.f("ck_round_glass_outcome_pour_ids")),
        sa.ForeignKeyConstraint(
            ["round_id", "glass_index"],
            ["round_glass.round_id", "round_glass.glass_index"],
            name=op.f("fk_round_glass_outcome_round_id_glass_index_round_glass"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_round_glass_outcome")),
        sa.UniqueConstraint(
            "round_id",
            "glass_index",
            "attempt",
            name=op.f("uq_round_glass_outcome_round_id_glass_index_attempt"),
        ),
    )
    op.create_index(op.f("ix_round_glass_outcome_ended_at"), "round_glass_outcome", ["ended_at"])
    op.create_table(
        "round_outcome",
        sa.Column("round_id", sa.Text(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("ended_at", sa.Text(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "state IN ('complete', 'stopped', 'aborted', 'interrupted')", name=op.f("ck_round_outcome_state")
        ),
        sa.ForeignKeyConstraint(["round_id"], ["round.id"], name=op.f("fk_round_outcome_round_id_round")),
        sa.PrimaryKeyConstraint("round_id", name=op.f("pk_round_outcome")),
    )


def create_release() -> None:
    op.create_table(
        "guest_release",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("guest", sa.Text(), nullable=False),
        sa.Column("round_id", sa.Text(), nullable=False),
        sa.Column("glass_index", sa.Integer(), nullable=False),
        sa.Column("released_by", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["round_id", "glass_index"],
            ["round_glass.round_id", "round_glass.glass_index"],
            name=op.f("fk_guest_release_round_id_glass_index_round_glass"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_guest_release")),
    )
    op.create_index(op.f("ix_guest_release_guest_id"), "guest_release", ["guest", "id"])
