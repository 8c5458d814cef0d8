"""Statements about service records, their history and the shops' checklists. Every one names the shop."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Final

from sqlalchemy import Connection, Row, bindparam, func, insert, or_, select, update
from sqlalchemy.orm import aliased
from sqlalchemy.sql import Select

from setup_rules.workshop.checklist import Step
from webapp.ground.database.record_rows import ChecklistRow, RecordChangeRow, ServiceRecordRow
from webapp.ground.database.setup_rows import SetupRow
from webapp.ground.database.shop_rows import StaffRow

_OPENER, _CLOSER = aliased(StaffRow), aliased(StaffRow)
_STEP_FIELDS: Final = ("key", "kind", "title", "safety", "fixed", "after_travel_change", "state", "values", "suggested")


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceRecord:
    """One visit as stored: what came in, what was done step by step, how it left, and the setup it led to."""

    record_id: int
    shop_id: int
    short_code: str
    bike_label: str
    unit_label: str
    customer_reference: str
    spring_end: str
    state: str
    as_found: dict[str, Any]
    steps: tuple[Step, ...]
    as_left: dict[str, Any]
    draft: dict[str, Any] | None
    setup_code: str | None
    setup_revision: int | None
    closing_key: str
    opened_at: datetime
    opened_by: str
    closed_at: datetime | None
    closed_by: str | None
    next_due_on: date | None
    next_due_hours: int | None
    unit: dict[str, Any] | None = None
    service_kind: str | None = None
    visit_code: str | None = None
    closer_initials: str = ""

    @property
    def visit(self) -> str:
        """The code of the visit: that of its first part, which stands for both."""
        return self.visit_code or self.short_code

    @property
    def is_cancelled(self) -> bool:
        """Whether it was opened by mistake: closed without a setup."""
        return not self.is_open and self.setup_revision is None

    @property
    def is_open(self) -> bool:
        """Whether it can still be changed."""
        return self.state == "open"


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordChange:
    """One change of a record: who made it, when, and what."""

    number: int
    made_at: datetime
    made_by: str
    kind: str
    detail: dict[str, Any]


def step_data(step: Step) -> dict[str, Any]:
    """Return a step as plain data."""
    return {name: getattr(step, name) for name in _STEP_FIELDS}


def read_steps(data: Sequence[Mapping[str, Any]]) -> tuple[Step, ...]:
    """Return the steps that were stored; what a later version no longer knows is left out."""
    return tuple(Step(**{name: row[name] for name in _STEP_FIELDS if name in row}) for row in data)


def record_rows() -> Select[Any]:
    """Return the statement that every question for whole records starts from."""
    columns: Any = (
        select(
            ServiceRecordRow,
            SetupRow.code.label("setup_code"),
            _OPENER.login.label("opener"),
            _CLOSER.login.label("closer"),
            _CLOSER.initials.label("closer_initials"),
        )
        .join(_OPENER, _OPENER.id == ServiceRecordRow.opened_by)
        .outerjoin(_CLOSER, _CLOSER.id == ServiceRecordRow.closed_by)
        .outerjoin(SetupRow, SetupRow.id == ServiceRecordRow.setup_id)
    )
    joined: Select[Any] = columns
    return joined


def read_record(row: Row[Any]) -> ServiceRecord:
    """Return a row of `record_rows` as a record."""
    return ServiceRecord(
        record_id=row.id,
        shop_id=row.shop_id,
        short_code=row.short_code,
        bike_label=row.bike_label,
        unit_label=row.unit_label,
        customer_reference=row.customer_reference,
        spring_end=row.spring_end,
        state=row.state,
        as_found=row.as_found,
        steps=read_steps(row.steps),
        as_left=row.as_left,
        draft=row.draft,
        setup_code=row.setup_code,
        setup_revision=row.setup_revision,
        closing_key=row.closing_key,
        opened_at=row.opened_at,
        opened_by=row.opener,
        closed_at=row.closed_at,
        closed_by=row.closer,
        next_due_on=row.next_due_on,
        next_due_hours=row.next_due_hours,
        unit=row.unit,
        service_kind=row.service_kind,
        visit_code=row.visit_code,
        closer_initials=row.closer_initials or "",
    )


def insert_record(connection: Connection, values: Mapping[str, Any]) -> int:
    """Store a new record and return its number; a short code that is taken breaks the table's constraint."""
    key = connection.execute(insert(ServiceRecordRow).values(**values)).inserted_primary_key
    if key is None:  # not with one row on our databases
        raise RuntimeError("The database gave the new record no number.")
    return int(key[0])


def record_by_code(
    connection: Connection, shop_id: int, short_code: str, *, hold: bool = False
) -> ServiceRecord | None:
    """Return a shop's record, or None; `hold` keeps other savers off it until the transaction ends."""
    statement = record_rows().where(ServiceRecordRow.shop_id == shop_id, ServiceRecordRow.short_code == short_code)
    if hold:
        statement = statement.with_for_update(of=ServiceRecordRow)
    row = connection.execute(statement).first()
    return None if row is None else read_record(row)


