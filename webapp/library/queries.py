"""Statements about the units of a shop; each names the shop, so that no other shop's unit is ever found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, func, insert, select, update
from sqlalchemy.sql import Select

from webapp.ground.database.shop_rows import UnitRow


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitRecord:
    """A unit's row."""

    unit_id: int
    kind: str
    name: str
    document: dict[str, Any]
    version: int
    created_at: datetime
    changed_at: datetime
    retired_at: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NewUnit:
    """What a caller knows about a unit before it is stored."""

    kind: str
    name: str
    name_key: str
    document: dict[str, Any]


def _columns() -> Select[Any]:
    whole: Select[Any] = select(
        UnitRow.id.label("unit_id"),
        UnitRow.kind,
        UnitRow.name,
        UnitRow.document,
        UnitRow.version,
        UnitRow.created_at,
        UnitRow.changed_at,
        UnitRow.retired_at,
    )
    return whole


def _record(row: Row[Any] | None) -> UnitRecord | None:
    return None if row is None else UnitRecord(**row._mapping)


def unit_by_id(connection: Connection, shop_id: int, unit_id: int) -> UnitRecord | None:
    """Return a unit of a shop, also a retired one; None when the shop has no such unit."""
    statement = _columns().where(UnitRow.shop_id == shop_id, UnitRow.id == unit_id)
    return _record(connection.execute(statement).first())


def unit_by_name(connection: Connection, shop_id: int, name_key: str) -> UnitRecord | None:
    """Return the unit of a shop that has this name's key, also a retired one, or None."""
    statement = _columns().where(UnitRow.shop_id == shop_id, UnitRow.name_key == name_key)
    return _record(connection.execute(statement).first())


def _matching(statement: Select[Any], shop_id: int, text_key: str, retired: bool, kind: str | None) -> Select[Any]:
    statement = statement.where(UnitRow.shop_id == shop_id)
    statement = statement.where(UnitRow.retired_at.is_not(None) if retired else UnitRow.retired_at.is_(None))
    if kind is not None:
        statement = statement.where(UnitRow.kind == kind)
    if text_key:
        statement = statement.where(UnitRow.name_key.contains(text_key, autoescape=True))
    return statement


def units(
    connection: Connection, shop_id: int, *, text_key: str = "", retired: bool = False, start: int = 0, limit: int
) -> tuple[UnitRecord, ...]:
    """Return a shop's units by name, those whose name holds a text, from the one numbered `start` on."""
    statement = _matching(_columns(), shop_id, text_key, retired, None).order_by(UnitRow.name_key)
    return tuple(UnitRecord(**row._mapping) for row in connection.execute(statement.offset(start).limit(limit)))


def count_units(connection: Connection, shop_id: int, *, text_key: str = "", retired: bool = False) -> int:
    """Return how many units `units` would return without a limit."""
    statement = _matching(select(func.count()).select_from(UnitRow), shop_id, text_key, retired, None)
    return int(connection.execute(statement).scalar_one())


def unit_names(connection: Connection, shop_id: int, kind: str, limit: int) -> tuple[str, ...]:
    """Return the names of a shop's units of one kind that are in use, without their documents."""
    statement = _matching(select(UnitRow.name), shop_id, "", False, kind).order_by(UnitRow.name_key).limit(limit)
    return tuple(connection.execute(statement).scalars())


def unit_keys(connection: Connection, shop_id: int) -> dict[str, int]:
    """Return name's key → number of every unit of a shop, retired ones too."""
    rows = connection.execute(select(UnitRow.name_key, UnitRow.id).where(UnitRow.shop_id == shop_id))
    return {row.name_key: row.id for row in rows}


def insert_units(connection: Connection, shop_id: int, new: Sequence[NewUnit], now: datetime) -> None:
    """Store units; a name that is taken breaks the table's constraint and nothing of them is stored."""
    if new:
        connection.execute(insert(UnitRow), [{**_values(unit, now), **_first(shop_id, now)} for unit in new])


def insert_unit(connection: Connection, shop_id: int, new: NewUnit, now: datetime) -> int:
    """Store one unit and return its number."""
    statement = insert(UnitRow).values(**_values(new, now), **_first(shop_id, now))
    key = connection.execute(statement).inserted_primary_key
    if key is None:  # not with one row on our databases
        raise RuntimeError("The database gave the new unit no number.")
    return int(key[0])


def _values(unit: NewUnit, now: datetime) -> dict[str, Any]:
    named = {"kind": unit.kind, "name": unit.name, "name_key": unit.name_key}
    return {**named, "document": unit.document, "changed_at": now}


def _first(shop_id: int, now: datetime) -> dict[str, Any]:
    return {"shop_id": shop_id, "version": 1, "created_at": now}


def replace_unit(
    connection: Connection, shop_id: int, unit_id: int, new: NewUnit, now: datetime, version: int | None = None
) -> bool:
    """Save a unit again; false when it is no longer at `version` (None: whatever it is at)."""
    statement = update(UnitRow).where(UnitRow.shop_id == shop_id, UnitRow.id == unit_id)
    if version is not None:
        statement = statement.where(UnitRow.version == version)
    values = {**_values(new, now), "version": UnitRow.version + 1}
    return connection.execute(statement.values(**values)).rowcount == 1


def set_retired(connection: Connection, shop_id: int, unit_id: int, retired_at: datetime | None) -> bool:
    """Retire a unit or bring it back (None); false when the shop has no such unit."""
    statement = update(UnitRow).where(UnitRow.shop_id == shop_id, UnitRow.id == unit_id)
    return connection.execute(statement.values(retired_at=retired_at)).rowcount == 1
