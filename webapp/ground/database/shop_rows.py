"""The tables of the shop: its accounts, its forks and shocks, and which saved setups are its own."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, CheckConstraint, ForeignKey, Index, Integer, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from webapp.ground.database.setup_rows import Base, UtcDateTime


class ShopRow(Base):
    """One shop. Everything below names the shop that it belongs to."""

    __tablename__ = "shop"

    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    name: Mapped[str] = mapped_column(String(60))
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)
    #: The name of the zone whose time of day the shop's pages show; none is UTC.
    time_zone: Mapped[str | None] = mapped_column(String(40))
    phone: Mapped[str | None] = mapped_column(String(24))
    #: Hours that its customers ride a month, to tell when a service is due that goes by hours.
    riding_hours: Mapped[int | None] = mapped_column(Integer)


class StaffRow(Base):
    """One account. A session holds for as long as its epoch is the row's; a row stays, for what it once did."""

    __tablename__ = "staff"

    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    shop_id: Mapped[int] = mapped_column(ForeignKey("shop.id"))
    login: Mapped[str] = mapped_column(String(60))
    password_hash: Mapped[str] = mapped_column(String(200))
    role: Mapped[str] = mapped_column(String(16))
    session_epoch: Mapped[int] = mapped_column(Integer)
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)
    disabled_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    initials: Mapped[str | None] = mapped_column(String(4))

    __table_args__ = (
        UniqueConstraint("login"),
        CheckConstraint("role IN ('owner', 'staff')", name="role"),
        Index(None, "shop_id"),
    )


class LogInAttemptsRow(Base):
    """How often a log-in was tried since a moment, for one login or one address (kept as a hash)."""

    __tablename__ = "log_in_attempts"

    subject: Mapped[str] = mapped_column(String(64), primary_key=True)
    since: Mapped[datetime] = mapped_column(UtcDateTime)
    count: Mapped[int] = mapped_column(Integer)

    __table_args__ = (Index(None, "since"),)


class OpeningLinkRow(Base):
    """The one-time link that opens the first shop."""

    __tablename__ = "opening_link"

    token_hash: Mapped[str] = mapped_column(String(64), primary_key=True)
    expires_at: Mapped[datetime] = mapped_column(UtcDateTime)


class SuspensionUnitRow(Base):
    """A fork or shock in a shop's library. `version` counts the saves, so that two editors do not overwrite.

    What was taught before the later of `forgotten_at` and `internals_at` says nothing of it any more.
    """

    __tablename__ = "unit"

    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    shop_id: Mapped[int] = mapped_column(ForeignKey("shop.id"))
    kind: Mapped[str] = mapped_column(String(8))
    name: Mapped[str] = mapped_column(String(60))
    name_key: Mapped[str] = mapped_column(String(200))
    document: Mapped[dict[str, Any]] = mapped_column(JSON)
    version: Mapped[int] = mapped_column(Integer)
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)
    changed_at: Mapped[datetime] = mapped_column(UtcDateTime)
    retired_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    forgotten_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    internals_at: Mapped[datetime | None] = mapped_column(UtcDateTime)

    __table_args__ = (
        UniqueConstraint("shop_id", "name_key"),
        CheckConstraint("kind IN ('fork', 'shock')", name="kind"),
    )


class UnitSetupRow(Base):
    """Which fork or shock of the library a setup chose, and what its checks taught of it; erased with the setup."""

    __tablename__ = "unit_setup"

    setup_id: Mapped[int] = mapped_column(ForeignKey("setup.id"), primary_key=True)
    spring_end: Mapped[str] = mapped_column(String(8), primary_key=True)
    unit_id: Mapped[int] = mapped_column(ForeignKey("unit.id"))
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)
    lesson: Mapped[dict[str, Any] | None] = mapped_column(JSON(none_as_null=True))

    __table_args__ = (
        Index(None, "unit_id"),
        CheckConstraint("spring_end IN ('front', 'rear')", name="spring_end"),
    )


class ShopSetupRow(Base):
    """A setup that staff saved: whose it is, and the short code under which the shop finds it again."""

    __tablename__ = "shop_setup"

    setup_id: Mapped[int] = mapped_column(ForeignKey("setup.id"), primary_key=True)
    shop_id: Mapped[int] = mapped_column(ForeignKey("shop.id"))
    short_code: Mapped[str] = mapped_column(String(8))
    staff_id: Mapped[int] = mapped_column(ForeignKey("staff.id"))
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)

    __table_args__ = (
        UniqueConstraint("shop_id", "short_code"),
        Index(None, "shop_id", "created_at"),
    )


class ApiTokenRow(Base):
    """What lets a shop's own tool use the JSON interface, kept as a hash; `staff_id` is who made it."""

    __tablename__ = "api_token"

    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    shop_id: Mapped[int] = mapped_column(ForeignKey("shop.id"))
    staff_id: Mapped[int] = mapped_column(ForeignKey("staff.id"))
    name: Mapped[str] = mapped_column(String(60))
    token_hash: Mapped[str] = mapped_column(String(64))
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)
    last_used_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    revoked_at: Mapped[datetime | None] = mapped_column(UtcDateTime)

    __table_args__ = (UniqueConstraint("token_hash"), Index(None, "shop_id"))


class ClassFactorsRow(Base):
    """What a shop let its own sag checks move from one moment on; the highest number counts, no factors is off."""

    __tablename__ = "class_factors"

    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    shop_id: Mapped[int] = mapped_column(ForeignKey("shop.id"))
    number: Mapped[int] = mapped_column(Integer)
    factors: Mapped[list[Any]] = mapped_column(JSON)
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    made_by: Mapped[int] = mapped_column(ForeignKey("staff.id"))

    __table_args__ = (UniqueConstraint("shop_id", "number"),)
