"""The tables of rounds: intents, outcomes, and releases of guests. All are append-only."""

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, ForeignKeyConstraint, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from .tables import Base


class RoundRow(Base):
    __tablename__ = "round"
    __table_args__ = (
        CheckConstraint("(idempotency_key IS NULL) = (fingerprint IS NULL)", "key_with_fingerprint"),
        CheckConstraint("json_valid(liquids)", "liquids"),
    )

    id: Mapped[str] = mapped_column(primary_key=True)
    machine_id: Mapped[str]
    created_at: Mapped[datetime]
    idempotency_key: Mapped[str | None] = mapped_column(unique=True)
    fingerprint: Mapped[str | None]
    origin: Mapped[str]
    program_version: Mapped[str]
    auto_start: Mapped[bool]
    liquids: Mapped[str]


class RoundGlassRow(Base):
    __tablename__ = "round_glass"
    __table_args__ = (CheckConstraint("json_valid(plan)", "plan"),)

    round_id: Mapped[str] = mapped_column(ForeignKey("round.id"), primary_key=True)
    glass_index: Mapped[int] = mapped_column(primary_key=True)
    machine_id: Mapped[str]
    recipe_id: Mapped[str] = mapped_column(ForeignKey("recipe.id"))
    guest: Mapped[str | None]
    plan: Mapped[str]


class RoundGlassOutcomeRow(Base):
    __tablename__ = "round_glass_outcome"
    __table_args__ = (
        ForeignKeyConstraint(
            ["round_id", "glass_index"], ["round_glass.round_id", "round_glass.glass_index"]
        ),
        UniqueConstraint("round_id", "glass_index", "attempt"),
        CheckConstraint("ending IN ('complete', 'skipped', 'spoilt', 'stopped', 'interrupted')", "ending"),
        CheckConstraint("json_valid(pour_ids)", "pour_ids"),
        Index(None, "ended_at"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    machine_id: Mapped[str]
    round_id: Mapped[str]
    glass_index: Mapped[int]
    attempt: Mapped[int]
    ended_at: Mapped[datetime]
    ending: Mapped[str]
    pour_ids: Mapped[str]
    mass_g: Mapped[float]
    volume_ml: Mapped[float]
    contraction_ml: Mapped[float]
    ethanol_g: Mapped[float]
    sugar_g: Mapped[float]


class RoundOutcomeRow(Base):
    __tablename__ = "round_outcome"
    __table_args__ = (CheckConstraint("state IN ('complete', 'stopped', 'aborted', 'interrupted')", "state"),)

    round_id: Mapped[str] = mapped_column(ForeignKey("round.id"), primary_key=True)
    machine_id: Mapped[str]
    ended_at: Mapped[datetime]
    state: Mapped[str]


class GuestReleaseRow(Base):
    __tablename__ = "guest_release"
    __table_args__ = (
        ForeignKeyConstraint(
            ["round_id", "glass_index"], ["round_glass.round_id", "round_glass.glass_index"]
        ),
        Index(None, "guest", "id"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    machine_id: Mapped[str]
    at: Mapped[datetime]
    guest: Mapped[str]
    round_id: Mapped[str]
    glass_index: Mapped[int]
    released_by: Mapped[str]
    reason: Mapped[str]
