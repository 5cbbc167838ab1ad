"""The tables; those of rounds are in round_tables.py, of orders in order_tables.py.

docs/records.md explains each column; migrations/ creates them.

Triggers refuse to change or delete rows of the tables in `APPEND_ONLY`, which hold the history.
"""

from datetime import UTC, datetime

from sqlalchemy import (
    CheckConstraint,
    Dialect,
    Double,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    LargeBinary,
    MetaData,
    Text,
    TypeDecorator,
    text,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

APPLICATION_ID = 0x54415245
"""`PRAGMA application_id` of the file ("TARE" in ASCII), so that another program's database is recognised."""

APPEND_ONLY = (
    "pour",
    "dose",
    "pour_outcome",
    "dose_outcome",
    "dose_balance",
    "trace_chunk",
    "event",
    "inflight",
    "calibration",
    "stock_movement",
    "found_later",
    "late_drips",
    "round",
    "round_glass",
    "round_glass_outcome",
    "round_outcome",
    "guest_release",
    "drink_order",
    "drink_order_state",
)


def utc_text(at: datetime) -> str:
    """ISO 8601 in UTC with microseconds, always 27 characters, so that text order is time order.

    Raises:
        ValueError: a time without a zone.
    """
    if at.tzinfo is None:
        raise ValueError(f"a time needs its zone, got {at.isoformat()}; use datetime.now(UTC)")
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


class UtcTime(TypeDecorator[datetime]):
    """An aware datetime, stored as the text of `utc_text`."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> str | None:
        """To the column."""
        return None if value is None else utc_text(value)

    def process_result_value(self, value: str | None, dialect: Dialect) -> datetime | None:
        """From the column."""
        return None if value is None else datetime.fromisoformat(value)


class Base(DeclarativeBase):
    """All tables; every constraint has a name, since SQLite can only change a named one."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
            "pk": "pk_%(table_name)s",
        }
    )
    type_annotation_map = {str: Text, float: Double, bytes: LargeBinary, datetime: UtcTime}  # noqa: RUF012 - as SQLAlchemy reads it


class CatalogueRow(Base):
    """Common to liquids, glasses and recipes."""

    __abstract__ = True

    id: Mapped[str] = mapped_column(primary_key=True)
    machine_id: Mapped[str]
    name: Mapped[str]
    active: Mapped[bool]


class LiquidRow(CatalogueRow):
    __tablename__ = "liquid"
    __table_args__ = (
        CheckConstraint("density_g_per_ml BETWEEN 0.7 AND 1.6", "density"),
        CheckConstraint("density_uncertainty_g_per_ml >= 0", "density_uncertainty"),
        CheckConstraint(
            "density_origin IN ('water', 'strength', 'brix', 'strength and sugar', 'entered', 'weighed')",
            "density_origin",
        ),
        CheckConstraint("abv_percent BETWEEN 0 AND 100", "abv"),
        CheckConstraint("sugar_g_per_l >= 0", "sugar"),
        CheckConstraint("cost_per_l >= 0", "cost"),
    )

    density_g_per_ml: Mapped[float]
    density_uncertainty_g_per_ml: Mapped[float]
    density_origin: Mapped[str]
    density_at_c: Mapped[float]
    abv_percent: Mapped[float | None]
    sugar_g_per_l: Mapped[float | None]
    allergens: Mapped[str | None]
    cost_per_l: Mapped[float | None]
    serving_c: Mapped[float]
    note: Mapped[str]
    colour: Mapped[str | None]


class GlassRow(CatalogueRow):
    __tablename__ = "glass"
    __table_args__ = (
        CheckConstraint("brim_ml > 0", "brim"),
        CheckConstraint("headroom_ml >= 0 AND headroom_ml < brim_ml", "headroom"),
        CheckConstraint("lightest_g <= heaviest_g", "mass_range"),
        CheckConstraint("(lightest_g IS NULL) = (heaviest_g IS NULL)", "both_masses"),
    )

    brim_ml: Mapped[float]
    headroom_ml: Mapped[float]
    lightest_g: Mapped[float | None]
    heaviest_g: Mapped[float | None]
    rim_mm: Mapped[float | None]
    base_mm: Mapped[float | None]
    height_mm: Mapped[float | None]


class RecipeRow(CatalogueRow):
    __tablename__ = "recipe"
    __table_args__ = (
        CheckConstraint("json_valid(steps)", "steps"),
        CheckConstraint("volume_ml > 0", "volume"),
    )

    steps: Mapped[str]
    glass_id: Mapped[str | None] = mapped_column(ForeignKey("glass.id"))
    volume_ml: Mapped[float | None]
    price: Mapped[float | None]
    keep_order: Mapped[bool] = mapped_column(server_default=text("1"))
    note: Mapped[str]


