"""Statements about when kinds of service of a shop's bikes are due again."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import ColumnElement, Connection, delete, exists, func, insert, select
from sqlalchemy.sql import Select

from webapp.ground.database.record_rows import ServiceDueRow, ServiceRecordRow
from webapp.ground.database.setup_rows import SetupRow


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceDue:
    """When one kind of service of one end of a bike is due; `hours` are those that the day was worked out from."""

    setup_code: str
    spring_end: str
    service: str
    due_on: date
    hours: int | None
    bike_label: str
    unit_label: str
    record_code: str


def replace_dues(
    connection: Connection, record_id: int, shop_id: int, setup_id: int, end: str, dues: Iterable[dict[str, Any]]
) -> None:
    """Store when kinds of service are due from now on; what else is known of the same end stays."""
    for one in dues:
        own = (ServiceDueRow.shop_id == shop_id, ServiceDueRow.setup_id == setup_id, ServiceDueRow.spring_end == end)
        connection.execute(delete(ServiceDueRow).where(*own, ServiceDueRow.service == one["service"]))
        values = {"shop_id": shop_id, "record_id": record_id, "setup_id": setup_id, "spring_end": end, **one}
        connection.execute(insert(ServiceDueRow).values(**values))


def drop_dues(connection: Connection, shop_id: int, setup_id: int, end: str, services: Iterable[str]) -> None:
    """Forget kinds of service of one end: they were done, and nobody says when they are due again."""
    own = (ServiceDueRow.shop_id == shop_id, ServiceDueRow.setup_id == setup_id, ServiceDueRow.spring_end == end)
    connection.execute(delete(ServiceDueRow).where(*own, ServiceDueRow.service.in_(list(services))))


def known_services(connection: Connection, setup_id: int, end: str) -> set[str]:
    """Return the kinds of service of one end of a setup that something is known of."""
    own = (ServiceDueRow.setup_id == setup_id, ServiceDueRow.spring_end == end)
    return set(connection.execute(select(ServiceDueRow.service).where(*own)).scalars())


def dues(connection: Connection, shop_id: int, offset: int, limit: int) -> tuple[ServiceDue, ...]:
    """Return what is due at a shop, the longest due first; a bike that is in the shop for it is left out."""
    statement = _columns().where(*_waiting(shop_id)).order_by(ServiceDueRow.due_on, ServiceDueRow.setup_id)
    return tuple(ServiceDue(**row._mapping) for row in connection.execute(statement.offset(offset).limit(limit)))


def count_dues(connection: Connection, shop_id: int, until: date | None = None) -> int:
    """Return how many kinds of service are known to be due at a shop, those until a day where one is given."""
    statement = select(func.count()).select_from(ServiceDueRow).join(SetupRow, SetupRow.id == ServiceDueRow.setup_id)
    statement = statement.where(*_waiting(shop_id))
    if until is not None:
        statement = statement.where(ServiceDueRow.due_on <= until)
    return int(connection.execute(statement).scalar_one())


def dues_of_setup(connection: Connection, shop_id: int, setup_id: int) -> tuple[ServiceDue, ...]:
    """Return what is due of one setup's bike, the longest due first."""
    own = (ServiceDueRow.shop_id == shop_id, ServiceDueRow.setup_id == setup_id)
    rows = connection.execute(_columns().where(*own).order_by(ServiceDueRow.due_on))
    return tuple(ServiceDue(**row._mapping) for row in rows)


def _columns() -> Select[Any]:
    columns: Any = (
        select(
            SetupRow.code.label("setup_code"),
            ServiceDueRow.spring_end,
            ServiceDueRow.service,
            ServiceDueRow.due_on,
            ServiceDueRow.hours,
            ServiceRecordRow.bike_label,
            ServiceRecordRow.unit_label,
            ServiceRecordRow.short_code.label("record_code"),
        )
        .join(SetupRow, SetupRow.id == ServiceDueRow.setup_id)
        .join(ServiceRecordRow, ServiceRecordRow.id == ServiceDueRow.record_id)
    )
    joined: Select[Any] = columns
    return joined


def _waiting(shop_id: int) -> tuple[ColumnElement[bool], ...]:
    here = exists().where(
        ServiceRecordRow.setup_id == ServiceDueRow.setup_id,
        ServiceRecordRow.spring_end == ServiceDueRow.spring_end,
        ServiceRecordRow.state == "open",
    )
    return ServiceDueRow.shop_id == shop_id, SetupRow.deleted_at.is_(None), ~here.correlate(ServiceDueRow)
