"""The tables of orders: services, orders, and each state of an order. Orders and states are append-only."""

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, ForeignKeyConstraint, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from .tables import Base


class ServiceRow(Base):
    __tablename__ = "service"
    __table_args__ = (CheckConstraint("closed_at IS NULL OR link_key IS NULL", "no_link_once_closed"),)

    id: Mapped[str] = mapped_column(primary_key=True)
    machine_id: Mapped[str]
    opened_at: Mapped[datetime]
    title: Mapped[str]
    guests_may_order: Mapped[bool]
    link_key: Mapped[str | None]
    closed_at: Mapped[datetime | None]


class OrderRow(Base):
    __tablename__ = "drink_order"
    __table_args__ = (
        UniqueConstraint("service_id", "number"),
        CheckConstraint("(idempotency_key IS NULL) = (fingerprint IS NULL)", "key_with_fingerprint"),
        CheckConstraint("json_valid(wanted)", "wanted"),
        CheckConstraint("number >= 1", "number"),
    )

    id: Mapped[str] = mapped_column(primary_key=True)
    machine_id: Mapped[str]
    created_at: Mapped[datetime]
    idempotency_key: Mapped[str | None] = mapped_column(unique=True)
    fingerprint: Mapped[str | None]
    origin: Mapped[str]
    service_id: Mapped[str] = mapped_column(ForeignKey("service.id"))
    number: Mapped[int]
    recipe_id: Mapped[str] = mapped_column(ForeignKey("recipe.id"))
    guest: Mapped[str | None]
    wanted: Mapped[str]
    name: Mapped[str]
    ethanol_g: Mapped[float]
    strength_known: Mapped[bool]
    takes_s: Mapped[float | None]
    price: Mapped[float | None]


class OrderStateRow(Base):
    __tablename__ = "drink_order_state"
    __table_args__ = (
        ForeignKeyConstraint(
            ["round_id", "glass_index"], ["round_glass.round_id", "round_glass.glass_index"]
        ),
        CheckConstraint(
            "state IN ('waiting', 'in_round', 'pouring', 'ready', 'collected', 'taken_back', 'sent_back')",
            "state",
        ),
        CheckConstraint("(state = 'sent_back') = (reason IS NOT NULL)", "reason_when_sent_back"),
        CheckConstraint("(round_id IS NULL) = (glass_index IS NULL)", "round_with_glass"),
        Index(None, "order_id", "id"),
        Index(None, "round_id", "glass_index"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    machine_id: Mapped[str]
    at: Mapped[datetime]
    order_id: Mapped[str] = mapped_column(ForeignKey("drink_order.id"))
    state: Mapped[str]
    place: Mapped[int]
    reason: Mapped[str | None]
    round_id: Mapped[str | None]
    glass_index: Mapped[int | None]