class ChannelRow(Base):
    __tablename__ = "channel"
    __table_args__ = (CheckConstraint("number >= 1", "number"),)

    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    machine_id: Mapped[str]
    liquid_id: Mapped[str | None] = mapped_column(ForeignKey("liquid.id"))
    name: Mapped[str]


class BottleRow(Base):
    __tablename__ = "bottle"
    __table_args__ = (
        CheckConstraint("full_g > 0", "full"),
        CheckConstraint("low_g >= 0", "low"),
        CheckConstraint("tare_g > 0", "tare"),
    )

    id: Mapped[str] = mapped_column(primary_key=True)
    machine_id: Mapped[str]
    liquid_id: Mapped[str] = mapped_column(ForeignKey("liquid.id"))
    full_g: Mapped[float]
    low_g: Mapped[float]
    tare_g: Mapped[float | None]
    channel: Mapped[int | None] = mapped_column(ForeignKey("channel.number"), unique=True)
    opened_at: Mapped[str | None]


class PourRow(Base):
    __tablename__ = "pour"
    __table_args__ = (
        CheckConstraint("(idempotency_key IS NULL) = (fingerprint IS NULL)", "key_with_fingerprint"),
        CheckConstraint("purpose IN ('drink', 'prime', 'flush', 'purge')", "purpose"),
        CheckConstraint("recipe IS NULL OR json_valid(recipe)", "recipe"),
        Index(None, "created_at"),
    )

    id: Mapped[str] = mapped_column(primary_key=True)
    machine_id: Mapped[str]
    created_at: Mapped[datetime]
    idempotency_key: Mapped[str | None] = mapped_column(unique=True)
    fingerprint: Mapped[str | None]
    setup: Mapped[str]
    origin: Mapped[str]
    program_version: Mapped[str]
    board_id: Mapped[str | None]
    board_firmware: Mapped[str | None]
    purpose: Mapped[str]
    recipe: Mapped[str | None]


class DoseRow(Base):
    __tablename__ = "dose"
    __table_args__ = (CheckConstraint("target_g > 0", "target"), Index(None, "channel", "pour_id"))

    pour_id: Mapped[str] = mapped_column(ForeignKey("pour.id"), primary_key=True)
    dose_index: Mapped[int] = mapped_column(primary_key=True)
    machine_id: Mapped[str]
    channel: Mapped[int]
    liquid_id: Mapped[str] = mapped_column(ForeignKey("liquid.id"))
    liquid_name: Mapped[str]
    density_g_per_ml: Mapped[float]
    abv_percent: Mapped[float | None]
    target_g: Mapped[float]


class PourOutcomeRow(Base):
    __tablename__ = "pour_outcome"
    __table_args__ = (
        CheckConstraint("state IN ('complete', 'stopped', 'aborted', 'interrupted')", "state"),
        Index(None, "state", "pour_id"),
    )

    pour_id: Mapped[str] = mapped_column(ForeignKey("pour.id"), primary_key=True)
    machine_id: Mapped[str]
    ended_at: Mapped[datetime]
    state: Mapped[str]
    cause: Mapped[str]
    delivered_g: Mapped[float | None]
    glass_g: Mapped[float | None]
    uncertainty_g: Mapped[float | None]


class DoseOutcomeRow(Base):
    __tablename__ = "dose_outcome"
    __table_args__ = (
        ForeignKeyConstraint(["pour_id", "dose_index"], ["dose.pour_id", "dose.dose_index"]),
        CheckConstraint("verdict IN ('within', 'under', 'over')", "verdict"),
    )

    pour_id: Mapped[str] = mapped_column(primary_key=True)
    dose_index: Mapped[int] = mapped_column(primary_key=True)
    machine_id: Mapped[str]
    delivered_g: Mapped[float]
    inflight_g: Mapped[float]
    peak_flow_g_per_s: Mapped[float]
    jogs: Mapped[int]
    began_s: Mapped[float]
    cut_off_s: Mapped[float | None]
    ended_s: Mapped[float]
    verdict: Mapped[str | None]
    cause: Mapped[str]
    target_g: Mapped[float | None]
    uncertainty_g: Mapped[float | None]


