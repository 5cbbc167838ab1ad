"""Orders: services of the bar, what guests ordered, each state of an order; the price of a recipe."""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None

HISTORY = ("drink_order", "drink_order_state")


def upgrade() -> None:
    op.add_column("recipe", sa.Column("price", sa.Double(), nullable=True))
    create_service()
    create_order()
    create_state()
    for table in HISTORY:
        keep_history(table)


def keep_history(table: str) -> None:
    for action in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER {table}_no_{action.lower()} BEFORE {action} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{table} keeps what happened: no {action}'); END"
        )


def create_service() -> None:
    op.create_table(
        "service",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("opened_at", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("guests_may_order", sa.Boolean(), nullable=False),
        sa.Column("link_key", sa.Text(), nullable=True),
        sa.Column("closed_at", sa.Text(), nullable=True),
        sa.CheckConstraint(
            "closed_at IS NULL OR link_key IS NULL", name=op.f("ck_service_no_link_once_closed")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_service")),
    )


def create_order() -> None:
    op.create_table(
        "drink_order",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("created_at", sa.Text(), nullable=False),
        sa.Column("idempotency_key", sa.Text(), nullable=True),
        sa.Column("fingerprint", sa.Text(), nullable=True),
        sa.Column("origin", sa.Text(), nullable=False),
        sa.Column("service_id", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("recipe_id", sa.Text(), nullable=False),
        sa.Column("guest", sa.Text(), nullable=True),
        sa.Column("wanted", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("ethanol_g", sa.Double(), nullable=False),
        sa.Column("strength_known", sa.Boolean(), nullable=False),
        sa.Column("takes_s", sa.Double(), nullable=True),
        sa.Column("price", sa.Double(), nullable=True),
        sa.CheckConstraint(
            "(idempotency_key IS NULL) = (fingerprint IS NULL)",
            name=op.f("ck_drink_order_key_with_fingerprint"),
        ),
        sa.CheckConstraint("json_valid(wanted)", name=op.f("ck_drink_order_wanted")),
        sa.CheckConstraint("number >= 1", name=op.f("ck_drink_order_number")),
        sa.ForeignKeyConstraint(
            ["service_id"], ["service.id"], name=op.f("fk_drink_order_service_id_service")
        ),
        sa.ForeignKeyConstraint(["recipe_id"], ["recipe.id"], name=op.f("fk_drink_order_recipe_id_recipe")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_drink_order")),
        sa.UniqueConstraint("idempotency_key", name=op.f("uq_drink_order_idempotency_key")),
        sa.UniqueConstraint("service_id", "number", name=op.f("uq_drink_order_service_id_number")),
    )


def create_state() -> None:
    op.create_table(
        "drink_order_state",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("machine_id", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("order_id", sa.Text(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=True),
        sa.Column("round_id", sa.Text(), nullable=True),
        sa.Column("glass_index", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "state IN ('waiting', 'in_round', 'pouring', 'ready', 'collected', 'taken_back', 'sent_back')",
            name=op.f("ck_drink_order_state_state"),
        ),
        sa.CheckConstraint(
            "(state = 'sent_back') = (reason IS NOT NULL)",
            name=op.f("ck_drink_order_state_reason_when_sent_back"),
        ),
        sa.CheckConstraint(
            "(round_id IS NULL) = (glass_index IS NULL)", name=op.f("ck_drink_order_state_round_with_glass")
        ),
        sa.ForeignKeyConstraint(
            ["order_id"], ["drink_order.id"], name=op.f("fk_drink_order_state_order_id_drink_order")
        ),
        sa.ForeignKeyConstraint(
            ["round_id", "glass_index"],
            ["round_glass.round_id", "round_glass.glass_index"],
            name=op.f("fk_drink_order_state_round_id_glass_index_round_glass"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_drink_order_state")),
    )
    op.create_index(op.f("ix_drink_order_state_order_id_id"), "drink_order_state", ["order_id", "id"])
    op.create_index(
        op.f("ix_drink_order_state_round_id_glass_index"), "drink_order_state", ["round_id", "glass_index"]
    )
