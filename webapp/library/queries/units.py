"""Statements about a shop's library and what its checks move; each names the shop, so that no other's is ever found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, func, insert, select, update
from sqlalchemy.sql import Select

from webapp.ground.database.shop_rows import ClassFactorsRow, StaffRow, SuspensionUnitRow


@dataclass(frozen=True, slots=True, kw_only=True)
class SuspensionUnitRecord:
    """A suspension unit's row."""

    suspension_unit_id: int
    kind: str
    name: str
    document: dict[str, Any]
    version: int
    created_at: datetime
    changed_at: datetime
    retired_at: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NewSuspensionUnit:
    """What a caller knows about a suspension unit before it is stored."""

    kind: str
    name: str
    name_key: str
    document: dict[str, Any]


def _columns() -> Select[Any]:
    whole: Select[Any] = select(
        SuspensionUnitRow.id.label("suspension_unit_id"),
        SuspensionUnitRow.kind,
        SuspensionUnitRow.name,
        SuspensionUnitRow.document,
        SuspensionUnitRow.version,
        SuspensionUnitRow.created_at,
        SuspensionUnitRow.changed_at,
        SuspensionUnitRow.retired_at,
    )
    return whole


def _record(row: Row[Any] | None) -> SuspensionUnitRecord | None:
    return None if row is None else SuspensionUnitRecord(**row._mapping)


def suspension_unit_by_id(connection: Connection, shop_id: int, suspension_unit_id: int) -> SuspensionUnitRecord | None:
    """Return a suspension unit of a shop, also a retired one; None when the shop has no such suspension unit."""
    statement = _columns().where(SuspensionUnitRow.shop_id == shop_id, SuspensionUnitRow.id == suspension_unit_id)
    return _record(connection.execute(statement).first())


def suspension_unit_by_name(connection: Connection, shop_id: int, name_key: str) -> SuspensionUnitRecord | None:
    """Return the suspension unit of a shop that has this name's key, also a retired one, or None."""
    statement = _columns().where(SuspensionUnitRow.shop_id == shop_id, SuspensionUnitRow.name_key == name_key)
    return _record(connection.execute(statement).first())


def _matching(statement: Select[Any], shop_id: int, text_key: str, retired: bool, kind: str | None) -> Select[Any]:
    statement = statement.where(SuspensionUnitRow.shop_id == shop_id)
    statement = statement.where(
        SuspensionUnitRow.retired_at.is_not(None) if retired else SuspensionUnitRow.retired_at.is_(None)
    )
    if kind is not None:
        statement = statement.where(SuspensionUnitRow.kind == kind)
    if text_key:
        statement = statement.where(SuspensionUnitRow.name_key.contains(text_key, autoescape=True))
    return statement


def suspension_units(
    connection: Connection, shop_id: int, *, text_key: str = "", retired: bool = False, start: int = 0, limit: int
) -> tuple[SuspensionUnitRecord, ...]:
    """Return a shop's suspension units by name, those whose name holds a text, from the one numbered `start` on."""
    statement = _matching(_columns(), shop_id, text_key, retired, None).order_by(SuspensionUnitRow.name_key)
    return tuple(
        SuspensionUnitRecord(**row._mapping) for row in connection.execute(statement.offset(start).limit(limit))
    )


def count_suspension_units(connection: Connection, shop_id: int, *, text_key: str = "", retired: bool = False) -> int:
    """Return how many suspension units `suspension_units` would return without a limit."""
    statement = _matching(select(func.count()).select_from(SuspensionUnitRow), shop_id, text_key, retired, None)
    return int(connection.execute(statement).scalar_one())


def suspension_unit_names(connection: Connection, shop_id: int, kind: str, limit: int) -> tuple[str, ...]:
    """Return the names of a shop's suspension units of one kind that are in use, without their documents."""
    statement = (
        _matching(select(SuspensionUnitRow.name), shop_id, "", False, kind)
        .order_by(SuspensionUnitRow.name_key)
        .limit(limit)
    )
    return tuple(connection.execute(statement).scalars())


def suspension_unit_keys(connection: Connection, shop_id: int) -> dict[str, int]:
    """Return name's key → number of every suspension unit of a shop, retired ones too."""
    rows = connection.execute(
        select(SuspensionUnitRow.name_key, SuspensionUnitRow.id).where(SuspensionUnitRow.shop_id == shop_id)
    )
    return {row.name_key: row.id for row in rows}