class DoseBalanceRow(Base):
    __tablename__ = "dose_balance"
    __table_args__ = (
        ForeignKeyConstraint(["pour_id", "dose_index"], ["dose.pour_id", "dose.dose_index"]),
        Index(None, "pour_id"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    machine_id: Mapped[str]
    pour_id: Mapped[str]
    dose_index: Mapped[int]
    added_g: Mapped[float]
    spilt_g: Mapped[float]
    doubt_g: Mapped[float]


class StockMovementRow(Base):
    __tablename__ = "stock_movement"
    __table_args__ = (
        ForeignKeyConstraint(["pour_id", "dose_index"], ["dose.pour_id", "dose.dose_index"]),
        CheckConstraint("kind IN ('opening', 'pour', 'prime', 'purge', 'found', 'correction')", "kind"),
        CheckConstraint(
            "(kind IN ('pour', 'prime', 'purge', 'found')) = (pour_id IS NOT NULL)", "kind_with_pour"
        ),
        CheckConstraint("(pour_id IS NULL) = (dose_index IS NULL)", "pour_with_dose"),
        Index(None, "bottle_id", "change_g"),
        Index(None, "pour_id"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    machine_id: Mapped[str]
    at: Mapped[datetime]
    bottle_id: Mapped[str] = mapped_column(ForeignKey("bottle.id"))
    kind: Mapped[str]
    change_g: Mapped[float]
    pour_id: Mapped[str | None]
    dose_index: Mapped[int | None]


class FoundLaterRow(Base):
    __tablename__ = "found_later"
    __table_args__ = (
        ForeignKeyConstraint(["pour_id", "dose_index"], ["dose.pour_id", "dose.dose_index"]),
        CheckConstraint("certainty IN ('weighed', 'doubtful', 'unknown')", "certainty"),
        CheckConstraint("(certainty = 'unknown') = (found_g IS NULL)", "mass_unless_unknown"),
        CheckConstraint("(certainty = 'weighed') = (reason IS NULL)", "reason_unless_weighed"),
    )

    pour_id: Mapped[str] = mapped_column(ForeignKey("pour.id"), primary_key=True)
    machine_id: Mapped[str]
    at: Mapped[datetime]
    certainty: Mapped[str]
    found_g: Mapped[float | None]
    dose_index: Mapped[int | None]
    reason: Mapped[str | None]


class LateDripsRow(Base):
    __tablename__ = "late_drips"
    __table_args__ = (ForeignKeyConstraint(["pour_id", "dose_index"], ["dose.pour_id", "dose.dose_index"]),)

    pour_id: Mapped[str] = mapped_column(ForeignKey("pour.id"), primary_key=True)
    machine_id: Mapped[str]
    at: Mapped[datetime]
    dose_index: Mapped[int]
    dripped_g: Mapped[float]
    dose_uncertainty_g: Mapped[float]
    uncertainty_g: Mapped[float]


class TraceChunkRow(Base):
    __tablename__ = "trace_chunk"

    pour_id: Mapped[str] = mapped_column(ForeignKey("pour.id"), primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True)
    machine_id: Mapped[str]
    at: Mapped[datetime]
    entries: Mapped[int]
    last_delivered_g: Mapped[float | None]
    data: Mapped[bytes]


class RecordingRow(Base):
    __tablename__ = "recording"

    id: Mapped[str] = mapped_column(primary_key=True)
    machine_id: Mapped[str]
    caused_at: Mapped[datetime]
    cause: Mapped[str]
    pour_id: Mapped[str | None] = mapped_column(ForeignKey("pour.id"))
    program_version: Mapped[str]
    begins_s: Mapped[float]
    ends_s: Mapped[float]
    data: Mapped[bytes]


class EventRow(Base):
    __tablename__ = "event"
    __table_args__ = (
        Index(None, "pour_id"),
        Index(None, "kind", "seq"),
        {"sqlite_autoincrement": True},
    )

    seq: Mapped[int] = mapped_column(primary_key=True)
    machine_id: Mapped[str]
    at: Mapped[datetime]
    kind: Mapped[str]
    pour_id: Mapped[str | None] = mapped_column(ForeignKey("pour.id"))
    body: Mapped[str]
    prev_hash: Mapped[str]
    hash: Mapped[str]


class InFlightRow(Base):
    __tablename__ = "inflight"
    __table_args__ = (Index(None, "channel", "liquid_id", "id"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    machine_id: Mapped[str]
    at: Mapped[datetime]
    channel: Mapped[int]
    liquid_id: Mapped[str] = mapped_column(ForeignKey("liquid.id"))
    lag_s: Mapped[float]
    spread_s: Mapped[float]
    flow_g_per_s: Mapped[float]
    count: Mapped[int]
    pour_id: Mapped[str | None] = mapped_column(ForeignKey("pour.id"))
    speeds: Mapped[str | None]
    flow_share: Mapped[float | None]
    runs: Mapped[str | None]
    settling: Mapped[str | None]


class CalibrationRow(Base):
    __tablename__ = "calibration"
    __table_args__ = (
        CheckConstraint("counts_per_g <> 0", "span"),
        CheckConstraint("how IN ('two_point', 'zero')", "how"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    machine_id: Mapped[str]
    at: Mapped[datetime]
    zero_counts: Mapped[float]
    counts_per_g: Mapped[float]
    how: Mapped[str]
