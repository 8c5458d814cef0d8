"""The tables of a shop's bikes: what each is, what stands on it now, and what its riders' checks taught of its springs.

Nothing here tells a rider's weight. A setup made on a bike is named by its row alone, and a lesson goes with it.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import (
    JSON,
    Boolean,
    CheckConstraint,
    Float,
    ForeignKey,
    Index,
    Integer,
    String,
    UniqueConstraint,
)
from sqlalchemy.orm import Mapped, mapped_column

from webapp.ground.database.setup_rows import Base, UtcDateTime


class BikeRow(Base):
    """One bike of a shop. `document` is a request without its rider, `standing` what is set on it by end."""

    __tablename__ = "bike"

    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    shop_id: Mapped[int] = mapped_column(ForeignKey("shop.id"))
    number: Mapped[str] = mapped_column(String(20))
    number_key: Mapped[str] = mapped_column(String(80))
    label: Mapped[str] = mapped_column(String(60))
    tag: Mapped[str] = mapped_column(String(26))
    document: Mapped[dict[str, Any]] = mapped_column(JSON)
    standing: Mapped[dict[str, Any]] = mapped_column(JSON)
    stands_since: Mapped[datetime | None] = mapped_column(UtcDateTime)
    version: Mapped[int] = mapped_column(Integer)
    creation_key: Mapped[str | None] = mapped_column(String(64))
    creation_fingerprint: Mapped[str | None] = mapped_column(String(64))
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)
    changed_at: Mapped[datetime] = mapped_column(UtcDateTime)
    retired_at: Mapped[datetime | None] = mapped_column(UtcDateTime)

    __table_args__ = (
        UniqueConstraint("shop_id", "number_key"),
        UniqueConstraint("tag"),
        UniqueConstraint("creation_key"),
    )


class BikeMemoryRow(Base):
    """What is remembered of one spring. `era` counts its ends, `kept` what share of the first lesson is still in it."""

    __tablename__ = "bike_memory"

    bike_id: Mapped[int] = mapped_column(ForeignKey("bike.id"), primary_key=True)
    spring_end: Mapped[str] = mapped_column(String(8), primary_key=True)
    memory: Mapped[dict[str, Any]] = mapped_column(JSON)
    era: Mapped[int] = mapped_column(Integer)
    kept: Mapped[float] = mapped_column(Float)

    __table_args__ = (CheckConstraint("spring_end IN ('front', 'rear')", name="spring_end"),)


class BikeSetupRow(Base):
    """Which bike a setup was made on; erased with the setup."""

    __tablename__ = "bike_setup"

    setup_id: Mapped[int] = mapped_column(ForeignKey("setup.id"), primary_key=True)
    bike_id: Mapped[int] = mapped_column(ForeignKey("bike.id"))
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)

    __table_args__ = (Index(None, "bike_id"),)


class BikeLessonRow(Base):
    """What one setup's checks added to a memory, when it was `era` and `kept`: taken out again when they change."""

    __tablename__ = "bike_lesson"

    setup_id: Mapped[int] = mapped_column(ForeignKey("bike_setup.setup_id"), primary_key=True)
    spring_end: Mapped[str] = mapped_column(String(8), primary_key=True)
    lesson: Mapped[dict[str, Any]] = mapped_column(JSON)
    era: Mapped[int] = mapped_column(Integer)
    kept: Mapped[float] = mapped_column(Float)

    __table_args__ = (CheckConstraint("spring_end IN ('front', 'rear')", name="spring_end"),)


class BikeTurnRow(Base):
    """Where a bike is in its day, and the link's code of the setup that a rider has on it; without a row it is in.

    A rider who took a card home (`has_card`) keeps the setup, every other one's is erased when the bike is back.
    """

    __tablename__ = "bike_turn"

    bike_id: Mapped[int] = mapped_column(ForeignKey("bike.id"), primary_key=True)
    state: Mapped[str] = mapped_column(String(12))
    since: Mapped[datetime] = mapped_column(UtcDateTime)
    staff_id: Mapped[int] = mapped_column(ForeignKey("staff.id"))
    reason: Mapped[str] = mapped_column(String(200))
    rider_code: Mapped[str | None] = mapped_column(String(26))
    has_card: Mapped[bool] = mapped_column(Boolean)

    __table_args__ = (CheckConstraint("state IN ('in', 'being_set', 'out', 'back', 'set_aside')", name="state"),)


class BikeEventRow(Base):
    """What was done to a bike. `detail` says what was set or read, `before` what an undo brings back.

    Neither holds a weight or a rider's link. `version` is the bike's after it; `key_hash` is the page's that sent it.
    """

    __tablename__ = "bike_event"

    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    shop_id: Mapped[int] = mapped_column(ForeignKey("shop.id"))
    bike_id: Mapped[int] = mapped_column(ForeignKey("bike.id"))
    kind: Mapped[str] = mapped_column(String(16))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    staff_id: Mapped[int | None] = mapped_column(ForeignKey("staff.id"))
    version: Mapped[int] = mapped_column(Integer)
    detail: Mapped[dict[str, Any]] = mapped_column(JSON)
    before: Mapped[dict[str, Any] | None] = mapped_column(JSON(none_as_null=True))
    key_hash: Mapped[str | None] = mapped_column(String(64))

    __table_args__ = (
        UniqueConstraint("key_hash"),
        Index(None, "bike_id"),
        Index(None, "shop_id", "made_at"),
    )
