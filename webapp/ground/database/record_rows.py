"""The tables of service records, every change made to one, and the checklist that a shop starts from."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import JSON, CheckConstraint, Date, ForeignKey, Index, Integer, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from webapp.ground.database.setup_rows import Base, UtcDateTime


class ServiceRecordRow(Base):
    """One bike's visit. `draft` is the request for its first setup until the record is closed, and then erased."""

    __tablename__ = "bench_record"

    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    shop_id: Mapped[int] = mapped_column(ForeignKey("shop.id"))
    short_code: Mapped[str] = mapped_column(String(8))
    bike_label: Mapped[str] = mapped_column(String(60))
    unit_label: Mapped[str] = mapped_column(String(60))
    customer_reference: Mapped[str] = mapped_column(String(60))
    search_key: Mapped[str] = mapped_column(String(600))
    spring_end: Mapped[str] = mapped_column(String(8))
    state: Mapped[str] = mapped_column(String(8))
    as_found: Mapped[dict[str, Any]] = mapped_column(JSON)
    steps: Mapped[list[Any]] = mapped_column(JSON)
    as_left: Mapped[dict[str, Any]] = mapped_column(JSON)
    draft: Mapped[dict[str, Any] | None] = mapped_column(JSON(none_as_null=True))
    setup_id: Mapped[int | None] = mapped_column(ForeignKey("setup.id"))
    setup_revision: Mapped[int | None] = mapped_column(Integer)
    closing_key: Mapped[str] = mapped_column(String(32))
    opened_at: Mapped[datetime] = mapped_column(UtcDateTime)
    opened_by: Mapped[int] = mapped_column(ForeignKey("staff.id"))
    closed_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    closed_by: Mapped[int | None] = mapped_column(ForeignKey("staff.id"))
    next_due_on: Mapped[date | None] = mapped_column(Date)
    next_due_hours: Mapped[int | None] = mapped_column(Integer)
    #: The library's fork or shock as it was when the record was opened, and the kind of service.
    unit: Mapped[dict[str, Any] | None] = mapped_column(JSON(none_as_null=True))
    service_kind: Mapped[str | None] = mapped_column(String(16))
    #: The short code of the record that this one is the second part of: fork and shock of one visit.
    visit_code: Mapped[str | None] = mapped_column(String(8))

    __table_args__ = (
        UniqueConstraint("shop_id", "short_code"),
        CheckConstraint("state IN ('open', 'closed')", name="state"),
        CheckConstraint("spring_end IN ('front', 'rear')", name="spring_end"),
        Index(None, "shop_id", "opened_at"),
        Index(None, "shop_id", "state", "opened_at"),
        Index(None, "setup_id"),
    )


class RecordChangeRow(Base):
    """One change of a record, never altered afterwards: who, when, what."""

    __tablename__ = "bench_change"

    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    record_id: Mapped[int] = mapped_column(ForeignKey("bench_record.id"))
    number: Mapped[int] = mapped_column(Integer)
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    made_by: Mapped[int] = mapped_column(ForeignKey("staff.id"))
    kind: Mapped[str] = mapped_column(String(32))
    detail: Mapped[dict[str, Any]] = mapped_column(JSON)

    __table_args__ = (UniqueConstraint("record_id", "number"),)


class ServiceDueRow(Base):
    """When one kind of service of a bike's fork or shock is due again, by the last record that did it.

    `hours` are the riding hours that `due_on` was worked out from, where it was.
    """

    __tablename__ = "service_due"

    setup_id: Mapped[int] = mapped_column(ForeignKey("setup.id"), primary_key=True)
    spring_end: Mapped[str] = mapped_column(String(8), primary_key=True)
    service: Mapped[str] = mapped_column(String(16), primary_key=True)
    shop_id: Mapped[int] = mapped_column(ForeignKey("shop.id"))
    record_id: Mapped[int] = mapped_column(ForeignKey("bench_record.id"))
    due_on: Mapped[date] = mapped_column(Date)
    hours: Mapped[int | None] = mapped_column(Integer)

    __table_args__ = (
        CheckConstraint("spring_end IN ('front', 'rear')", name="spring_end"),
        Index(None, "shop_id", "due_on"),
    )


class ChecklistRow(Base):
    """A shop's own checklist; a shop without a row starts from the rules' one."""

    __tablename__ = "bench_checklist"

    shop_id: Mapped[int] = mapped_column(ForeignKey("shop.id"), primary_key=True)
    steps: Mapped[list[Any]] = mapped_column(JSON)
    changed_at: Mapped[datetime] = mapped_column(UtcDateTime)
    changed_by: Mapped[int] = mapped_column(ForeignKey("staff.id"))
