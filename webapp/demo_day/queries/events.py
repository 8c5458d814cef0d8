"""Statements about what was done to a shop's bikes, the newest first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from sqlalchemy import Connection, Row, Select, bindparam, insert, select

from webapp.ground.database.bike_rows import BikeEventRow, BikeRow
from webapp.ground.database.shop_rows import StaffRow


@dataclass(frozen=True, slots=True, kw_only=True)
class BikeEvent:
    """One thing that was done to a bike. `by` is the login of who did it, `before` what an undo brings back."""

    event_id: int
    bike_id: int
    bike_number: str
    kind: str
    made_at: datetime
    by: str
    version: int
    detail: Mapping[str, Any]
    before: Mapping[str, Any] | None


_EVENT: Final[Select[Any]] = (
    select(*BikeEventRow.__table__.columns, StaffRow.login, BikeRow.number.label("bike_number"))
    .join(BikeRow, BikeRow.id == BikeEventRow.bike_id)
    .outerjoin(StaffRow, StaffRow.id == BikeEventRow.staff_id)
)
_UNDER: Final = _EVENT.where(BikeEventRow.key_hash == bindparam("key_hash"))
_OF_BIKE: Final = _EVENT.where(BikeEventRow.bike_id == bindparam("bike_id")).order_by(BikeEventRow.id.desc()).limit(1)
_NEWEST: Final = _OF_BIKE.where(BikeEventRow.kind != "sag_check")
_NEWEST_OF_KIND: Final = _OF_BIKE.where(BikeEventRow.kind == bindparam("kind"))


def insert_event(connection: Connection, values: Mapping[str, Any]) -> None:
    """Store what was done; a page's key that was used breaks the table's constraint."""
    connection.execute(insert(BikeEventRow).values(**values))


def event_under(connection: Connection, key_hash: str) -> BikeEvent | None:
    """Return what was done under a page's key, or None."""
    return _event(connection.execute(_UNDER, {"key_hash": key_hash}).first())


def newest_event(connection: Connection, bike_id: int, kind: str = "") -> BikeEvent | None:
    """Return the last thing that was done to a bike by its crew, or the last of a kind; a sag check is the rider's."""
    wanted, asked = (_NEWEST_OF_KIND, {"kind": kind}) if kind else (_NEWEST, {})
    return _event(connection.execute(wanted, {"bike_id": bike_id, **asked}).first())


def events(
    connection: Connection, shop_id: int, *, bike_id: int | None = None, start: int = 0, limit: int
) -> tuple[BikeEvent, ...]:
    """Return what was done to the bikes of a shop, or to one of them."""
    wanted = _EVENT.where(BikeEventRow.shop_id == shop_id)
    if bike_id is not None:
        wanted = wanted.where(BikeEventRow.bike_id == bike_id)
    rows = connection.execute(wanted.order_by(BikeEventRow.id.desc()).offset(start).limit(limit))
    return tuple(found for row in rows if (found := _event(row)) is not None)


def events_since(connection: Connection, shop_id: int, since: datetime, limit: int) -> tuple[BikeEvent, ...]:
    """Return what was done to the bikes of a shop since a moment, the oldest first, at most the newest `limit`."""
    wanted = _EVENT.where(BikeEventRow.shop_id == shop_id, BikeEventRow.made_at >= since)
    rows = connection.execute(wanted.order_by(BikeEventRow.id.desc()).limit(limit)).all()
    return tuple(found for row in reversed(rows) if (found := _event(row)) is not None)


def _event(row: Row[Any] | None) -> BikeEvent | None:
    if row is None:
        return None
    return BikeEvent(
        event_id=row.id,
        bike_id=row.bike_id,
        bike_number=row.bike_number,
        kind=row.kind,
        made_at=row.made_at,
        by=row.login or "",
        version=row.version,
        detail=row.detail,
        before=row.before,
    )
