"""The tables. A setup is a chain of immutable revisions; a link that was given up is remembered as gone."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    JSON,
    DateTime,
    Dialect,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Text,
    TypeDecorator,
    UniqueConstraint,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}


class UtcDateTime(TypeDecorator[datetime]):
    """A moment, aware and in UTC on both sides; SQLite, which forgets the zone, gets it back on reading."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Refuse a moment without a zone and store it in UTC."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("A stored moment needs a time zone.")
        moment = value.astimezone(UTC)
        return moment.replace(tzinfo=None) if dialect.name == "sqlite" else moment

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """Return the stored moment, aware, in UTC."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


class Base(DeclarativeBase):
    """Base of the mapped classes; constraints carry names, so that a migration can find them."""

    metadata = MetaData(naming_convention=NAMING)


class SetupRow(Base):
    """One saved setup. With `deleted_at` its contents are erased; the row stays so that its link is "gone"."""

    __tablename__ = "setup"

    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    code: Mapped[str] = mapped_column(String(26))
    owner_key_hash: Mapped[str | None] = mapped_column(String(64))
    creation_key: Mapped[str | None] = mapped_column(String(64))
    creation_fingerprint: Mapped[str | None] = mapped_column(String(64))
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)
    expires_at: Mapped[datetime] = mapped_column(UtcDateTime)
    deleted_at: Mapped[datetime | None] = mapped_column(UtcDateTime)

    __table_args__ = (
        UniqueConstraint("code"),
        UniqueConstraint("owner_key_hash"),
        UniqueConstraint("creation_key"),
        Index(None, "expires_at"),
    )


class RevisionRow(Base):
    """One immutable revision: what was asked, measured and answered, by which rules and why.

    `reason` is the text in English. Its key and values are what is shown; without a key (before migration 0004, or
    where somebody wrote the text) the text is.
    """

    __tablename__ = "revision"

    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    setup_id: Mapped[int] = mapped_column(ForeignKey("setup.id"))
    number: Mapped[int] = mapped_column(Integer)
    base_number: Mapped[int | None] = mapped_column(Integer)
    kind: Mapped[str] = mapped_column(String(32))
    reason: Mapped[str] = mapped_column(Text)
    reason_key: Mapped[str | None] = mapped_column(String(64))
    reason_values: Mapped[dict[str, Any] | None] = mapped_column(JSON(none_as_null=True))
    bike_label: Mapped[str] = mapped_column(String(60))
    service_note: Mapped[str] = mapped_column(String(200))
    request: Mapped[dict[str, Any]] = mapped_column(JSON)
    checks: Mapped[list[Any]] = mapped_column(JSON)
    result: Mapped[dict[str, Any]] = mapped_column(JSON)
    rules_version: Mapped[str] = mapped_column(String(16))
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)
    idempotency_key: Mapped[str | None] = mapped_column(String(64))
    fingerprint: Mapped[str | None] = mapped_column(String(64))

    __table_args__ = (
        UniqueConstraint("setup_id", "number"),
        UniqueConstraint("setup_id", "idempotency_key"),
    )


class RetiredLinkRow(Base):
    """A code that was replaced by a renewed link: it answers "gone" and never comes back."""

    __tablename__ = "retired_link"

    code: Mapped[str] = mapped_column(String(26), primary_key=True)
    retired_at: Mapped[datetime] = mapped_column(UtcDateTime)