def codes_opened_since(connection: Connection, shop_id: int, staff_id: int, since: datetime) -> list[str]:
    """Return the short codes of the open records that one person of a shop has opened since a moment, newest first."""
    statement = select(ServiceRecordRow.short_code).where(
        ServiceRecordRow.shop_id == shop_id,
        ServiceRecordRow.state == "open",
        ServiceRecordRow.opened_at >= since,
        ServiceRecordRow.opened_by == staff_id,
    )
    return list(connection.execute(statement.order_by(ServiceRecordRow.id.desc()).limit(20)).scalars())


#: Records of one setup that are looked at for a card: two parts of a visit, and a few before.
_LATEST: Final = 4

_LED_HERE: Final = (
    record_rows()
    .where(ServiceRecordRow.setup_id == bindparam("setup_id"), ServiceRecordRow.setup_revision <= bindparam("revision"))
    .order_by(ServiceRecordRow.setup_revision.desc(), ServiceRecordRow.id.desc())
    .limit(_LATEST)
)


def service_records(connection: Connection, setup_id: int, revision: int) -> tuple[ServiceRecord, ...]:
    """Return the last closed records that led to this revision of a setup or to one before it, the newest first."""
    asked = {"setup_id": setup_id, "revision": revision}
    return tuple(read_record(row) for row in connection.execute(_LED_HERE, asked))


def parts_of_visit(connection: Connection, shop_id: int, visit_code: str) -> tuple[ServiceRecord, ...]:
    """Return every record of one visit, the first first: that of the code and those that name it."""
    of_visit = or_(ServiceRecordRow.short_code == visit_code, ServiceRecordRow.visit_code == visit_code)
    statement = record_rows().where(ServiceRecordRow.shop_id == shop_id, of_visit).order_by(ServiceRecordRow.id)
    return tuple(read_record(row) for row in connection.execute(statement))


def update_record(connection: Connection, shop_id: int, record_id: int, values: Mapping[str, Any]) -> None:
    """Change a shop's record; the change itself is stored beside it by `insert_change`."""
    own = (ServiceRecordRow.shop_id == shop_id, ServiceRecordRow.id == record_id)
    connection.execute(update(ServiceRecordRow).where(*own).values(**values))


def insert_change(
    connection: Connection, record_id: int, staff_id: int, now: datetime, kind: str, detail: Mapping[str, Any]
) -> None:
    """Add a line to a record's history."""
    latest = select(func.coalesce(func.max(RecordChangeRow.number), 0)).where(RecordChangeRow.record_id == record_id)
    values = {
        "record_id": record_id,
        "number": int(connection.execute(latest).scalar_one()) + 1,
        "made_at": now,
        "made_by": staff_id,
        "kind": kind,
        "detail": dict(detail),
    }
    connection.execute(insert(RecordChangeRow).values(**values))


def changes(connection: Connection, record_id: int) -> tuple[RecordChange, ...]:
    """Return the history of a record, the first change first."""
    statement = (
        select(RecordChangeRow, StaffRow.login)
        .join(StaffRow, StaffRow.id == RecordChangeRow.made_by)
        .where(RecordChangeRow.record_id == record_id)
        .order_by(RecordChangeRow.number)
    )
    return tuple(
        RecordChange(number=row.number, made_at=row.made_at, made_by=row.login, kind=row.kind, detail=row.detail)
        for row in connection.execute(statement)
    )


def checklist(connection: Connection, shop_id: int) -> tuple[Step, ...] | None:
    """Return the shop's own checklist, None when it has none."""
    statement = select(ChecklistRow.steps).where(ChecklistRow.shop_id == shop_id)
    data = connection.execute(statement).scalar()
    return None if data is None else read_steps(data)


def store_checklist(connection: Connection, shop_id: int, steps: Sequence[Step], now: datetime, staff_id: int) -> None:
    """Replace a shop's checklist; open records keep the one that they were opened with."""
    values = {"steps": [step_data(step) for step in steps], "changed_at": now, "changed_by": staff_id}
    changed = connection.execute(update(ChecklistRow).where(ChecklistRow.shop_id == shop_id).values(**values))
    if not changed.rowcount:
        connection.execute(insert(ChecklistRow).values(shop_id=shop_id, **values))


def setup_number(connection: Connection, code: str) -> int | None:
    """Return the number of the setup that has this code, or None."""
    return connection.execute(select(SetupRow.id).where(SetupRow.code == code)).scalar()


def erase_old_drafts(connection: Connection, before: datetime) -> int:
    """Erase the drafts of setups that were never saved, in records opened before a moment."""
    statement = update(ServiceRecordRow).where(ServiceRecordRow.opened_at < before, ServiceRecordRow.draft.is_not(None))
    return int(connection.execute(statement.values(draft=None)).rowcount)