def insert_suspension_units(
    connection: Connection, shop_id: int, new: Sequence[NewSuspensionUnit], now: datetime
) -> None:
    """Store suspension units; a name that is taken breaks the table's constraint and nothing of them is stored."""
    if new:
        connection.execute(
            insert(SuspensionUnitRow),
            [{**_values(suspension_unit, now), **_first(shop_id, now)} for suspension_unit in new],
        )


def insert_suspension_unit(connection: Connection, shop_id: int, new: NewSuspensionUnit, now: datetime) -> int:
    """Store one suspension unit and return its number."""
    statement = insert(SuspensionUnitRow).values(**_values(new, now), **_first(shop_id, now))
    key = connection.execute(statement).inserted_primary_key
    if key is None:  # not with one row on our databases
        raise RuntimeError("The database gave the new unit no number.")
    return int(key[0])


def _values(suspension_unit: NewSuspensionUnit, now: datetime) -> dict[str, Any]:
    named = {"kind": suspension_unit.kind, "name": suspension_unit.name, "name_key": suspension_unit.name_key}
    return {**named, "document": suspension_unit.document, "changed_at": now}


def _first(shop_id: int, now: datetime) -> dict[str, Any]:
    return {"shop_id": shop_id, "version": 1, "created_at": now}


def replace_suspension_unit(
    connection: Connection,
    shop_id: int,
    suspension_unit_id: int,
    new: NewSuspensionUnit,
    now: datetime,
    version: int | None = None,
) -> bool:
    """Save a suspension unit again; false when it is no longer at `version` (None: whatever it is at)."""
    statement = update(SuspensionUnitRow).where(
        SuspensionUnitRow.shop_id == shop_id, SuspensionUnitRow.id == suspension_unit_id
    )
    if version is not None:
        statement = statement.where(SuspensionUnitRow.version == version)
    values = {**_values(new, now), "version": SuspensionUnitRow.version + 1}
    return connection.execute(statement.values(**values)).rowcount == 1


def set_retired(connection: Connection, shop_id: int, suspension_unit_id: int, retired_at: datetime | None) -> bool:
    """Retire a suspension unit or bring it back (None); false when the shop has no such suspension unit."""
    statement = update(SuspensionUnitRow).where(
        SuspensionUnitRow.shop_id == shop_id, SuspensionUnitRow.id == suspension_unit_id
    )
    return connection.execute(statement.values(retired_at=retired_at)).rowcount == 1


def newest_class_factors(connection: Connection, shop_id: int) -> tuple[int, list[Any]]:
    """Return (number, factors) of what a shop lets its own checks move now; (0, []) where it never did."""
    statement = (
        select(ClassFactorsRow.number, ClassFactorsRow.factors)
        .where(ClassFactorsRow.shop_id == shop_id)
        .order_by(ClassFactorsRow.number.desc())
    )
    row = connection.execute(statement.limit(1)).first()
    return (0, []) if row is None else (row.number, row.factors)


def class_factors(connection: Connection, shop_id: int, limit: int) -> tuple[Row[Any], ...]:
    """Return the newest states of what a shop let its checks move, newest first: number, factors, made_at, login."""
    statement = (
        select(ClassFactorsRow.number, ClassFactorsRow.factors, ClassFactorsRow.made_at, StaffRow.login)
        .join(StaffRow, StaffRow.id == ClassFactorsRow.made_by)
        .where(ClassFactorsRow.shop_id == shop_id)
        .order_by(ClassFactorsRow.number.desc())
    )
    return tuple(connection.execute(statement.limit(limit)))


def class_factors_numbered(connection: Connection, shop_id: int, number: int) -> list[Any] | None:
    """Return the factors of one state of a shop, None where it has no such state."""
    statement = select(ClassFactorsRow.factors).where(
        ClassFactorsRow.shop_id == shop_id, ClassFactorsRow.number == number
    )
    found: list[Any] | None = connection.execute(statement).scalar()
    return found


def insert_class_factors(
    connection: Connection, shop_id: int, number: int, factors: list[Any], staff_id: int, now: datetime
) -> None:
    """Store the next state; a number that is taken breaks the table's constraint."""
    values = {"shop_id": shop_id, "number": number, "factors": factors, "made_at": now, "made_by": staff_id}
    connection.execute(insert(ClassFactorsRow).values(**values))
