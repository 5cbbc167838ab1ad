"""The first tables, and triggers that keep history as it was written."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

APPEND_ONLY = (
    "pour",
    "dose",
    "pour_outcome",
    "dose_outcome",
    "trace_chunk",
    "event",
    "inflight",
    "calibration",
)


def upgrade() -> None:
    op.create_table(
        "calibration",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("zero_counts", sa.Double(), nullable=False),
        sa.Column("counts_per_g", sa.Double(), nullable=False),
        sa.Column("how", sa.Text(), nullable=False),
        sa.CheckConstraint("how IN ('two_point', 'zero')", name=op.f("ck_calibration_how")),
        sa.CheckConstraint("counts_per_g <> 0", name=op.f("ck_calibration_span")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_calibration")),
    )
    op.create_table(
        "liquid",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("density_g_per_ml", sa.Double(), nullable=False),
        sa.Column("density_origin", sa.Text(), nullable=False),
        sa.Column("allergens", sa.Text(), nullable=True),
        sa.Column("abv_percent", sa.Double(), nullable=True),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.CheckConstraint("abv_percent BETWEEN 0 AND 100", name=op.f("ck_liquid_abv")),
        sa.CheckConstraint("density_g_per_ml > 0", name=op.f("ck_liquid_density")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_liquid")),
    )
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
        sa.CheckConstraint(
            "(idempotency_key IS NULL) = (fingerprint IS NULL)", name=op.f("ck_pour_key_with_fingerprint")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pour")),
        sa.UniqueConstraint("idempotency_key", name=op.f("uq_pour_idempotency_key")),
    )
    op.create_index(op.f("ix_pour_created_at"), "pour", ["created_at"])
    op.create_table(
        "channel",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("liquid_id", sa.Text(), nullable=True),
        sa.Column("name", sa.Text(), nullable=False),
        sa.CheckConstraint("number >= 1", name=op.f("ck_channel_number")),
        sa.ForeignKeyConstraint(["liquid_id"], ["liquid.id"], name=op.f("fk_channel_liquid_id_liquid")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_channel")),
    )
    op.create_table(
        "dose",
        sa.Column("pour_id", sa.Text(), nullable=False),
        sa.Column("dose_index", sa.Integer(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("channel", sa.Integer(), nullable=False),
        sa.Column("liquid_id", sa.Text(), nullable=False),
        sa.Column("liquid_name", sa.Text(), nullable=False),
        sa.Column("density_g_per_ml", sa.Double(), nullable=False),
        sa.Column("abv_percent", sa.Double(), nullable=True),
        sa.Column("target_g", sa.Double(), nullable=False),
        sa.CheckConstraint("target_g > 0", name=op.f("ck_dose_target")),
        sa.ForeignKeyConstraint(["liquid_id"], ["liquid.id"], name=op.f("fk_dose_liquid_id_liquid")),
        sa.ForeignKeyConstraint(["pour_id"], ["pour.id"], name=op.f("fk_dose_pour_id_pour")),
        sa.PrimaryKeyConstraint("pour_id", "dose_index", name=op.f("pk_dose")),
    )
    op.create_index(op.f("ix_dose_channel_pour_id"), "dose", ["channel", "pour_id"])
    op.create_table(
        "event",
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("pour_id", sa.Text(), nullable=True),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("prev_hash", sa.Text(), nullable=False),
        sa.Column("hash", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["pour_id"], ["pour.id"], name=op.f("fk_event_pour_id_pour")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_event")),
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_event_pour_id"), "event", ["pour_id"])
    op.create_table(
        "inflight",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("channel", sa.Integer(), nullable=False),
        sa.Column("liquid_id", sa.Text(), nullable=False),
        sa.Column("lag_s", sa.Double(), nullable=False),
        sa.Column("spread_s", sa.Double(), nullable=False),
        sa.Column("flow_g_per_s", sa.Double(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("pour_id", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["liquid_id"], ["liquid.id"], name=op.f("fk_inflight_liquid_id_liquid")),
        sa.ForeignKeyConstraint(["pour_id"], ["pour.id"], name=op.f("fk_inflight_pour_id_pour")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_inflight")),
    )
    op.create_index(op.f("ix_inflight_channel_liquid_id_id"), "inflight", ["channel", "liquid_id", "id"])
    op.create_table(
        "pour_outcome",
        sa.Column("pour_id", sa.Text(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("ended_at", sa.Text(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("cause", sa.Text(), nullable=False),
        sa.Column("delivered_g", sa.Double(), nullable=True),
        sa.Column("glass_g", sa.Double(), nullable=True),
        sa.CheckConstraint(
            "state IN ('complete', 'stopped', 'aborted', 'interrupted')", name=op.f("ck_pour_outcome_state")
        ),
        sa.ForeignKeyConstraint(["pour_id"], ["pour.id"], name=op.f("fk_pour_outcome_pour_id_pour")),
        sa.PrimaryKeyConstraint("pour_id", name=op.f("pk_pour_outcome")),
    )
    op.create_index(op.f("ix_pour_outcome_state_pour_id"), "pour_outcome", ["state", "pour_id"])
    op.create_table(
        "trace_chunk",
        sa.Column("pour_id", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("entries", sa.Integer(), nullable=False),
        sa.Column("last_delivered_g", sa.Double(), nullable=True),
        sa.Column("data", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(["pour_id"], ["pour.id"], name=op.f("fk_trace_chunk_pour_id_pour")),
        sa.PrimaryKeyConstraint("pour_id", "number", name=op.f("pk_trace_chunk")),
    )
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
        sa.CheckConstraint("verdict IN ('within', 'under', 'over')", name=op.f("ck_dose_outcome_verdict")),
        sa.ForeignKeyConstraint(
            ["pour_id", "dose_index"],
            ["dose.pour_id", "dose.dose_index"],
            name=op.f("fk_dose_outcome_pour_id_dose_index_dose"),
        ),
        sa.PrimaryKeyConstraint("pour_id", "dose_index", name=op.f("pk_dose_outcome")),
    )
    for table in APPEND_ONLY:
        for action in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_no_{action.lower()} BEFORE {action} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{table} keeps what happened: no {action}'); END"
            )
    op.execute("PRAGMA application_id = 0x54415245")
