"""The tables of cards by the stack: what is to be printed, how far it is, and finished sheets until they are fetched.

A row's request holds a rider's weight only until its setup is saved.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, ForeignKey, Index, Integer, LargeBinary, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from webapp.ground.database.setup_rows import Base, UtcDateTime


class CardStackRow(Base):
    """One stack of cards of a shop. Who holds it works on it until `held_until`, and says so again before."""

    __tablename__ = "card_stack"

    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    shop_id: Mapped[int] = mapped_column(ForeignKey("shop.id"))
    made_by: Mapped[int] = mapped_column(ForeignKey("staff.id"))
    size: Mapped[str] = mapped_column(String(16))
    state: Mapped[str] = mapped_column(String(12))
    total: Mapped[int] = mapped_column(Integer)
    secret: Mapped[str] = mapped_column(String(32))
    creation_key: Mapped[str] = mapped_column(String(64))
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)
    held_by: Mapped[str | None] = mapped_column(String(32))
    held_until: Mapped[datetime | None] = mapped_column(UtcDateTime)

    __table_args__ = (
        UniqueConstraint("shop_id", "creation_key"),
        Index(None, "state"),
        Index(None, "created_at"),
    )


class StackCardRow(Base):
    """One card of a stack: what its setup is made from, then which setup it is, under which link it was printed."""

    __tablename__ = "stack_card"

    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    stack_id: Mapped[int] = mapped_column(ForeignKey("card_stack.id"))
    number: Mapped[int] = mapped_column(Integer)
    state: Mapped[str] = mapped_column(String(12))
    label: Mapped[str] = mapped_column(String(60))
    document: Mapped[dict[str, Any] | None] = mapped_column(JSON(none_as_null=True))
    setup_id: Mapped[int | None] = mapped_column(ForeignKey("setup.id"))
    code: Mapped[str | None] = mapped_column(String(26))

    __table_args__ = (UniqueConstraint("stack_id", "number"), Index(None, "setup_id"))


class StackPartRow(Base):
    """The finished sheets of a part of a stack: its cards from `first` to `last`, as one PDF."""

    __tablename__ = "stack_part"

    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    stack_id: Mapped[int] = mapped_column(ForeignKey("card_stack.id"))
    first: Mapped[int] = mapped_column(Integer)
    last: Mapped[int] = mapped_column(Integer)
    cards: Mapped[int] = mapped_column(Integer)
    size_bytes: Mapped[int] = mapped_column(Integer)
    pdf: Mapped[bytes] = mapped_column(LargeBinary)

    __table_args__ = (UniqueConstraint("stack_id", "first"),)


class KeptCardRow(Base):
    """A finished single card, taken apart to be laid on sheets, under the hash of all that makes it look as it does."""

    __tablename__ = "kept_card"

    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    setup_id: Mapped[int] = mapped_column(ForeignKey("setup.id"))
    look: Mapped[str] = mapped_column(String(64))
    card: Mapped[bytes] = mapped_column(LargeBinary)
    kept_at: Mapped[datetime] = mapped_column(UtcDateTime)

    __table_args__ = (UniqueConstraint("look"), Index(None, "setup_id"), Index(None, "kept_at"))
