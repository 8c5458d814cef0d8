"""Statements that find a shop's service records: by words, codes and days, open ones, and those that one worked on."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from sqlalchemy import ColumnElement, Connection, and_, exists, func, or_, select
from sqlalchemy.sql import Select

from webapp.ground.database.record_rows import RecordChangeRow, ServiceRecordRow
from webapp.ground.database.setup_rows import SetupRow
from webapp.ground.database.shop_rows import ShopSetupRow
from webapp.ground.short_codes import short_code_of
from webapp.workshop.queries.records import ServiceRecord, read_record, record_rows

#: Which of a shop's records: all, those that are open, or the open ones that a member of staff started or changed.
Part = Literal["all", "open", "mine"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What records are searched by. Every one of `words` has to be found; or the card's code; or the day, with `rest`.

    Nothing given finds every record of the part. `staff_id` is whose records "mine" are.
    """

    part: Part = "all"
    staff_id: int = 0
    words: tuple[str, ...] = ()
    setup_code: str = ""
    day: tuple[datetime, datetime] | None = None
    rest: tuple[str, ...] = ()

    def conditions(self) -> list[ColumnElement[bool]]:
        """Return the conditions on the rows, all of which have to hold."""
        found: list[ColumnElement[bool]] = []
        if self.part != "all":
            found.append(ServiceRecordRow.state == "open")
        if self.part == "mine":
            changed = exists().where(
                RecordChangeRow.record_id == ServiceRecordRow.id, RecordChangeRow.made_by == self.staff_id
            )
            found.append(or_(ServiceRecordRow.opened_by == self.staff_id, changed))
        meant = self._meant()
        return [*found, or_(*meant)] if meant else found

    def _meant(self) -> list[ColumnElement[bool]]:
        meant: list[ColumnElement[bool]] = []
        if self.words:
            meant.append(and_(*map(_holds, self.words)))
        if self.setup_code:
            meant.append(SetupRow.code == self.setup_code)
        if self.day:
            there = or_(ServiceRecordRow.opened_at.between(*self.day), ServiceRecordRow.closed_at.between(*self.day))
            meant.append(and_(there, *map(_holds, self.rest)))
        return meant


def _holds(word: str) -> ColumnElement[bool]:
    """Return the condition that a record says a word, or has it for one of its codes."""
    parts: list[ColumnElement[bool]] = [ServiceRecordRow.search_key.contains(word, autoescape=True)]
    if code := short_code_of(word):
        parts += [ServiceRecordRow.short_code == code, ServiceRecordRow.visit_code == code]
        of_setup = select(ShopSetupRow.setup_id).where(ShopSetupRow.short_code == code)
        parts.append(ServiceRecordRow.setup_id.in_(of_setup.where(ShopSetupRow.shop_id == ServiceRecordRow.shop_id)))
    return or_(*parts)


def search(connection: Connection, shop_id: int, wanted: Wanted, offset: int, limit: int) -> tuple[ServiceRecord, ...]:
    """Return a shop's records, the newest first, `limit` of them after `offset`."""
    newest_first = ServiceRecordRow.opened_at.desc(), ServiceRecordRow.id.desc()
    # Which ones is asked first, by the index alone: the documents of a record are long, and only the page's are read.
    page = _numbers(shop_id, wanted).order_by(*newest_first).offset(offset).limit(limit).subquery("page")
    statement = record_rows().join(page, page.c.id == ServiceRecordRow.id).order_by(*newest_first)
    return tuple(read_record(row) for row in connection.execute(statement))


def count(connection: Connection, shop_id: int, wanted: Wanted) -> int:
    """Return how many of a shop's records are wanted."""
    statement = _numbers(shop_id, wanted).with_only_columns(func.count())
    return int(connection.execute(statement).scalar_one())


def _numbers(shop_id: int, wanted: Wanted) -> Select[Any]:
    statement: Select[Any] = select(ServiceRecordRow.id).where(ServiceRecordRow.shop_id == shop_id)
    if wanted.setup_code:
        statement = statement.outerjoin(SetupRow, SetupRow.id == ServiceRecordRow.setup_id)
    return statement.where(*wanted.conditions())


def records_after(connection: Connection, shop_id: int, last: int, limit: int) -> tuple[ServiceRecord, ...]:
    """Return a shop's records with a number above `last`, at most `limit`, the first first."""
    own = (ServiceRecordRow.shop_id == shop_id, ServiceRecordRow.id > last)
    statement = record_rows().where(*own).order_by(ServiceRecordRow.id).limit(limit)
    return tuple(read_record(row) for row in connection.execute(statement))


def records_of_setup(connection: Connection, shop_id: int, setup_id: int, limit: int) -> tuple[ServiceRecord, ...]:
    """Return a shop's newest records of one setup, at most `limit`, the newest first."""
    own = (ServiceRecordRow.setup_id == setup_id, ServiceRecordRow.shop_id == shop_id)
    statement = record_rows().where(*own).order_by(ServiceRecordRow.id.desc()).limit(limit)
    return tuple(read_record(row) for row in connection.execute(statement))


def count_of_setup(connection: Connection, shop_id: int, setup_id: int) -> int:
    """Return how many records of a shop are about one setup."""
    own = (ServiceRecordRow.setup_id == setup_id, ServiceRecordRow.shop_id == shop_id)
    return int(connection.execute(select(func.count()).select_from(ServiceRecordRow).where(*own)).scalar_one())


def last_unit_of_setup(
    connection: Connection, shop_id: int, setup_id: int, spring_end: str
) -> tuple[str, dict[str, Any] | None] | None:
    """Return (model, library's entry as it was then) of the newest record about one end of a setup that names it."""
    own = (ServiceRecordRow.setup_id == setup_id, ServiceRecordRow.shop_id == shop_id)
    named = (ServiceRecordRow.spring_end == spring_end, ServiceRecordRow.unit_label != "")
    statement = select(ServiceRecordRow.unit_label, ServiceRecordRow.unit).where(*own, *named)
    row = connection.execute(statement.order_by(ServiceRecordRow.id.desc()).limit(1)).first()
    return None if row is None else (row.unit_label, row.unit)
